//! Does any circuit file bring down what reads it? Builds fuzz/ and runs it for a fixed number of inputs.
//!
//! fuzz/ has the layout of cargo-fuzz, with which it can be run for longer. That needs a nightly compiler for its
//! sanitizers; they look for mistakes of unsafe code, of which there is none here. So a stable compiler does, with the
//! flags that tell libFuzzer which code an input has reached.

use std::fs;
use std::process::Command;

use anyhow::{Context, Result, bail};

use crate::shell::{cargo, on_path, root, run, target};
use crate::tools::apt_install;

/// How many inputs are tried: the kept ones, and what becomes of them.
const INPUTS: u32 = 20_000;
/// Longer than that on one input is a hang, s. The slowest takes some hundredths.
const HANG_S: u32 = 60;
/// More memory than that is too much, MB. All of it takes some 60.
const MEMORY_MB: u32 = 1_000;
/// Tells libFuzzer which code was reached.
const COVERAGE: &str = "-Cpasses=sancov-module -Cllvm-args=-sanitizer-coverage-level=4 \
    -Cllvm-args=-sanitizer-coverage-inline-8bit-counters -Cllvm-args=-sanitizer-coverage-pc-table --cfg fuzzing";
/// Sound and wrong circuits to start from.
const KEPT: [&str; 2] = ["tests/cases/circuits", "tests/cases/wrong_circuits"];

/// Fails on an input that panics, hangs or takes too much memory; libFuzzer names the file that holds it.
pub fn fuzz() -> Result<()> {
    if on_path("c++").is_none() {
        apt_install(&["g++"], "compiling libFuzzer")?;
    }
    let folder = target().join("fuzz");
    let mut build = cargo();
    // Named, so that the flags are not for build scripts and macros.
    build.args(["build", "--release", "--manifest-path", "fuzz/Cargo.toml", "--target", "host-tuple"]);
    build.env("RUSTFLAGS", COVERAGE).env("CARGO_TARGET_DIR", &folder);
    run(&mut build)?;
    let found = folder.join("found");
    // From nothing each time: the same inputs come in the same order.
    if found.exists() {
        fs::remove_dir_all(&found)?;
    }
    fs::create_dir_all(&found).context("cannot keep what is found")?;
    let mut fuzz = Command::new(program(&folder)?);
    fuzz.args([format!("-runs={INPUTS}"), format!("-timeout={HANG_S}"), format!("-rss_limit_mb={MEMORY_MB}")]);
    // Each input is one or two changes away from another: after more of them hardly any is a circuit.
    fuzz.args(["-seed=1", "-max_len=8192", "-mutate_depth=2", "-print_final_stats=1", "-verbosity=0"]);
    fuzz.arg(format!("-artifact_prefix={}/", folder.display()));
    run(fuzz.arg(&found).args(KEPT.map(|kept| root().join(kept))))
}

/// The program that was just built, under the folder that is named after this machine's kind.
fn program(folder: &std::path::Path) -> Result<std::path::PathBuf> {
    for entry in fs::read_dir(folder)? {
        let program = entry?.path().join("release/circuit");
        if program.is_file() {
            return Ok(program);
        }
    }
    bail!("fuzz/ was built, but there is no program under {}", folder.display())
}
