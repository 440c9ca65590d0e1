//! `cargo xtask dist`: what is handed on?

use std::fs;

use anyhow::{Context, Result};

use crate::shell::{cargo, root, run, say, target};
use crate::web;

/// What a machine that runs a desk needs beside the program.
const BESIDE: [&str; 2] = ["loomwalk-desk.service", "Containerfile"];

/// Builds the app, then the program with the app inside, in target/dist; with what helps to run it.
pub fn dist() -> Result<()> {
    web::build()?;
    say("compiling the program in release, with the app inside");
    run(cargo().args(["build", "--release", "--bin", "loomwalk", "--features", "app_inside"]))?;
    let name = format!("loomwalk{}", std::env::consts::EXE_SUFFIX);
    let dist = target().join("dist");
    let copy = |from: std::path::PathBuf, to: std::path::PathBuf| {
        fs::copy(&from, &to).with_context(|| format!("cannot write {}", to.display())).map(drop)
    };
    copy(target().join("release").join(&name), dist.join(&name))?;
    for file in BESIDE {
        copy(root().join("assets/deploy").join(file), dist.join(file))?;
    }
    say(format!("target/dist/{name} is the whole desk, the app inside: target/dist/{name} desk"));
    say("target/dist/web is the app alone, for any https host; beside them a systemd unit and a Containerfile");
    Ok(())
}
