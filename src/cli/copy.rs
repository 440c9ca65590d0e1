//! `loomwalk copy`: a whole store to another place, while desks work with it: a back-up, and back.

use std::process::ExitCode;

use crate::cli::data;
use crate::desk::store::copy::Copied;
use crate::desk::store::{Place, Store, StoreError};

/// Arguments of `loomwalk copy`.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The store to copy: file:///…, s3://…
    #[arg(value_name = "FROM")]
    from: Place,
    /// Where to; what is there already is left
    #[arg(value_name = "TO")]
    to: Place,
}

/// Runs it.
pub fn run(args: &Args) -> ExitCode {
    data::block_on("loomwalk copy", copy(args))
}

async fn copy(args: &Args) -> Result<(), StoreError> {
    let (from, to) = (Store::open(&args.from).await?, Store::open(&args.to).await?);
    let Copied { objects, bytes, there } = from.copy_to(&to).await?;
    println!("{objects} objects copied, {bytes} bytes; {there} were there already");
    Ok(())
}
