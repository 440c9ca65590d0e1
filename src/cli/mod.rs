//! The command line: one file a command.

pub mod access;
pub mod check;
pub mod circuit;
pub mod copy;
mod data;
pub mod desk;
pub mod estimate;
pub mod faults;
mod figures;
pub mod input;
pub mod isolate;
pub mod learn;
pub mod meter;
pub mod plan;
pub mod report;
pub mod story;

use std::process::ExitCode;

use clap::{Parser, Subcommand};

/// Find where a live wire rubs on metal and opens a fuse now and then.
#[derive(Debug, Parser)]
#[command(name = "loomwalk", version)]
struct CommandLine {
    #[command(subcommand)]
    command: Command,
}

#[derive(Debug, Subcommand)]
enum Command {
    /// What a short to ground at each end of every run would do
    Faults(faults::Args),
    /// What a meter should read at the fuse, and what the loads should draw
    Meter(meter::Args),
    /// Whether what is dead fits the open fuse
    Story(story::Args),
    /// A fresh fuse opens at once: what to unplug next
    Isolate(isolate::Args),
    /// Where to look, in the order that finds the place soonest
    Plan(plan::Args),
    /// The hand-over page of a bundle
    Report(report::Args),
    /// What the repairs of a bundle cost by the shop's prices
    Estimate(estimate::Args),
    /// What closed jobs teach about where wires rub
    Learn(learn::Args),
    /// Whether files of ours are sound
    Check(check::Args),
    /// Serve the app, receive bundles, show them to the service writer
    Desk(Box<desk::Args>),
    /// Who may come in to the desk: codes, phones, the password
    Access(access::Args),
    /// Copy a desk's store to another place: a back-up, and back
    Copy(copy::Args),
}

/// Reads the command line, runs the command, and says how it ended: 0 done, 1 the input was wrong, 2 wrong usage.
pub fn run() -> ExitCode {
    match CommandLine::parse().command {
        Command::Faults(args) => faults::run(&args),
        Command::Meter(args) => meter::run(&args),
        Command::Story(args) => story::run(&args),
        Command::Isolate(args) => isolate::run(&args),
        Command::Plan(args) => plan::run(&args),
        Command::Report(args) => report::run(&args),
        Command::Estimate(args) => estimate::run(&args),
        Command::Learn(args) => learn::run(&args),
        Command::Check(args) => check::run(&args),
        Command::Desk(args) => desk::run(&args),
        Command::Access(args) => access::run(&args),
        Command::Copy(args) => copy::run(&args),
    }
}
