//! Does any hand-over file bring down what opens it, or is it another once it is handed on?

use loomwalk::bundle::digest::{log_digest, photo_hash};
use loomwalk::bundle::file::HAND_OVER_LIMIT;
use loomwalk::bundle::read::{Opened, open};
use loomwalk::bundle::{self, file, write};
use loomwalk::job::log::Log;

use super::{is_pointer, told};

/// Whether it was read.
pub fn read(bytes: &[u8]) -> bool {
    let opened = match open(bytes, HAND_OVER_LIMIT) {
        Ok(opened) => opened,
        Err(error) => {
            assert!(is_pointer(error.pointer()), "{}", error.pointer());
            told(error);
            return false;
        }
    };
    let short = bytes.len() as u64 - 1;
    assert!(matches!(open(bytes, short), Err(bundle::error::BundleError::TooLarge { .. })));
    for photo in opened.photos() {
        let data = opened.bytes(photo).expect("it was decoded once");
        assert_eq!(photo_hash(&data), *photo);
    }
    same_when_sent_on(&opened);
    true
}

/// What a phone that took it in hands on is the same job: the same log, the same photographs.
fn same_when_sent_on(opened: &Opened<'_>) {
    let taken = &opened.bundle;
    let log = Log::of(taken.log.iter().cloned()).expect("one body for each id");
    assert!(log.events().eq(taken.log.iter()), "in order, each once");
    let job = taken.fold().expect("one body for each id");
    let made = file::make(&job, log.events(), taken.bundle_id, taken.device_id, taken.made_at);
    assert_eq!(made.log_digest, log_digest(&taken.log));
    let text = write::text(&made, |photo| opened.base64(photo).map(str::to_owned)).expect("it can be written");
    let again = match open(text.as_bytes(), HAND_OVER_LIMIT) {
        Ok(again) => again,
        Err(error) => panic!("what was made cannot be read, {error}: {text}"),
    };
    assert_eq!(again.bundle, made);
    assert_eq!(again.bundle.fold().as_ref(), Ok(&job));
    for photo in &made.photos {
        let name = &photo.photo.sha256;
        assert_eq!(again.bytes(name), opened.bytes(name));
    }
    let text = serde_json::to_vec(&again.into_bundle()).expect("it can be written");
    assert_eq!(bundle::read::read(&text, HAND_OVER_LIMIT).map(|again| again.log).ok().as_ref(), Some(&made.log));
}
