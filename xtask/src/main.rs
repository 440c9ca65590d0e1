//! `cargo xtask …`: everything that is done to Loomwalk from its folder, and what each of these needs.
//!
//! | file | answers |
//! |---|---|
//! | `shell` | how other programs are started |
//! | `tools` | what has to be installed, how, and how that is noticed |
//! | `wasm` | which compiler makes the program for the browser |
//! | `web` | from sources to the folder that a server hands out |
//! | `site` | what is in that folder, under which names, and what is kept offline |
//! | `words`, `message` | what the app says in other languages, and how the page gets it |
//! | `fuzz` | whether anything that someone else wrote brings down what reads it |
//! | `test`, `bench`, `run`, `dist` | one command each |

mod bench;
mod dist;
mod fuzz;
mod message;
mod run;
mod shell;
mod site;
mod test;
mod tools;
mod wasm;
mod web;
mod words;

use std::process::ExitCode;

use clap::{Parser, Subcommand};

/// Builds, runs and tests Loomwalk. Installs what that needs, says so, and is safe to repeat.
#[derive(Parser)]
#[command(name = "cargo xtask", bin_name = "cargo xtask")]
struct CommandLine {
    #[command(subcommand)]
    command: Command,
}

#[derive(Subcommand)]
enum Command {
    /// Build the app for the browser into target/dist/web
    Build,
    /// Build all, then serve app and desk on this machine until Ctrl-C
    Run(run::Args),
    /// Formatting, lints, docs, and all tests, those in a browser too
    Test(test::Args),
    /// Speed, download size and what a browser measures, beside the limits of benches/budget.toml
    Bench(bench::Args),
    /// What is handed on: target/dist/web and the program target/dist/loomwalk
    Dist,
}

fn main() -> ExitCode {
    let done = match CommandLine::parse().command {
        Command::Build => web::build().map(|_| true),
        Command::Run(args) => run::run(&args).map(|()| true),
        Command::Test(args) => test::test(&args),
        Command::Bench(args) => bench::bench(&args),
        Command::Dist => dist::dist().map(|()| true),
    };
    match done {
        Ok(true) => ExitCode::SUCCESS,
        Ok(false) => ExitCode::FAILURE,
        Err(error) => {
            eprintln!("error: {error:#}");
            ExitCode::FAILURE
        }
    }
}
