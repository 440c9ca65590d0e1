//! Where do the commands keep things, and how do they run what waits?

use std::path::PathBuf;
use std::process::ExitCode;

use crate::desk::store::Place;

/// `loomwalk` in the user's data folder: `$XDG_DATA_HOME`, or else `~/.local/share` (XDG Base Directory
/// Specification 0.8: a relative path there is to be ignored).
pub(super) fn folder() -> Option<PathBuf> {
    let named = std::env::var_os("XDG_DATA_HOME").map(PathBuf::from).filter(|path| path.is_absolute());
    let data = named.or_else(|| Some(std::env::home_dir()?.join(".local").join("share")))?;
    Some(data.join("loomwalk")).filter(|path| path.is_absolute())
}

/// The store that was named, or the user's own.
pub(super) fn store(named: Option<&Place>) -> Result<Place, String> {
    let own = || folder().map(Place::Folder);
    let place = named.cloned().or_else(own);
    place.ok_or_else(|| "the user's data folder is not known; name a folder with --store file:///…".to_owned())
}

/// Runs to the end, and says why it did not get there.
pub(super) fn block_on<E: std::fmt::Display>(command: &str, work: impl Future<Output = Result<(), E>>) -> ExitCode {
    let runtime = match tokio::runtime::Runtime::new() {
        Ok(runtime) => runtime,
        Err(error) => {
            eprintln!("{command}: cannot run: {error}");
            return ExitCode::FAILURE;
        }
    };
    match runtime.block_on(work) {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("{command}: {error}");
            ExitCode::FAILURE
        }
    }
}
