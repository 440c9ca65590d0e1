//! How are other programs started, and what do they get to see of our surroundings?

use std::env;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use anyhow::{Context, Result, bail};

/// The folder with the workspace's Cargo.toml.
pub fn root() -> PathBuf {
    let here = env::var_os("CARGO_MANIFEST_DIR").map_or_else(|| PathBuf::from("xtask"), PathBuf::from);
    here.parent().map_or_else(|| PathBuf::from("."), Path::to_path_buf)
}

/// Where cargo puts what it makes for this machine, and we all else. `CARGO_TARGET_DIR` moves it.
pub fn target() -> PathBuf {
    root().join(env::var_os("CARGO_TARGET_DIR").unwrap_or_else(|| "target".into()))
}

/// One line on what is being done and why.
pub fn say(line: impl AsRef<str>) {
    println!("-- {}", line.as_ref());
}

/// The cargo that runs us.
pub fn cargo() -> Command {
    let mut command = Command::new(env::var_os("CARGO").unwrap_or_else(|| "cargo".into()));
    command.current_dir(root());
    forget_cargo_run(&mut command);
    command
}

/// Takes away what `cargo run` has told us about the package xtask: another cargo, and the build scripts and macros
/// under it, would take it for their own, and build again what is built.
pub fn forget_cargo_run(command: &mut Command) {
    const OURS: [&str; 3] = ["CARGO_PKG_", "CARGO_MANIFEST_", "CARGO_BIN_"];
    for (name, _) in env::vars_os() {
        if name.to_str().is_some_and(|name| OURS.iter().any(|prefix| name.starts_with(prefix))) {
            command.env_remove(name);
        }
    }
}

/// Runs a program to its end, its output passing through; an error if it fails.
pub fn run(command: &mut Command) -> Result<()> {
    let status = command.stdin(Stdio::null()).status().with_context(|| format!("cannot start {}", shown(command)))?;
    if !status.success() {
        bail!("{} failed ({status})", shown(command));
    }
    Ok(())
}

/// Runs a program without showing what it says; returns its output, or an error with what it complained of.
pub fn output(command: &mut Command) -> Result<String> {
    let output = command.stdin(Stdio::null()).output().with_context(|| format!("cannot start {}", shown(command)))?;
    if !output.status.success() {
        let said = String::from_utf8_lossy(&output.stderr);
        bail!("{} failed ({}): {}", shown(command), output.status, said.trim());
    }
    Ok(String::from_utf8_lossy(&output.stdout).into_owned())
}

/// A command as a person would type it.
pub fn shown(command: &Command) -> String {
    let program = Path::new(command.get_program()).file_name().unwrap_or(command.get_program());
    let words = std::iter::once(program).chain(command.get_args());
    words.map(|word| word.to_string_lossy()).collect::<Vec<_>>().join(" ")
}

/// Where a program of this name is found on the PATH.
pub fn on_path(program: &str) -> Option<PathBuf> {
    let path = env::var_os("PATH")?;
    env::split_paths(&path).map(|folder| folder.join(program)).find(|file| file.is_file())
}
