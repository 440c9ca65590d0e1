//! `loomwalk report`: the hand-over page of a bundle, as one file that opens anywhere.

use std::path::PathBuf;
use std::process::ExitCode;

use crate::bundle::BundleError;
use crate::bundle::file::HAND_OVER_LIMIT;
use crate::bundle::read::{Opened, open};
use crate::cli::circuit::print;
use crate::cli::estimate::{PricesInputError, read_prices};
use crate::cli::input::{self, InputError};
use crate::ids::PhotoHash;
use crate::report::{self, Kind, Lang, Wish};

/// Arguments of `loomwalk report`.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The hand-over file, `….loomwalk.json`
    #[arg(value_name = "BUNDLE")]
    bundle: PathBuf,
    /// Where to write the page; an existing file is replaced
    #[arg(short, long, value_name = "FILE.html")]
    out: PathBuf,
    /// The sheet for the customer, in plain words, in place of the page for the file
    #[arg(long)]
    customer: bool,
    /// With --customer: in which language, as en, de or es
    #[arg(long, value_name = "TAG", default_value = "en", requires = "customer", value_parser = lang)]
    lang: Lang,
    /// With an estimate by this file of prices
    #[arg(long, value_name = "FILE")]
    prices: Option<PathBuf>,
}

/// A language that the sheet is written in. In a browser another is taken for English; here it was asked for.
fn lang(tag: &str) -> Result<Lang, String> {
    let lang = Lang::of(tag);
    let language = tag.trim().split(['-', '_']).next().unwrap_or_default();
    let known = lang.tag().eq_ignore_ascii_case(language);
    if known { Ok(lang) } else { Err("the sheet is written in en, de or es; take one of them".to_owned()) }
}

/// Why there is no report.
#[derive(Debug, thiserror::Error)]
enum ReportError {
    #[error(transparent)]
    Input(#[from] InputError),
    #[error("{file}: {error}")]
    Bundle { file: String, error: Box<BundleError> },
    #[error(transparent)]
    Prices(#[from] PricesInputError),
    #[error("{file}: the page cannot be written here: {error}; choose another place with -o")]
    Output { file: String, error: std::io::Error },
}

/// Runs it.
pub fn run(args: &Args) -> ExitCode {
    match write(args) {
        Ok(missing) => {
            let mut told = format!("{}: written\n", args.out.display());
            if missing > 0 {
                told += &format!("{missing} of its photographs are not in the file: the page says which\n");
            }
            print(Ok(told))
        }
        Err(error) => print(Err(error.to_string())),
    }
}

/// Writes the page; says how many photographs are missing.
fn write(args: &Args) -> Result<usize, ReportError> {
    let Args { bundle: from, out: to, customer, lang, prices } = args;
    let prices = prices.as_deref().map(read_prices).transpose()?;
    let bytes = input::read(from, HAND_OVER_LIMIT)?;
    let opened = open(&bytes, HAND_OVER_LIMIT)
        .map_err(|error| ReportError::Bundle { file: from.display().to_string(), error: error.into() })?;
    let kind = if *customer { Kind::Customer } else { Kind::File };
    let wish = Wish { kind, prices: prices.as_ref(), lang: *lang };
    let page = report::html_for(&opened.bundle, &|photo| data_uri(&opened, photo), &wish);
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
