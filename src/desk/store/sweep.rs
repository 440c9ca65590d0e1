//! What did a killed desk leave half-written? Files that the folder store calls `<name>#<number>` and never shows.

use std::fs::DirEntry;
use std::io::ErrorKind;
use std::path::Path;
use std::time::{Duration, SystemTime};

use super::{FILES, FOLDERS};

/// Younger ones may belong to a desk that is at it: several may share one folder.
const AT_WORK: Duration = Duration::from_secs(24 * 60 * 60);
/// Letters that the names of our objects have at least: those of a piece of an upload. Ids and hashes have more.
const LEAST_LETTERS: usize = 21;

/// Removes them from a folder that is a store. Where a user named a folder with other things in it, these may be called
/// alike (`Invoice #12`), or not even be for us to look at (`lost+found`): only where a desk writes is looked, and only
/// what is named as a desk names is removed.
pub(super) fn half_written(store: &Path) -> std::io::Result<()> {
    for entry in std::fs::read_dir(store)? {
        let entry = entry?;
        let name = entry.file_name();
        if !entry.file_type()?.is_dir() {
            remove(&entry, |name| FILES.contains(&name))?;
        } else if FOLDERS.iter().any(|folder| name == *folder) {
            within(&entry.path())?;
        }
    }
    Ok(())
}

fn within(folder: &Path) -> std::io::Result<()> {
    for entry in std::fs::read_dir(folder)? {
        let entry = entry?;
        if entry.file_type()?.is_dir() {
            within(&entry.path())?;
        } else {
            remove(&entry, is_an_objects)?;
        }
    }
    Ok(())
}

/// Removes a file if it is half-written, old, and was to become something of ours.
fn remove(file: &DirEntry, is_ours: impl Fn(&str) -> bool) -> std::io::Result<()> {
    let name = file.file_name();
    let ours = name.to_str().and_then(half_written_of).is_some_and(is_ours);
    if !ours || !is_old(file) {
        return Ok(());
    }
    match std::fs::remove_file(file.path()) {
        // Another desk swept at the same time.
        Err(error) if error.kind() == ErrorKind::NotFound => Ok(()),
        swept => swept,
    }
}

/// What a half-written file was to become. `None`: it is not half-written.
fn half_written_of(name: &str) -> Option<&str> {
    let (whole, number) = name.split_once('#')?;
    (!number.is_empty() && number.bytes().all(|byte| byte.is_ascii_digit())).then_some(whole)
}

/// Whether an object in one of our folders may be called so: by ids, hashes and numbers, but for two.
fn is_an_objects(name: &str) -> bool {
    let stem = name.strip_suffix(".json").unwrap_or(name);
    let by_ids = stem.bytes().all(|byte| byte.is_ascii_hexdigit() || byte == b'-' || byte == b'_');
    (by_ids && stem.len() >= LEAST_LETTERS) || ["jobs.jsonl", "password.json"].contains(&name)
}

fn is_old(file: &DirEntry) -> bool {
    let written = file.metadata().and_then(|about| about.modified());
    written.is_ok_and(|written| SystemTime::now().duration_since(written).is_ok_and(|age| age > AT_WORK))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_what_a_desk_names_so_is_half_written() {
        let hash = "6b7fa434f92a8b80aab02d9bf1a12e49ffcae424e4013a1c4f68b67e3d2bbcd0";
        let id = "01890a5d-ac96-774b-bcce-b30200000000";
        let ours = |name: &str| half_written_of(name).is_some_and(is_an_objects);
        for name in [hash, id, &format!("{id}.json"), &format!("{id}_{id}_{id}"), "0000000000-0000000005"] {
            assert!(ours(&format!("{name}#7")) && !ours(name), "{name}");
        }
        assert!(ours("jobs.jsonl#1") && ours("password.json#1"));
        for strange in ["Invoice #12", "fix#123", "#12345", "cafe#1", "face-to-face-and-back-again.json#2"] {
            assert!(!ours(strange), "{strange}");
        }
        for strange in [format!("{hash}#"), format!("{hash}#1a"), format!("{hash}#1#2")] {
            assert!(!ours(&strange), "{strange}");
        }
    }
}
