//! `loomwalk report`.

use std::process::ExitCode;

/// Arguments of `loomwalk report`.
#[derive(Debug, clap::Args)]
pub struct Args {}

/// Runs it.
pub fn run(args: &Args) -> ExitCode {
    let _ = args;
    todo!("skeleton")
}
