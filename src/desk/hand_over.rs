//! How does the service writer take a job home? As the whole hand-over file, streamed, so that no more than a piece of
//! one photograph is in memory at a time.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use axum::body::{Body, Bytes};
use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use futures::{Stream, StreamExt, TryStreamExt, future, stream};

use super::intake::Desk;
use super::problem::Refusal;
use super::store::{StoreError, now, random};
use crate::bundle::file::{self, Bundle};
use crate::bundle::write::{Piece, files, pieces};
use crate::ids::{BundleId, IdMaker, JobId, PhotoHash};
use crate::job::Job;

/// The hand-over file of all that is held of a job, and its name; where that would be too large to be opened, the file of that
/// number, from 1. A photo that is not held is listed without its bytes.
pub async fn body(desk: Arc<Desk>, job: JobId, number: usize) -> Result<(String, Body), Refusal> {
    let id = BundleId(IdMaker::default().make(now(), random()?));
    let shelf = desk.shelf(job).await?;
    let held = desk.held_photos(&shelf).await?;
    let bundle = whole(&desk, job, id, &shelf);
    let damaged = |error: serde_json::Error| {
        Refusal::Store(StoreError::Damaged { at: format!("jobs/{job}"), why: error.to_string() })
    };
    let files = files_of(&desk, &bundle, &held).map_err(damaged)?;
    let no_such_file = || Refusal::NoSuchAddress(format!("/desk/jobs/{job}/bundle?number={number}"));
    let inside = number.checked_sub(1).and_then(|at| files.get(at)).ok_or_else(no_such_file)?;
    let name = file::file_name(&job.to_string(), number, files.len());
    let pieces = pieces(&bundle, |photo| inside.contains(photo)).map_err(damaged)?;
    let texts = stream::iter(pieces).then(move |piece| {
        let desk = desk.clone();
        async move {
            match piece {
                Piece::Text(text) => Ok(stream::iter([Ok(Bytes::from(text))]).boxed()),
                Piece::PhotoData(photo) => {
                    let (_, bytes) = desk.store().photo(&photo).await?;
                    Ok(in_base64(bytes)
                        .map_err(move |source| StoreError::Read { at: format!("photos/{photo}"), source })
                        .boxed())
                }
            }
        }
    });
    // What fails after the first byte can only break the download off; the browser says so.
    let said =
        texts.try_flatten().inspect_err(move |error: &StoreError| eprintln!("desk: hand-over of {job}: {error}"));
    Ok((name, Body::from_stream(said)))
}

/// Which of the photographs that are held go into which hand-over file of that bundle.
///
/// # Errors
/// None that a bundle can cause.
pub fn files_of(
    desk: &Desk,
    bundle: &Bundle,
    held: &BTreeSet<PhotoHash>,
) -> serde_json::Result<Vec<BTreeSet<PhotoHash>>> {
    let sizes: BTreeMap<_, _> = bundle.photos.iter().map(|told| (&told.photo.sha256, told.photo.bytes)).collect();
    files(bundle, |photo| sizes.get(photo).copied().filter(|_| held.contains(photo)), desk.file_limit)
}

fn whole(desk: &Desk, job: JobId, id: BundleId, shelf: &super::shelf::Shelf) -> Bundle {
    let folded = Job::fold(job, shelf.log());
    file::make(&folded, shelf.log().events(), id, desk.store().device_id(), now())
}

/// Base64 of a stream: what does not make up three bytes waits for the next piece.
fn in_base64<E>(pieces: impl Stream<Item = Result<Bytes, E>>) -> impl Stream<Item = Result<Bytes, E>> {
    let ended = stream::once(future::ready(None));
    pieces.map(Some).chain(ended).scan(Vec::new(), |waiting: &mut Vec<u8>, piece| {
        future::ready(Some(match piece {
            Some(Err(error)) => Err(error),
            Some(Ok(bytes)) => {
                waiting.extend_from_slice(&bytes);
                let rest = waiting.split_off(waiting.len() / 3 * 3);
                Ok(Bytes::from(STANDARD.encode(std::mem::replace(waiting, rest))))
            }
            None => Ok(Bytes::from(STANDARD.encode(std::mem::take(waiting)))),
        }))
    })
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn base64_in_pieces_is_the_base64_of_the_whole(pieces: Vec<Vec<u8>>) {
            let whole = STANDARD.encode(pieces.concat());
            let pieces = stream::iter(pieces).map(|piece| Ok::<_, ()>(Bytes::from(piece)));
            let runtime = tokio::runtime::Builder::new_current_thread().build().unwrap();
            let encoded: Vec<Bytes> = runtime.block_on(in_base64(pieces).try_collect()).unwrap();
            prop_assert_eq!(encoded.concat(), whole.into_bytes());
        }
    }
}
