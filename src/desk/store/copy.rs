//! How is a store backed up, brought back or moved, while desks work with it? In an order in which no copy ever
//! promises what it does not hold: what answers rest on goes first, the answers last.

use axum::body::Bytes;
use futures::StreamExt;
use object_store::ObjectStoreExt;
use object_store::path::Path;
use sha2::{Digest, Sha256};
use tokio::io::AsyncWriteExt;

use super::{FILES, FOLDERS, Store, StoreError};

/// What can be made again, or is only of use for a moment.
const LEFT_OUT: [&str; 4] = ["arrivals", "index", "previews", "uploads"];
/// Who is signed in, and codes. They are taken back by taking them out, of which a copy that has them would not know: it
/// would let in again whoever has signed out, or was made to.
const TAKEN_BACK: [&str; 2] = ["access/sessions", "access/codes"];

/// What a copy has done.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Copied {
    /// Objects that were copied.
    pub objects: usize,
    /// Their bytes.
    pub bytes: u64,
    /// Objects that were there already.
    pub there: usize,
}

impl Store {
    /// Copies all that cannot be made again to another store. What is there already is left, so that a copy that was
    /// cut off goes on, and the next one takes only what is new. Bytes of photographs are held against their names.
    ///
    /// The other is another store from then on: a desk that is started on it gets from the phones what it lacks, also where
    /// it is the desk's old place of which only a part was lost.
    ///
    /// # Errors
    /// Where one of the two cannot be read or written, and for a photograph that is not what its name says.
    pub async fn copy_to(&self, other: &Self) -> Result<Copied, StoreError> {
        let mut all = self.to_copy().await?;
        // Receipts were listed before what they rest on is read: that is all there.
        all.sort_by_key(|path| (is_receipt(path), path.clone()));
        other.become_another().await?;
        let mut copied = Copied::default();
        for path in all {
            if !may_change(&path) && other.has(&path).await? {
                copied.there += 1;
            } else {
                copied.bytes += self.copy_one(other, &path).await?;
                copied.objects += 1;
            }
        }
        Ok(copied)
    }

    /// What is ours at this place and cannot be made again. Other things may lie beside it, which are not ours to copy, nor
    /// always ours to look at.
    async fn to_copy(&self) -> Result<Vec<Path>, StoreError> {
        let mut all = Vec::new();
        for folder in FOLDERS.iter().filter(|folder| !LEFT_OUT.contains(folder)) {
            all.extend(self.list(&Path::from(*folder)).await?);
        }
        let taken_back = TAKEN_BACK.map(Path::from);
        all.retain(|path| !taken_back.iter().any(|folder| path.prefix_matches(folder)));
        for file in FILES.map(Path::from) {
            if self.has(&file).await? {
                all.push(file);
            }
        }
        Ok(all)
    }

    async fn copy_one(&self, other: &Self, path: &Path) -> Result<u64, StoreError> {
        let cannot_read = |source| StoreError::Read { at: path.to_string(), source };
        let cannot_write = |source: std::io::Error| StoreError::Write {
            at: path.to_string(),
            source: object_store::Error::Generic { store: "copy", source: Box::new(source) },
        };
        let mut pieces = self.objects.get(path).await.map_err(cannot_read)?.into_stream();
        let mut writer =
            object_store::buffered::BufWriter::with_capacity(other.objects.clone(), path.clone(), other.piece);
        let (mut bytes, mut hash) = (0, Sha256::new());
        while let Some(piece) = pieces.next().await {
            let piece: Bytes = piece.map_err(cannot_read)?;
            bytes += piece.len() as u64;
            hash.update(&piece);
            writer.put(piece).await.map_err(|source| StoreError::Write { at: path.to_string(), source })?;
        }
        let name = path.filename().unwrap_or_default();
        let is_photo = path.parts().next().is_some_and(|first| first.as_ref() == "photos");
        if is_photo && hex(&hash.finalize()) != name {
            // What it cannot undo now it never shows.
            drop(writer.abort().await);
            return Err(StoreError::Damaged {
                at: path.to_string(),
                why: "its bytes do not hash to its name; take it out and copy again".to_owned(),
            });
        }
        writer.shutdown().await.map_err(cannot_write)?;
        Ok(bytes)
    }
}

/// All else never changes once it is there.
fn may_change(path: &Path) -> bool {
    path.parts().next().is_some_and(|first| ["access", "prices.json"].contains(&first.as_ref()))
}

fn is_receipt(path: &Path) -> bool {
    path.parts().nth(2).is_some_and(|part| part.as_ref() == "receipts")
}

/// Bytes in lower-case hex.
pub(crate) fn hex(bytes: &[u8]) -> String {
    bytes.iter().map(|byte| format!("{byte:02x}")).collect()
}
