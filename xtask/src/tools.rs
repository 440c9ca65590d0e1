//! What has to be installed, how is it installed, and how is it seen that it is there already?

use std::env;
use std::fs;
use std::io::{IsTerminal, stdin};
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::{Mutex, MutexGuard, PoisonError};

use anyhow::{Context, Result, bail};

use crate::shell::{cargo, on_path, output, run, say, shown, target};

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
    let tools = target().join("tools");
    let package = tools.join("node_modules").join(name);
    let is_there = || installed_version(&package).as_deref() == Some(version);
    if !is_there() && on_path("npm").is_none() {
        apt_install(&["npm"], what_for)?;
    }
    let _one_at_a_time = installing();
    if is_there() {
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
    let others = other_engines().unwrap_or_else(|error| {
        say(format!("Firefox and WebKitGTK are left out: {error:#}"));
        Vec::new()
    });
    let axe = npm_package("axe-core", "4.14.1", "checking that the screens can be used by everyone");
    let axe = axe.map(|axe| ("LOOMWALK_AXE", axe.join("axe.min.js"))).inspect_err(|error| {
        say(format!("The tests that ask axe will fail: {error:#}"));
    });
    Ok(browser.into_iter().chain(others).chain(axe).collect())
}

/// Programs by the names of the environment under which the tests ask for them, and what each can be called.
type Wanted = [(&'static str, &'static [&'static str])];

/// Chromium and its driver.
pub fn browser() -> Result<Vec<(&'static str, PathBuf)>> {
    const NEEDED: &Wanted = &[
        ("LOOMWALK_CHROMIUM", &["chromium", "chromium-browser", "google-chrome"]),
        ("LOOMWALK_CHROMEDRIVER", &["chromedriver"]),
    ];
    found_or_installed(NEEDED, &["chromium", "chromium-driver"], "testing the app in a browser")
}

/// Firefox, and the engine of iPhones as GTK has it, with what drives and shows them.
fn other_engines() -> Result<Vec<(&'static str, PathBuf)>> {
    const NEEDED: &Wanted = &[
        ("LOOMWALK_FIREFOX", &["firefox-esr", "firefox"]),
        ("LOOMWALK_WEBKITDRIVER", &["WebKitWebDriver"]),
        ("LOOMWALK_XVFB", &["Xvfb"]),
    ];
    let found = found_or_installed(NEEDED, &["firefox-esr", "webkit2gtk-driver", "xvfb"], IN_OTHERS)?;
    let python = ("LOOMWALK_WEBKIT_PYTHON", webkit_python()?);
    Ok(found.into_iter().chain([python, ("LOOMWALK_GECKODRIVER", geckodriver()?)]).collect())
}

const IN_OTHERS: &str = "testing the app in other engines";
/// Under these names stands what the tests in Firefox and WebKitGTK need, all or nothing.
pub const OTHER_ENGINES: [&str; 5] =
    ["LOOMWALK_FIREFOX", "LOOMWALK_WEBKITDRIVER", "LOOMWALK_XVFB", "LOOMWALK_WEBKIT_PYTHON", "LOOMWALK_GECKODRIVER"];

/// Programs that are named in the environment, else those on the PATH, else those of Debian's packages.
fn found_or_installed(needed: &Wanted, packages: &[&str], what_for: &str) -> Result<Vec<(&'static str, PathBuf)>> {
    let find = |(variable, programs): &(&'static str, &[&str])| {
        let found = named(variable).or_else(|| programs.iter().find_map(|program| on_path(program)));
        found.map(|path| (*variable, path))
    };
    let all = || needed.iter().map(find).collect::<Option<Vec<_>>>();
    if let Some(found) = all() {
        return Ok(found);
    }
    apt_install(packages, what_for)?;
    all().with_context(|| format!("{} are installed, but not on the PATH", packages.join(", ")))
}

/// A program that the environment names.
fn named(variable: &str) -> Option<PathBuf> {
    env::var_os(variable).map(PathBuf::from)
}

/// A Python that can open a window of WebKit. The first on the PATH may be another than the system's, which has the
/// system's packages.
fn webkit_python() -> Result<PathBuf> {
    const NEEDED: &str = "import gi; gi.require_version('Gtk', '3.0'); gi.require_version('WebKit2', '4.1')";
    let can = |python: &PathBuf| output(Command::new(python).args(["-c", NEEDED])).is_ok();
    let find = || {
        let path = env::var_os("PATH").unwrap_or_default();
        let on_path = env::split_paths(&path).map(|folder| folder.join("python3"));
        named("LOOMWALK_WEBKIT_PYTHON").or_else(|| on_path.filter(|file| file.is_file()).find(can))
    };
    if let Some(found) = find() {
        return Ok(found);
    }
    apt_install(&["python3-gi", "gir1.2-webkit2-4.1"], IN_OTHERS)?;
    find().context("python3-gi and gir1.2-webkit2-4.1 are installed, but no python3 on the PATH knows them")
}

/// What drives Firefox: named, on the PATH, or compiled into target/tools; Debian has no package of it.
fn geckodriver() -> Result<PathBuf> {
    const VERSION: &str = "0.37.1";
    if let Some(found) = named("LOOMWALK_GECKODRIVER").or_else(|| on_path("geckodriver")) {
        return Ok(found);
    }
    let tools = target().join("tools");
    let program = tools.join("bin/geckodriver");
    let is_there = || {
        let said = output(Command::new(&program).arg("--version")).ok()?;
        (said.split_whitespace().nth(1) == Some(VERSION)).then(|| program.clone())
    };
    if let Some(found) = is_there() {
        return Ok(found);
    }
    say(format!("compiling geckodriver {VERSION} into target/tools ({IN_OTHERS})"));
    let mut install = cargo();
    // Nobody will look into it: what compiles fastest.
    install
        .env("CARGO_PROFILE_DEV_DEBUG", "0")
        .args(["install", "--quiet", "--locked", "--debug", "--root"])
        .arg(&tools);
    output(install.arg(format!("geckodriver@{VERSION}")))?;
    is_there().with_context(|| format!("{} does not run", program.display()))
}
