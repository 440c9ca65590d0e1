//! `cargo xtask test`: does everything hold? Goes through all steps, and counts.

use std::io::{BufRead, BufReader, Write, stdout};
use std::process::{Command, Stdio};
use std::thread;
use std::time::Instant;

use anyhow::{Context, Result, anyhow, bail};

use crate::fuzz;
use crate::shell::{cargo, root, run, shown, target};
use crate::tools::{self, npm_package};
use crate::wasm::Toolchain;
use crate::web;

const TYPESCRIPT: &str = "5.9.3";

/// Arguments of `cargo xtask test`.
#[derive(clap::Args)]
pub struct Args {
    /// Only the files in tests/, and the tests in them, with this in their names: `cargo xtask test browser_forms`; `fuzz`
    /// feeds its targets, too
    only: Option<String>,
}

/// Tests that passed and failed. A step that is not a run of tests counts as one.
#[derive(Debug, Default, Clone, Copy, PartialEq, Eq)]
struct Count {
    passed: u64,
    failed: u64,
}

/// Runs all steps, also after one has failed. The last line says how many tests passed and failed; true if none failed.
pub fn test(args: &Args) -> Result<bool> {
    let mut report = Report::default();
    // Its programs are made by one core each, for minutes: the lints go on beside that, and what both say is mixed.
    let beside = thread::spawn(|| {
        let app = web::build().and_then(|built| Ok((built.folder, web::build_example("store_contract", &[])?)));
        (app, tools::for_tests())
    });
    if args.only.is_none() {
        report.step("formatting", || {
            run(cargo().args(["fmt", "--all", "--check"]))?;
            run(cargo().args(["fmt", "--check", "--manifest-path", "fuzz/Cargo.toml"]))
        });
        report.step("lints", || run(cargo().args(["clippy", "--workspace", "--all-targets", "--", "-D", "warnings"])));
        report.step("lints of the app in the browser", || {
            let mut clippy = Toolchain::find()?.clippy();
            run(clippy.args(["--profile", "wasm-release", "--bin", "loomwalk", "--lib", "--", "-D", "warnings"]))
        });
        report.step("documentation", || {
            run(cargo().args(["doc", "--workspace", "--no-deps"]).env("RUSTDOCFLAGS", "-D warnings"))
        });
        report.step("lints of the fuzz targets", || {
            run(cargo()
                .args(["clippy", "--manifest-path", "fuzz/Cargo.toml", "--", "-D", "warnings"])
                .env("CARGO_TARGET_DIR", target()))
        });
        report.step("types of the scripts", check_scripts);
    }
    if matches!(args.only.as_deref(), None | Some("fuzz")) {
        report.tests("what no one would write", || fuzz::fuzz().map(|(passed, failed)| Count { passed, failed }));
    }
    let (app, tools) = beside.join().unwrap_or_else(|_| (Err(anyhow!("the build panicked")), tools::for_tests()));
    let (web, page) = report.step("the app, and the page of the store's tests, made beside all that", || app).unzip();
    let tools = report.step("what the tests use", || tools);

    report.tests("tests", || {
        let mut tests = cargo();
        tests.args(["test", "--no-fail-fast"]);
        match &args.only {
            Some(name) => tests.args(["--test", "*", "--", name]),
            None => tests.args(["--workspace", "--"]),
        };
        tests.envs(web.map(|folder| ("LOOMWALK_WEB", folder))).envs(page.map(|folder| ("LOOMWALK_STORE_PAGE", folder)));
        if !tools.iter().flatten().any(|(name, _)| tools::OTHER_ENGINES.contains(name)) {
            tests.args(["--skip", "in_firefox_", "--skip", "in_webkit_"]);
        }
        tests.envs(tools.into_iter().flatten());
        count_tests(&mut tests)
    });
    Ok(report.end())
}

/// What the steps have come to.
#[derive(Default)]
struct Report {
    count: Count,
    failed: Vec<&'static str>,
}

impl Report {
    /// A step that either holds or does not.
    fn step<T>(&mut self, name: &'static str, step: impl FnOnce() -> Result<T>) -> Option<T> {
        let mut made = None;
        self.tests(name, || {
            made = Some(step()?);
            Ok(Count { passed: 1, failed: 0 })
        });
        made
    }

    /// A step that counts.
    fn tests(&mut self, name: &'static str, step: impl FnOnce() -> Result<Count>) {
        println!("== {name}");
        let start = Instant::now();
        let count = step().unwrap_or_else(|error| {
            println!("{error:#}");
            Count { passed: 0, failed: 1 }
        });
        let word = if count.failed == 0 { "holds" } else { "FAILED" };
        println!("== {name}: {word}, {:.1} s\n", start.elapsed().as_secs_f64());
        self.count = self.count + count;
        if count.failed > 0 {
            self.failed.push(name);
        }
    }

    fn end(self) -> bool {
        if !self.failed.is_empty() {
            println!("failed: {}", self.failed.join(", "));
        }
        println!("{} passed, {} failed", self.count.passed, self.count.failed);
        self.failed.is_empty()
    }
}

impl std::ops::Add for Count {
    type Output = Self;

    fn add(self, other: Self) -> Self {
        Self { passed: self.passed + other.passed, failed: self.failed + other.failed }
    }
}

/// Runs `cargo test`, its output passing through, and adds up what each test program reports.
fn count_tests(command: &mut Command) -> Result<Count> {
    let mut child = command
        .stdin(Stdio::null())
        .stdout(Stdio::piped())
        .spawn()
        .with_context(|| format!("cannot start {}", shown(command)))?;
    let mut count = Count::default();
    let mut lines = BufReader::new(child.stdout.take().context("no output to read")?);
    let mut line = Vec::new();
    while lines.read_until(b'\n', &mut line)? > 0 {
        stdout().write_all(&line)?;
        count = count + counted(&String::from_utf8_lossy(&line)).unwrap_or_default();
        line.clear();
    }
    let status = child.wait()?;
    if !status.success() && count.failed == 0 {
        // Something did not compile, or a test program died before it could report.
        count.failed = 1;
    }
    if count == Count::default() {
        bail!("{} ran no test", shown(command));
    }
    Ok(count)
}

/// The numbers in `test result: ok. 12 passed; 0 failed; …`.
fn counted(line: &str) -> Option<Count> {
    let (_, numbers) = line.trim().strip_prefix("test result: ")?.split_once(". ")?;
    let mut count = Count::default();
    for part in numbers.split("; ") {
        match part.split_once(' ')? {
            (number, "passed") => count.passed = number.parse().ok()?,
            (number, "failed") => count.failed = number.parse().ok()?,
            _ => {}
        }
    }
    Some(count)
}

/// The few scripts carry their types in comments; TypeScript's compiler reads them.
fn check_scripts() -> Result<()> {
    let typescript = npm_package("typescript", TYPESCRIPT, "checking the types of our scripts")?;
    let scripts = [
        ("public/sw.js", "webworker"),
        ("public/worker.js", "webworker"),
        ("public/first.js", "dom"),
        ("public/start.js", "dom"),
        ("public/thumb.js", "dom"),
        ("public/speak.js", "dom,dom.iterable"),
        ("assets/desk/desk.js", "dom,dom.iterable"),
    ];
    for (script, library) in scripts {
        let mut tsc = Command::new("node");
        tsc.arg(typescript.join("bin/tsc")).args([
            "--noEmit",
            "--allowJs",
            "--checkJs",
            "--strict",
            "--module",
            "esnext",
        ]);
        tsc.args(["--target", "es2022", "--lib"]).arg(format!("es2022,{library}"));
        run(tsc.arg(root().join(script)))?;
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_test_programs_last_line_is_counted_and_others_are_not() {
        let line =
            "test result: FAILED. 12 passed; 3 failed; 1 ignored; 0 measured; 0 filtered out; finished in 0.05s\n";
        assert_eq!(counted(line), Some(Count { passed: 12, failed: 3 }));
        assert_eq!(counted("test result: ok. 0 passed; 0 failed; 0 ignored"), Some(Count::default()));
        assert_eq!(counted("test order::the_order_is_stable ... ok"), None);
        assert_eq!(counted("7 passed; 1 failed"), None);
    }

    #[test]
    fn a_step_that_fails_is_counted_once_and_does_not_stop_the_others() {
        let mut report = Report::default();
        assert_eq!(report.step("one", || -> Result<u8> { bail!("no") }), None);
        assert_eq!(report.step("two", || Ok(2)), Some(2));
        report.tests("three", || Ok(Count { passed: 5, failed: 2 }));
        assert_eq!(report.count, Count { passed: 6, failed: 3 });
        assert_eq!(report.failed, ["one", "three"]);
        assert!(!report.end());
    }
}
