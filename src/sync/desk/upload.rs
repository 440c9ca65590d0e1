//! How does a photograph get to the desk? A small one whole, a large one in pieces, so that a bad network costs one piece.

use js_sys::ArrayBuffer;
use wasm_bindgen::JsValue;

use super::{Answer, Call, Desk, LONG, Trouble};
use crate::ids::PhotoHash;
use crate::sync::decide::{Next, PieceAnswer, Pieces};

/// For one piece over a slow network, ms.
const PIECE_PATIENCE: u32 = 2 * 60_000;
/// Of a body that begins somewhere in the whole.
const PIECE_TYPE: &str = "application/offset+octet-stream";

impl Desk {
    /// Does the desk hold a photograph?
    pub(in crate::sync) async fn has_photo(&self, hash: &PhotoHash) -> Result<bool, Trouble> {
        let answer = self.call(Call::of("HEAD", &format!("photos/{hash}"))).await?;
        match answer.status {
            200 => Ok(true),
            404 => Ok(false),
            _ => Err(answer.trouble()),
        }
    }

    /// Sends a photograph; done once the desk holds it. `sent` hears how many bytes the desk has of it.
    pub(in crate::sync) async fn send_photo(
        &self,
        hash: &PhotoHash,
        media_type: &str,
        bytes: &ArrayBuffer,
        sent: impl Fn(u64),
    ) -> Result<(), Trouble> {
        let Some(mut pieces) = Pieces::of(bytes.byte_length().into()) else {
            return self.put_photo(hash, media_type, bytes).await;
        };
        let path = format!("photos/{hash}/pieces");
        let mut answer = self.call(Call::of("HEAD", &path)).await?;
        loop {
            let Some(told) = told_by(&answer) else { return Err(answer.trouble()) };
            let (from, to) = match pieces.next(told) {
                Next::Piece { from, to } => (from, to),
                Next::Done => return Ok(()),
                Next::Whole => return self.put_photo(hash, media_type, bytes).await,
            };
            sent(from.into());
            let (offset, length) = (from.to_string(), bytes.byte_length().to_string());
            let headers: &[_] = &[("Content-Type", PIECE_TYPE), ("Upload-Offset", &offset), ("Upload-Length", &length)];
            let body = Some(bytes.slice_with_end(from, to).into());
            let piece = Call { headers, body, patience: PIECE_PATIENCE, ..Call::of("PATCH", &path) };
            answer = self.call(piece).await?;
        }
    }

    async fn put_photo(&self, hash: &PhotoHash, media_type: &str, bytes: &ArrayBuffer) -> Result<(), Trouble> {
        let path = format!("photos/{hash}");
        let headers: &[_] = &[("Content-Type", media_type)];
        let body = Some(JsValue::from(bytes.clone()));
        self.call(Call { headers, body, patience: LONG, ..Call::of("PUT", &path) }).await?.good().map(drop)
    }
}

/// `None`: it is trouble.
fn told_by(answer: &Answer) -> Option<PieceAnswer> {
    let offset = answer.header("Upload-Offset").and_then(|offset| offset.trim().parse().ok());
    match answer.status {
        201 => Some(PieceAnswer::Whole),
        // A desk that says no offset where it should does not speak of pieces as we do.
        200 | 204 | 409 => Some(offset.map_or(PieceAnswer::Unknown, PieceAnswer::Until)),
        404 | 405 => Some(PieceAnswer::Unknown),
        _ => None,
    }
}
