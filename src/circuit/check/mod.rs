//! Does this circuit make sense? From bytes to a sound [`CircuitFile`], or every place where it is not.
//!
//! [`read`] is for files, [`validate`] for circuits that were edited on the phone. Both hold the rules of
//! 03-formats §1. Each problem names its place by JSON pointer (RFC 6901), says what is wrong there and what
//! would be right. Fields that this version does not know are passed over: files may grow.

mod problem;
mod structure;
mod values;
mod wiring;

pub use problem::{CircuitError, Problem};
pub use structure::MOST_BYTES;
pub(super) use values::LEAST_ABOVE_ZERO;
pub use values::MOST_ENTRIES;

use super::file::{CircuitFile, TouchLengths};
use crate::ids::JointId;
use problem::Problems;
use structure::Reading;

/// Reads a circuit file.
///
/// Memory stays in step with `bytes`: lists and texts have bounds that are checked on the way in, before anything is
/// built from them.
///
/// # Errors
/// Every independent problem of the file, at most 50 of them: first those of values by themselves in the order of
/// the format, then those of how they fit together, as far as the file can be read.
pub fn read(bytes: &[u8]) -> Result<CircuitFile, CircuitError> {
    let mut problems = Problems::default();
    let Some(Reading { file, complete }) = structure::read(bytes, &mut problems) else {
        return Err(problems.into_error());
    };
    if complete {
        wiring::check(&file, &mut problems);
    }
    problems.none_or_error()?;
    Ok(file)
}

/// Checks lengths of touches by themselves.
///
/// # Errors
/// As [`read`], with the pointers of the circuit they belong to.
pub fn touch(touch: TouchLengths) -> Result<(), CircuitError> {
    let mut problems = Problems::default();
    values::touch_lengths(&touch, &mut problems);
    problems.none_or_error()
}

/// Joints to which no way leads from the fuse, even with every switch closed, as where the one load that they served was taken
/// out. None where an end of a wire is not there: nothing can be said then.
pub(crate) fn unreached_joints(file: &CircuitFile) -> Vec<JointId> {
    wiring::unreached_joints(file)
}

/// Checks a circuit that is already in memory.
///
/// # Errors
/// As [`read`]; the pointers are those of the circuit when written as JSON.
pub fn validate(file: &CircuitFile) -> Result<(), CircuitError> {
    let mut problems = Problems::default();
    values::header(Some(&file.format), Some(u64::from(file.version)), &mut problems);
    values::head(file, &mut problems);
    values::lists(file, &mut problems);
    wiring::check(file, &mut problems);
    problems.none_or_error()
}
