//! Does any circuit file bring down the check, or is it another once it is written?

use loomwalk::circuit::check;
use loomwalk::circuit::file::CircuitFile;

use super::is_pointer;

/// Whether it was read.
pub fn read(bytes: &[u8]) -> bool {
    checked(bytes).is_some()
}

/// What was read, and is the same when it is read again. What is refused is told, and where.
pub(super) fn checked(bytes: &[u8]) -> Option<CircuitFile> {
    match check::read(bytes) {
        Ok(file) => {
            let written = serde_json::to_vec(&file).expect("a sound file can be written");
            assert_eq!(check::read(&written).as_ref(), Ok(&file));
            assert_eq!(check::validate(&file), Ok(()));
            Some(file)
        }
        Err(error) => {
            assert!(!error.problems.is_empty());
            assert!(error.problems.iter().all(|problem| is_pointer(&problem.pointer)));
            super::told(error);
            None
        }
    }
}
