//! `loomwalk copy`: a whole store to another place, while desks work with it: a back-up, and back.

use std::process::ExitCode;

use crate::cli::circuit::say;
use crate::cli::data;
use crate::desk::store::copy::Copied;
use crate::desk::store::{Place, Store, StoreError};

/// Arguments of `loomwalk copy`.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The store to copy: file:///…, s3://…
    #[arg(value_name = "FROM")]
    from: Place,
    /// Where to; it is made where it is not there, and what is there already is left
    #[arg(value_name = "TO")]
    to: Place,
}

/// Runs it.
pub fn run(args: &Args) -> ExitCode {
    data::block_on("loomwalk copy", copy(args))
}

/// Why nothing was copied, or not all.
#[derive(Debug, thiserror::Error)]
enum CopyError {
    #[error("FROM and TO are one place, {0}; nothing was copied; name another as TO")]
    OntoItself(Place),
    #[error(transparent)]
    Store(#[from] StoreError),
    #[error("all of it was copied; {0}")]
    Untold(String),
}

async fn copy(args: &Args) -> Result<(), CopyError> {
    let Args { from, to } = args;
    // A back-up of what is not there, night after night, would be none on the day that it is needed.
    let store = Store::find(from).await?;
    if from.is(to) {
        return Err(CopyError::OntoItself(from.clone()));
    }
    let Copied { objects, bytes, there } = store.copy_to(&Store::open(to).await?).await?;
    let told = format!("{objects} objects copied from {from} to {to}, {bytes} bytes; {there} were there already\n");
    say(&told).map_err(CopyError::Untold)
}
