//! Does anything that someone else wrote bring down what reads it? Builds fuzz/ and runs its targets, each for a fixed number
//! of inputs.
//!
//! fuzz/ has the layout of cargo-fuzz, with which it can be run for longer. That needs a nightly compiler for its
//! sanitizers; they look for mistakes of unsafe code, of which there is none here. So a stable compiler does, with the
//! flags that tell libFuzzer which code an input has reached.

use std::fs::{self, File};
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::sync::Mutex;
use std::thread;
use std::time::Instant;

use anyhow::{Context, Result, bail};

use crate::shell::{cargo, on_path, root, run, shown, target};
use crate::tools::apt_install;

/// Shared with fuzz/ and with tests/fuzz_kept.rs.
#[path = "../../fuzz/src/targets.rs"]
mod targets;
use targets::{FOLDER, TARGETS, Target};

/// Longer than that on one input is a hang, s. The slowest takes some hundredths.
const HANG_S: u32 = 60;
/// More memory than that is too much, MB. All of it takes some 60.
const MEMORY_MB: u32 = 1_000;
/// Tells libFuzzer which code was reached.
const COVERAGE: &str = "-Cpasses=sancov-module -Cllvm-args=-sanitizer-coverage-level=4 \
    -Cllvm-args=-sanitizer-coverage-inline-8bit-counters -Cllvm-args=-sanitizer-coverage-pc-table --cfg fuzzing";

/// How many targets found nothing, and how many an input that panics, hangs or takes too much memory.
pub fn fuzz() -> Result<(u64, u64)> {
    if on_path("c++").is_none() {
        apt_install(&["g++"], "compiling libFuzzer")?;
    }
    let folder = target().join("fuzz");
    let mut build = cargo();
    // Named, so that the flags are not for build scripts and macros.
    build.args(["build", "--release", "--manifest-path", "fuzz/Cargo.toml", "--target", "host-tuple"]);
    build.env("RUSTFLAGS", COVERAGE).env("CARGO_TARGET_DIR", &folder);
    run(&mut build)?;
    let programs = programs(&folder)?;
    // Each target is the same whatever runs beside it: as many at a time as there are cores.
    let (waiting, failed) = (Mutex::new(TARGETS.iter()), Mutex::new(Vec::new()));
    let next = || waiting.lock().ok().and_then(|mut waiting| waiting.next());
    thread::scope(|scope| {
        for _ in 0..thread::available_parallelism().map_or(1, Into::into) {
            scope.spawn(|| {
                while let Some(target) = next() {
                    match feed(target, &folder, &programs) {
                        Ok(told) => println!("{}: {told}", target.name),
                        Err(error) => {
                            println!("{}: {error:#}", target.name);
                            failed.lock().unwrap_or_else(|poisoned| poisoned.into_inner()).push(target.name);
                        }
                    }
                }
            });
        }
    });
    let failed = failed.into_inner().unwrap_or_default().len() as u64;
    Ok((TARGETS.len() as u64 - failed, failed))
}

/// Runs one target; says what it came to. What libFuzzer says goes to a file.
fn feed(target: &Target, folder: &Path, programs: &Path) -> Result<String> {
    let start = Instant::now();
    // From nothing each time: on one machine the same inputs come in the same order.
    let kept = anew(&folder.join("kept").join(target.name))?;
    let found = anew(&folder.join("found").join(target.name))?;
    let mut number = 0;
    let own = Some(root().join(FOLDER).join(target.name)).filter(|own| own.is_dir());
    for place in target.kept.iter().map(|kept| root().join(kept)).chain(own) {
        for file in files(&place)? {
            // Cut off they would be other inputs; tests/fuzz_kept.rs feeds them whole.
            if fs::metadata(&file)?.len() <= target.longest as u64 {
                fs::copy(&file, kept.join(number.to_string()))?;
                number += 1;
            }
        }
    }
    let told = folder.join(format!("{}.txt", target.name));
    let mut fuzz = Command::new(programs.join(target.name));
    fuzz.args([format!("-runs={}", target.inputs), format!("-max_len={}", target.longest)]);
    fuzz.args([format!("-timeout={HANG_S}"), format!("-rss_limit_mb={MEMORY_MB}")]);
    // Each input is one or two changes away from another: after more of them hardly any is read.
    fuzz.args(["-seed=1", "-mutate_depth=2", "-print_final_stats=1"]);
    fuzz.arg(format!("-artifact_prefix={}/{}.", folder.display(), target.name));
    fuzz.arg(&found).arg(&kept).stdin(Stdio::null());
    fuzz.stdout(File::create(&told)?).stderr(File::options().append(true).open(&told)?);
    let status = fuzz.status().with_context(|| format!("cannot start {}", shown(&fuzz)))?;
    let said = String::from_utf8_lossy(&fs::read(&told)?).into_owned();
    if !status.success() {
        bail!("an input failed ({status}):\n{said}");
    }
    let number = |before: &str| {
        let (_, behind) = said.rsplit_once(before)?;
        behind.split_whitespace().next().map(str::to_owned)
    };
    let inputs = number("stat::number_of_executed_units:").context("libFuzzer did not say how many inputs it tried")?;
    let (reached, features) = (number("cov: ").unwrap_or_default(), number("ft: ").unwrap_or_default());
    let seconds = start.elapsed().as_secs_f64();
    Ok(format!("{inputs} inputs, {reached} branches of the code, {features} features, {seconds:.1} s"))
}

/// A folder with nothing in it.
fn anew(folder: &Path) -> Result<PathBuf> {
    if folder.exists() {
        fs::remove_dir_all(folder)?;
    }
    fs::create_dir_all(folder).with_context(|| format!("cannot make {}", folder.display()))?;
    Ok(folder.to_owned())
}

/// A file, or those of a folder in the order of their names.
fn files(place: &Path) -> Result<Vec<PathBuf>> {
    if place.is_file() {
        return Ok(vec![place.to_owned()]);
    }
    let entries = fs::read_dir(place).with_context(|| format!("cannot read {}", place.display()))?;
    let mut files = entries.map(|entry| Ok(entry?.path())).collect::<Result<Vec<_>>>()?;
    files.retain(|file| file.is_file());
    files.sort();
    Ok(files)
}

/// Where the programs are that were just built, under the folder that is named after this machine's kind.
fn programs(folder: &Path) -> Result<PathBuf> {
    for entry in fs::read_dir(folder)? {
        let programs = entry?.path().join("release");
        if programs.join(TARGETS[0].name).is_file() {
            return Ok(programs);
        }
    }
    bail!("fuzz/ was built, but there is no program under {}", folder.display())
}
