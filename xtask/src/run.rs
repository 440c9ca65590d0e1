//! `cargo xtask run`: how is the app tried on this machine?

use std::net::{SocketAddr, TcpListener};
use std::process::Command;

use anyhow::{Result, bail};

use crate::shell::{cargo, run as run_to_end, say, target};
use crate::web;

/// Arguments of `cargo xtask run`.
#[derive(clap::Args)]
pub struct Args {
    /// Address and port to serve at
    #[arg(long, default_value = "127.0.0.1:8080")]
    listen: String,
    /// Where the desk keeps what it receives: file:///… or an object store's URL [default: a folder of yours]
    #[arg(long)]
    store: Option<String>,
}

/// Builds all and serves it until Ctrl-C.
pub fn run(args: &Args) -> Result<()> {
    // Asked before the build, so that nobody waits minutes for this answer.
    if let Err(error) = TcpListener::bind(&args.listen) {
        bail!("{} cannot be used ({error}); choose another: cargo xtask run --listen 127.0.0.1:8081", args.listen);
    }
    let built = web::build()?;
    say("compiling the desk");
    run_to_end(cargo().args(["build", "--bin", "loomwalk"]))?;

    let mut desk = Command::new(target().join("debug").join(format!("loomwalk{}", std::env::consts::EXE_SUFFIX)));
    desk.args(["desk", "--listen", &args.listen, "--app"]).arg(&built.folder);
    if let Some(store) = &args.store {
        desk.args(["--store", store]);
    }
    if args.listen.parse::<SocketAddr>().is_ok_and(|address| address.ip().is_loopback()) {
        say(format!("Loomwalk is at http://{}/ · Ctrl-C stops it", args.listen));
    } else {
        say("The desk says under which addresses others reach it · Ctrl-C stops it");
    }
    become_program(desk)
}

/// Goes on as the other program, so that Ctrl-C reaches it alone and the shell waits until it has ended.
#[cfg(unix)]
fn become_program(mut program: Command) -> Result<()> {
    use std::os::unix::process::CommandExt;
    Err(program.exec().into())
}

#[cfg(not(unix))]
fn become_program(mut program: Command) -> Result<()> {
    let status = program.status()?;
    if !status.success() {
        bail!("the desk ended with {status}");
    }
    Ok(())
}
