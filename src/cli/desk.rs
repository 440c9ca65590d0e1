//! `loomwalk desk`: where to listen and what to keep, and nothing else.

use std::path::PathBuf;
use std::process::ExitCode;

use crate::desk::serve::{self, Listen};
use url::Url;

/// Arguments of `loomwalk desk`.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// Address and port to answer at; port 0 takes a free one. Loopback only
    #[arg(long, value_name = "ADDRESS", default_value = "127.0.0.1:8080")]
    listen: Listen,
    /// Folder that keeps the jobs and their photos, as file:///… [default: loomwalk in the user's data folder]
    #[arg(long, value_name = "URL", value_parser = folder_of)]
    store: Option<PathBuf>,
    /// Folder with the built app; without it only the desk is served
    #[arg(long, value_name = "DIR")]
    app: Option<PathBuf>,
}

/// Why a store's address is refused.
#[derive(Debug, PartialEq, Eq, thiserror::Error)]
enum StoreUrlError {
    #[error("this is not a URL; write a folder as file:///path/to/folder")]
    NotAUrl,
    #[error("this version keeps its store in a folder only, not at {0}://…; write file:///path/to/folder")]
    NotAFolder(String),
}

fn folder_of(text: &str) -> Result<PathBuf, StoreUrlError> {
    let url = Url::parse(text).map_err(|_| StoreUrlError::NotAUrl)?;
    if url.scheme() != "file" {
        return Err(StoreUrlError::NotAFolder(url.scheme().to_owned()));
    }
    url.to_file_path().map_err(|()| StoreUrlError::NotAUrl)
}

/// `loomwalk` in the user's data folder: `$XDG_DATA_HOME`, or else `~/.local/share` (XDG Base Directory
/// Specification 0.8: a relative path there is to be ignored).
fn default_store() -> Option<PathBuf> {
    let named = std::env::var_os("XDG_DATA_HOME").map(PathBuf::from).filter(|path| path.is_absolute());
    let data = named.or_else(|| Some(std::env::home_dir()?.join(".local").join("share")))?;
    Some(data.join("loomwalk")).filter(|path| path.is_absolute())
}

/// Runs it.
pub fn run(args: &Args) -> ExitCode {
    let Some(store) = args.store.clone().or_else(default_store) else {
        eprintln!("loomwalk desk: the user's data folder is not known; name a folder with --store file:///…");
        return ExitCode::from(2);
    };
    let runtime = match tokio::runtime::Runtime::new() {
        Ok(runtime) => runtime,
        Err(error) => {
            eprintln!("loomwalk desk: cannot run: {error}");
            return ExitCode::FAILURE;
        }
    };
    match runtime.block_on(serve::run(args.listen, &store, args.app.clone())) {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("loomwalk desk: {error}");
            ExitCode::FAILURE
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_store_is_a_folder_named_by_a_url() {
        assert_eq!(folder_of("file:///srv/my%20jobs"), Ok(PathBuf::from("/srv/my jobs")));
        assert_eq!(folder_of("file://localhost/srv"), Ok(PathBuf::from("/srv")));
        assert_eq!(folder_of("/srv/jobs"), Err(StoreUrlError::NotAUrl));
        assert_eq!(folder_of("s3://bucket/jobs"), Err(StoreUrlError::NotAFolder("s3".to_owned())));
        assert_eq!(folder_of("file://elsewhere/srv"), Err(StoreUrlError::NotAUrl));
    }
}
