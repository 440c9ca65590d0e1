//! How is a log's digest made? RFC 8785 canonical JSON of the events sorted by id, then SHA-256.

use serde::Serialize;
use sha2::{Digest, Sha256};

use crate::gather::Order as _;
use crate::ids::PhotoHash;
use crate::job::event::Event;

/// SHA-256 over the canonical JSON (RFC 8785) of the array of these events sorted by id, in lower-case hex.
/// The order in which they are handed in does not matter, nor whether one comes twice.
pub fn log_digest<'a>(events: impl IntoIterator<Item = &'a Event>) -> String {
    let mut sorted: Vec<&Event> = events.into_iter().collect();
    sorted.order_by_key(|event| event.id);
    sorted.dedup_by_key(|event| event.id);
    let mut digest = ArrayDigest::new();
    sorted.iter().for_each(|event| digest.push(event));
    digest.finish()
}

/// The name of a photograph: the SHA-256 of its bytes.
pub fn photo_hash(bytes: &[u8]) -> PhotoHash {
    let hex = hex(&Sha256::digest(bytes));
    #[allow(clippy::expect_used, reason = "hex() of 32 bytes is 64 lower-case hex digits")]
    hex.parse().expect("a SHA-256 in hex names a photo")
}

/// The digest of a canonical array, one element after another, so that the array is never held as one text.
pub(super) struct ArrayDigest {
    hash: Sha256,
    empty: bool,
}

impl ArrayDigest {
    pub(super) fn new() -> Self {
        let mut hash = Sha256::new();
        hash.update(b"[");
        Self { hash, empty: true }
    }

    pub(super) fn push(&mut self, element: &impl Serialize) {
        if !self.empty {
            self.hash.update(b",");
        }
        self.empty = false;
        #[allow(clippy::expect_used, reason = "events and JSON values have text keys only, each once")]
        let text = serde_json_canonicalizer::to_vec(element).expect("an event has a canonical form");
        self.hash.update(&text);
    }

    pub(super) fn finish(mut self) -> String {
        self.hash.update(b"]");
        hex(&self.hash.finalize())
    }
}

fn hex(bytes: &[u8]) -> String {
    bytes.iter().map(|byte| format!("{byte:02x}")).collect()
}
