//! `loomwalk report`: the hand-over page of a bundle, as one file that opens anywhere.

use std::path::{Path, PathBuf};
use std::process::ExitCode;

use crate::bundle::BundleError;
use crate::bundle::file::HAND_OVER_LIMIT;
use crate::bundle::read::{Opened, open};
use crate::cli::input::{self, InputError};
use crate::ids::PhotoHash;
use crate::report;

/// Arguments of `loomwalk report`.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The hand-over file, `….loomwalk.json`
    #[arg(value_name = "BUNDLE")]
    bundle: PathBuf,
    /// Where to write the page; an existing file is replaced
    #[arg(short, long, value_name = "FILE.html")]
    out: PathBuf,
}

/// Why there is no report.
#[derive(Debug, thiserror::Error)]
enum ReportError {
    #[error(transparent)]
    Input(#[from] InputError),
    #[error("{file}: {error}")]
    Bundle { file: String, error: Box<BundleError> },
    #[error("{file}: the page cannot be written here: {error}; choose another place with -o")]
    Output { file: String, error: std::io::Error },
}

/// Runs it.
pub fn run(args: &Args) -> ExitCode {
    match write(&args.bundle, &args.out) {
        Ok(missing) => {
            println!("{}: written", args.out.display());
            if missing > 0 {
                println!("{missing} of its photographs are not in the file: the page says which");
            }
            ExitCode::SUCCESS
        }
        Err(error) => {
            eprintln!("{error}");
            ExitCode::FAILURE
        }
    }
}

/// Writes the page; says how many photographs are missing.
fn write(from: &Path, to: &Path) -> Result<usize, ReportError> {
    let bytes = input::read(from, HAND_OVER_LIMIT)?;
    let opened = open(&bytes, HAND_OVER_LIMIT)
        .map_err(|error| ReportError::Bundle { file: from.display().to_string(), error: error.into() })?;
    let page = report::html(&opened.bundle, &|photo| data_uri(&opened, photo));
    std::fs::write(to, page).map_err(|error| ReportError::Output { file: to.display().to_string(), error })?;
    let photos = &opened.bundle.photos;
    Ok(photos.iter().filter(|photo| opened.base64(&photo.photo.sha256).is_none()).count())
}

/// The picture or the recording inside the page. Only what browsers show or play, and nothing else.
fn data_uri(opened: &Opened, photo: &PhotoHash) -> Option<String> {
    let data = opened.base64(photo)?;
    let kept = opened.bundle.photos.iter().find(|kept| kept.photo.sha256 == *photo)?;
    let media_type = kept.photo.media_type.as_str();
    let shown =
        ["image/jpeg", "image/png", "image/webp", "image/avif", "image/gif", "audio/webm", "audio/mp4", "audio/ogg"];
    shown.contains(&media_type).then(|| format!("data:{media_type};base64,{data}"))
}
