//! `cargo xtask dist`: what is handed on?

use std::fs;

use anyhow::{Context, Result};

use crate::shell::{cargo, run, say, target};
use crate::web;

/// Builds app and program in release, side by side in target/dist.
pub fn dist() -> Result<()> {
    web::build()?;
    say("compiling the program in release");
    run(cargo().args(["build", "--release", "--bin", "loomwalk"]))?;
    let name = format!("loomwalk{}", std::env::consts::EXE_SUFFIX);
    let program = target().join("dist").join(&name);
    fs::copy(target().join("release").join(&name), &program)
        .with_context(|| format!("cannot write {}", program.display()))?;
    say(format!(
        "the program is target/dist/{name}; serve the app with: target/dist/{name} desk --app target/dist/web"
    ));
    Ok(())
}
