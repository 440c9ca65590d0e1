//! What did a killed desk leave half-written? Files that the folder store calls `<name>#<number>` and never shows.

use std::io::ErrorKind;
use std::path::Path;
use std::time::{Duration, SystemTime};

/// Younger ones may belong to a desk that is at it: several may share one folder.
const AT_WORK: Duration = Duration::from_secs(24 * 60 * 60);

/// Removes them.
pub(super) fn half_written(folder: &Path) -> std::io::Result<()> {
    for entry in std::fs::read_dir(folder)? {
        let entry = entry?;
        let path = entry.path();
        if entry.file_type()?.is_dir() {
            half_written(&path)?;
        } else if is_half_written(&entry.file_name().to_string_lossy()) && is_old(&path) {
            match std::fs::remove_file(path) {
                // Another desk swept at the same time.
                Err(error) if error.kind() == ErrorKind::NotFound => {}
                swept => swept?,
            }
        }
    }
    Ok(())
}

fn is_half_written(name: &str) -> bool {
    name.split_once('#')
        .is_some_and(|(_, number)| !number.is_empty() && number.bytes().all(|byte| byte.is_ascii_digit()))
}

fn is_old(path: &Path) -> bool {
    let written = path.metadata().and_then(|about| about.modified());
    written.is_ok_and(|written| SystemTime::now().duration_since(written).is_ok_and(|age| age > AT_WORK))
}
