//! What has to be installed, how is it installed, and how is it seen that it is there already?

use std::env;
use std::fs;
use std::io::{IsTerminal, stdin};
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::{Mutex, MutexGuard, PoisonError};

use anyhow::{Context, Result, bail};

use crate::shell::{on_path, output, run, say, shown, target};

/// Held while something is installed: two steps that run beside each other must not install into one place at once.
static INSTALLING: Mutex<()> = Mutex::new(());

fn installing() -> MutexGuard<'static, ()> {
    INSTALLING.lock().unwrap_or_else(PoisonError::into_inner)
}

/// Whether packages can be had by apt-get here.
pub fn is_debian() -> bool {
    Path::new("/etc/debian_version").exists() && on_path("apt-get").is_some()
}

/// Installs packages of the system. `what_for` is told to the user; elsewhere than on Debian the error says what to install.
pub fn apt_install(packages: &[&str], what_for: &str) -> Result<()> {
    if !is_debian() {
        bail!("{what_for} needs what Debian calls {}; please install it by hand", packages.join(", "));
    }
    let _one_at_a_time = installing();
    say(format!("installing {} ({what_for})", packages.join(", ")));
    let mut install = apt(&["install", "-y", "--no-install-recommends"]);
    install.args(packages);
    if output(&mut install).is_ok() {
        return Ok(());
    }
    run(apt(&["update", "--quiet"]).stdout(std::process::Stdio::null()))?;
    output(&mut install).map(drop).with_context(|| format!("{what_for} needs {}", packages.join(", ")))
}

/// apt-get as root: directly, or by sudo, which may ask for the password only where somebody can answer.
fn apt(args: &[&str]) -> Command {
    let is_root = output(Command::new("id").arg("-u")).is_ok_and(|id| id.trim() == "0");
    let mut words: Vec<&str> = Vec::new();
    if !is_root {
        words.push("sudo");
        if !stdin().is_terminal() {
            words.push("-n");
        }
    }
    words.extend(["env", "DEBIAN_FRONTEND=noninteractive", "apt-get"]);
    words.extend(args);
    let mut command = Command::new(words[0]);
    command.args(&words[1..]);
    command
}

/// A package of npm in the exact version, under target/tools; returns its folder.
pub fn npm_package(name: &str, version: &str, what_for: &str) -> Result<PathBuf> {
    let _one_at_a_time = installing();
    let tools = target().join("tools");
    let package = tools.join("node_modules").join(name);
    if installed_version(&package).as_deref() == Some(version) {
        return Ok(package);
    }
    let Some(npm) = on_path("npm") else { bail!("{what_for} needs {name} {version} of npm, and npm is not installed") };
    say(format!("installing {name} {version} into target/tools ({what_for})"));
    fs::create_dir_all(&tools)?;
    let mut install = Command::new(npm);
    install.args([
        "install",
        "--no-audit",
        "--no-fund",
        "--ignore-scripts",
        "--save-exact",
        "--fetch-retries=1",
        "--prefix",
    ]);
    install.arg(&tools).arg(format!("{name}@{version}"));
    output(&mut install).with_context(|| format!("{what_for} needs {name} {version}: {} failed", shown(&install)))?;
    Ok(package)
}

fn installed_version(package: &Path) -> Option<String> {
    let text = fs::read_to_string(package.join("package.json")).ok()?;
    let json: serde_json::Value = serde_json::from_str(&text).ok()?;
    Some(json["version"].as_str()?.to_owned())
}

/// What the tests drive or compare with, by the names of the environment under which the tests ask for it.
pub fn for_tests() -> Result<Vec<(&'static str, PathBuf)>> {
    const PROGRAMS: [(&str, &str); 4] = [
        ("ngspice", "ngspice"),
        ("exiftool", "libimage-exiftool-perl"),
        ("pdftotext", "poppler-utils"),
        ("pebble", "pebble"),
    ];
    let missing: Vec<&str> =
        PROGRAMS.into_iter().filter(|(program, _)| on_path(program).is_none()).map(|(_, package)| package).collect();
    if !missing.is_empty() {
        apt_install(&missing, "comparing with other programs: figures, photographs, printed pages, certificates")?;
    }
    let browser = browser()?;
    let axe = npm_package("axe-core", "4.14.1", "checking that the screens can be used by everyone")?;
    Ok(browser.into_iter().chain([("LOOMWALK_AXE", axe.join("axe.min.js"))]).collect())
}

/// Chromium and its driver: those named in the environment, else those on the PATH, else Debian's.
pub fn browser() -> Result<Vec<(&'static str, PathBuf)>> {
    const NEEDED: [(&str, &[&str]); 2] = [
        ("LOOMWALK_CHROMIUM", &["chromium", "chromium-browser", "google-chrome"]),
        ("LOOMWALK_CHROMEDRIVER", &["chromedriver"]),
    ];
    let find = |(variable, programs): (&'static str, &[&str])| {
        let named = env::var_os(variable).map(PathBuf::from);
        named.or_else(|| programs.iter().find_map(|program| on_path(program))).map(|path| (variable, path))
    };
    let all = || NEEDED.into_iter().map(find).collect::<Option<Vec<_>>>();
    if let Some(found) = all() {
        return Ok(found);
    }
    apt_install(&["chromium", "chromium-driver"], "testing the app in a browser")?;
    all().context("chromium and chromedriver are installed, but not on the PATH")
}
