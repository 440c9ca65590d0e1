//! How do photographs come in and go out? Whole or in pieces, each hashed on its way in, and small ones made of them.
//!
//! A large one that is cut off goes on where it stopped: each piece is kept as an object of its own until the last has
//! come (the offsets mean what they mean in the tus protocol 1.0, <https://tus.io/protocols/resumable-upload>).

use std::collections::{BTreeSet, HashMap, HashSet};
use std::io::Cursor;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use axum::body::Bytes;
use futures::StreamExt;
use image::{DynamicImage, ImageDecoder, ImageReader, Limits};
use object_store::buffered::BufWriter;
use object_store::path::Path;
use sha2::{Digest, Sha256};
use tokio::io::AsyncWriteExt;
use tokio::sync::Mutex as TaskMutex;

use super::incoming::Incoming;
use super::intake::{Desk, Taken};
use super::problem::Refusal;
use super::shelf::Shelf;
use super::store::StoreError;
use super::store::copy::hex;
use crate::ids::PhotoHash;
use crate::sync::protocol::PHOTO_LIMIT;

/// Long edges, in pixels, in which a photograph can be had smaller: for the screen, and for a list.
pub const EDGES: [u32; 2] = [1600, 320];
/// Pictures of more pixels across or down are not made smaller here.
const MOST_ACROSS: u32 = 16_384;
/// Nor are those that would take more memory than this when they are unpacked.
const MOST_MEMORY: u64 = 512 << 20;

/// One lock for each photograph that is being written, so that of two who send the same one is first.
#[derive(Debug, Default)]
pub(super) struct Writing {
    now: Mutex<HashMap<PhotoHash, Arc<TaskMutex<()>>>>,
}

impl Writing {
    fn of(&self, name: &PhotoHash) -> Arc<TaskMutex<()>> {
        let mut now = self.now.lock().unwrap_or_else(PoisonError::into_inner);
        now.retain(|_, lock| Arc::strong_count(lock) > 1);
        now.entry(name.clone()).or_default().clone()
    }
}

/// How far a photograph that comes in pieces has come.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Progress {
    /// So many bytes are kept.
    Until(u64),
    /// All of it is kept, as a photograph.
    Whole,
}

impl Desk {
    /// Whether a photograph is held: the store is asked, each time. A phone gives its only copy away for this answer.
    pub async fn has_photo(&self, name: &PhotoHash) -> Result<bool, StoreError> {
        let there = self.store().has_photo(name).await?;
        let mut known = self.known_photos();
        if there {
            known.insert(name.clone());
        } else {
            known.remove(name);
        }
        Ok(there)
    }

    fn known_photos(&self) -> MutexGuard<'_, HashSet<PhotoHash>> {
        self.known_photos.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Those that are not held, each once, as far as is known: those that were seen are not asked for again.
    pub async fn missing(&self, names: BTreeSet<PhotoHash>) -> Result<Vec<PhotoHash>, StoreError> {
        let mut missing = Vec::new();
        for name in names {
            let seen = self.known_photos().contains(&name);
            if !seen && !self.has_photo(&name).await? {
                missing.push(name);
            }
        }
        Ok(missing)
    }

    /// Those of a job that are held.
    pub async fn held_photos(&self, shelf: &Shelf) -> Result<BTreeSet<PhotoHash>, StoreError> {
        let missing = self.missing(shelf.missed().clone()).await?;
        Ok(shelf.photos().keys().filter(|name| !missing.contains(name)).cloned().collect())
    }

    /// Takes a photograph in, hashing it while it comes. Bytes that hash to another name are not kept, even if the
    /// photo itself is held already.
    pub async fn take_photo(self: Arc<Self>, name: PhotoHash, mut body: Incoming) -> Result<Taken<()>, Refusal> {
        let mut writer = if self.has_photo(&name).await? { None } else { Some(self.store().write_photo(&name)) };
        let mut hash = Sha256::new();
        while let Some(piece) = body.next().await? {
            hash.update(&piece);
            if let Some(writer) = &mut writer {
                writer.put(piece).await.map_err(|source| cannot_keep(&name, source))?;
            }
        }
        let found = hex(&hash.finalize());
        if found != name.as_str() {
            if let Some(mut writer) = writer {
                // What was not begun cannot be called off.
                drop(writer.abort().await);
            }
            return Err(Refusal::OtherPhoto { named: name, found });
        }
        match writer {
            // Its own task, so that a phone that hangs up now does not leave a photo that is kept but not known.
            Some(writer) => tokio::spawn(async move { self.publish_photo(name, writer).await }).await?,
            None => Ok(Taken::Known(())),
        }
    }

    async fn publish_photo(&self, name: PhotoHash, mut writer: BufWriter) -> Result<Taken<()>, Refusal> {
        let lock = self.writing.of(&name);
        let _turn = lock.lock().await;
        let known = self.has_photo(&name).await?;
        writer.shutdown().await.map_err(|error| {
            cannot_keep(&name, object_store::Error::Generic { store: "photo", source: Box::new(error) })
        })?;
        self.known_photos().insert(name);
        Ok(if known { Taken::Known(()) } else { Taken::New(()) })
    }

    /// How many bytes of a photograph in pieces are kept.
    pub async fn photo_progress(&self, name: &PhotoHash) -> Result<Progress, Refusal> {
        if self.has_photo(name).await? {
            return Ok(Progress::Whole);
        }
        Ok(Progress::Until(self.pieces(name).await?.last().map_or(0, |piece| piece.end)))
    }

    /// Takes the piece of a photograph in that begins behind what is kept; with the last of `whole` bytes it becomes the
    /// photograph. `held` is kept until it is done, also where nobody waits for it any more.
    pub async fn take_piece(
        self: Arc<Self>,
        name: PhotoHash,
        offset: u64,
        whole: u64,
        body: Incoming,
        held: impl Send + 'static,
    ) -> Result<Progress, Refusal> {
        if whole > PHOTO_LIMIT {
            return Err(Refusal::TooLarge(PHOTO_LIMIT));
        }
        let bytes = body.all().await?;
        let kept = tokio::spawn(async move {
            let kept = self.keep_piece(name, offset, whole, bytes).await;
            drop(held);
            kept
        });
        kept.await?
    }

    async fn keep_piece(&self, name: PhotoHash, offset: u64, whole: u64, bytes: Bytes) -> Result<Progress, Refusal> {
        let lock = self.writing.of(&name);
        let _turn = lock.lock().await;
        if self.has_photo(&name).await? {
            return Ok(Progress::Whole);
        }
        let pieces = self.pieces(&name).await?;
        let kept = pieces.last().map_or(0, |piece| piece.end);
        let end = offset.saturating_add(bytes.len() as u64);
        if offset != kept || end > whole || bytes.is_empty() {
            return Err(Refusal::OtherOffset { kept, asked: offset });
        }
        // Its name tells its length, so that what is kept can be told from a list.
        let path = Path::from(format!("uploads/{name}/{offset:010}-{end:010}"));
        self.store().create(&path, bytes).await?;
        if end < whole {
            return Ok(Progress::Until(end));
        }
        self.join(&name).await.map(|()| Progress::Whole)
    }

    /// Makes the photograph of its pieces. Pieces that are not it are thrown away, or the phone could never send it.
    async fn join(&self, name: &PhotoHash) -> Result<(), Refusal> {
        let pieces = self.pieces(name).await?;
        let mut writer = self.store().write_photo(name);
        let mut hash = Sha256::new();
        for piece in &pieces {
            let bytes = self.store().read(&piece.path).await?.unwrap_or_default();
            hash.update(&bytes);
            writer.put(bytes).await.map_err(|source| cannot_keep(name, source))?;
        }
        let found = hex(&hash.finalize());
        let whole = found == name.as_str();
        if whole {
            writer.shutdown().await.map_err(|error| {
                cannot_keep(name, object_store::Error::Generic { store: "photo", source: Box::new(error) })
            })?;
            self.known_photos().insert(name.clone());
        } else {
            drop(writer.abort().await);
        }
        for piece in pieces {
            self.store().remove(&piece.path).await?;
        }
        if whole { Ok(()) } else { Err(Refusal::OtherPhoto { named: name.clone(), found }) }
    }

    /// The pieces that are kept, from the first on without a gap.
    async fn pieces(&self, name: &PhotoHash) -> Result<Vec<Piece>, StoreError> {
        let mut end = 0;
        let mut pieces = Vec::new();
        for path in self.store().list(&Path::from(format!("uploads/{name}"))).await? {
            let Some(piece) = Piece::of(path) else { continue };
            if piece.start == end {
                end = piece.end;
                pieces.push(piece);
            }
        }
        Ok(pieces)
    }

    /// A photograph made small, as a JPEG whose long edge has so many pixels at most. `None`: this program cannot read
    /// its kind.
    pub async fn small_photo(&self, name: &PhotoHash, edge: u32) -> Result<Option<Bytes>, Refusal> {
        let path = Path::from(format!("previews/{edge}/{name}"));
        if let Some(made) = self.store().read(&path).await? {
            return Ok(Some(made));
        }
        // One at a time: each takes much memory for a moment.
        let _turn = self.shrinking.lock().await;
        let (length, mut pieces) = self.store().photo(name).await?;
        if length > PHOTO_LIMIT {
            return Ok(None);
        }
        let mut bytes = Vec::new();
        while let Some(piece) = pieces.next().await {
            bytes
                .extend_from_slice(&piece.map_err(|source| StoreError::Read { at: format!("photos/{name}"), source })?);
        }
        let Some(small) = tokio::task::spawn_blocking(move || small(bytes, edge, MOST_MEMORY)).await? else {
            return Ok(None);
        };
        let small = Bytes::from(small);
        self.store().replace(&path, small.clone()).await?;
        Ok(Some(small))
    }
}

/// A piece of a photograph that is still coming.
struct Piece {
    path: Path,
    start: u64,
    end: u64,
}

impl Piece {
    fn of(path: Path) -> Option<Self> {
        let (start, end) = path.filename()?.split_once('-')?;
        let (start, end) = (start.parse().ok()?, end.parse().ok()?);
        Some(Self { path, start, end })
    }
}

/// `None` for what is no picture that this program reads, or one that would take more memory than so many bytes.
fn small(bytes: Vec<u8>, edge: u32, most_memory: u64) -> Option<Vec<u8>> {
    let mut reader = ImageReader::new(Cursor::new(bytes)).with_guessed_format().ok()?;
    let mut limits = Limits::default();
    (limits.max_image_width, limits.max_image_height) = (Some(MOST_ACROSS), Some(MOST_ACROSS));
    limits.max_alloc = Some(most_memory);
    reader.limits(limits);
    let mut decoder = reader.into_decoder().ok()?;
    // The decoder holds its own needs against the limit, not the picture that it fills, which is made below.
    if decoder.total_bytes() > most_memory {
        return None;
    }
    let upright = decoder.orientation().ok()?;
    let mut picture = DynamicImage::from_decoder(decoder).ok()?;
    if picture.width().max(picture.height()) > edge {
        picture = picture.thumbnail(edge, edge);
    }
    picture.apply_orientation(upright);
    let mut made = Vec::new();
    let encoder = image::codecs::jpeg::JpegEncoder::new_with_quality(&mut made, 82);
    picture.to_rgb8().write_with_encoder(encoder).ok()?;
    Some(made)
}

fn cannot_keep(name: &PhotoHash, source: object_store::Error) -> Refusal {
    Refusal::Store(StoreError::Write { at: format!("photos/{name}"), source })
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn a_picture_that_would_take_too_much_memory_is_not_unpacked() {
        for format in [image::ImageFormat::Png, image::ImageFormat::Jpeg, image::ImageFormat::WebP] {
            let mut file = Cursor::new(Vec::new());
            DynamicImage::new_rgb8(300, 200).write_to(&mut file, format).unwrap();
            let file = file.into_inner();
            assert!(small(file.clone(), 100, MOST_MEMORY).is_some(), "{format:?}");
            let unpacked = 300 * 200 * 3;
            assert!(small(file.clone(), 100, unpacked - 1).is_none(), "{format:?}");
        }
    }
}
