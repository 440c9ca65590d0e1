//! How is a file that someone names read? With a limit on its size that is looked at first, and without the
//! byte-order mark that some editors put in front of JSON.

use std::fs::File;
use std::io::Read as _;
use std::path::Path;

/// U+FEFF in UTF-8.
const BYTE_ORDER_MARK: &[u8] = b"\xef\xbb\xbf";

/// Why a file cannot be read.
#[derive(Debug, thiserror::Error)]
pub enum InputError {
    /// Not there, no right to read it, or not a file.
    #[error("{file}: this cannot be read: {error}")]
    Unreadable {
        /// The file as named.
        file: String,
        /// What the system says.
        error: std::io::Error,
    },
    /// More than is read.
    #[error("{file}: this file has more than {} MB, which is more than any file of ours: nothing was read", limit / (1024 * 1024))]
    TooLarge {
        /// The file as named.
        file: String,
        /// The most that is read, bytes.
        limit: u64,
    },
}

/// The bytes of a file of at most `limit` bytes.
///
/// # Errors
/// If it cannot be read or is larger. Never reads more than `limit` bytes and one, also of what has no size, such as
/// a device.
pub fn read(path: &Path, limit: u64) -> Result<Vec<u8>, InputError> {
    let file = || path.display().to_string();
    let unreadable = |error| InputError::Unreadable { file: file(), error };
    let source = File::open(path).map_err(unreadable)?;
    let size = source.metadata().map_err(unreadable)?.len();
    if size > limit {
        return Err(InputError::TooLarge { file: file(), limit });
    }
    let mut bytes = Vec::with_capacity(usize::try_from(size).unwrap_or(0));
    source.take(limit + 1).read_to_end(&mut bytes).map_err(unreadable)?;
    if bytes.len() as u64 > limit {
        return Err(InputError::TooLarge { file: file(), limit });
    }
    // RFC 8259 §8.1 allows readers to pass over it.
    if bytes.starts_with(BYTE_ORDER_MARK) {
        bytes.drain(..BYTE_ORDER_MARK.len());
    }
    Ok(bytes)
}
