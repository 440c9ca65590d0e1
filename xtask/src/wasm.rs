//! Which compiler makes the program for the browser, and what does it need to be told?

use std::env;
use std::path::{Path, PathBuf};
use std::process::Command;

use anyhow::{Result, bail};

use crate::shell::{cargo, forget_cargo_run, on_path, output, root, run, say, target};
use crate::tools::{apt_install, is_debian};

const TARGET: &str = "wasm32-unknown-unknown";
const DEBIAN_CARGO: &str = "/usr/bin/cargo";
const DEBIAN_RUSTC: &str = "/usr/bin/rustc";
const DEBIAN_CLIPPY: &str = "/usr/bin/cargo-clippy";
const DEBIAN_LINKER: &str = "/usr/bin/wasm-ld-19";
const DEBIAN_SOURCE: &str = "/usr/lib/rustlib/src/rust/library/std/Cargo.toml";

/// A Rust compiler that can make WebAssembly.
#[derive(Clone, Copy)]
pub enum Toolchain {
    /// The one that runs us: its library for wasm is installed.
    Own,
    /// Debian's, beside ours: it has no such library ready, so each project builds it along, from its source.
    Debian,
}

impl Toolchain {
    /// Finds one, or installs one.
    pub fn find() -> Result<Self> {
        if own_has_wasm() {
            return Ok(Self::Own);
        }
        if is_debian_ready() {
            return Ok(Self::Debian);
        }
        if on_path("rustup").is_some() {
            say(format!("installing the Rust target {TARGET} by rustup (the app runs as WebAssembly)"));
            match run(Command::new("rustup").args(["target", "add", TARGET])) {
                Ok(()) if own_has_wasm() => return Ok(Self::Own),
                Ok(()) => say("rustup added it to another toolchain than the one in use"),
                Err(error) => say(format!("not to be had: {error:#}")),
            }
        }
        if is_debian() {
            let packages = ["rustc-web", "cargo-web", "rust-web-src", "rust-web-clippy", "lld-19"];
            apt_install(&packages, "a Rust compiler that can make WebAssembly")?;
            if is_debian_ready() {
                return Ok(Self::Debian);
            }
        }
        bail!(
            "no Rust compiler for {TARGET} is here: run `rustup target add {TARGET}`, or install your system's package \
             with Rust's standard library for wasm32, and try again"
        )
    }

    /// `cargo <subcommand>` for the browser, into target/web.
    pub fn cargo(self, subcommand: &str) -> Command {
        let mut command = match self {
            Self::Own => cargo(),
            Self::Debian => debian(DEBIAN_CARGO),
        };
        command.arg(subcommand).args(["--target", TARGET, "--target-dir"]).arg(target().join("web"));
        if let Some(sources) = crate_sources() {
            // Where this machine keeps them is nobody's business, and only makes the program larger.
            let flag = format!("--remap-path-prefix={}=crates", sources.display());
            command.arg("--config").arg(format!("target.{TARGET}.rustflags=[{flag:?}]"));
        }
        command
    }

    /// `cargo clippy` for the browser.
    pub fn clippy(self) -> Command {
        match self {
            Self::Own => self.cargo("clippy"),
            Self::Debian => {
                // Called by its own path: the one that cargo would find first belongs to another compiler.
                let mut command = debian(DEBIAN_CLIPPY);
                command.args(["clippy", "--target", TARGET, "--target-dir"]).arg(target().join("web"));
                command.env("CARGO", DEBIAN_CARGO);
                command
            }
        }
    }
}

/// Where cargo unpacks the sources of crates; panics would name it in the program.
fn crate_sources() -> Option<PathBuf> {
    let home = env::var_os("CARGO_HOME").map(PathBuf::from);
    let home = home.or_else(|| Some(env::home_dir()?.join(".cargo")))?;
    // One folder by registry: the one in use is the only one, or the flag is not worth its trouble.
    let mut registries = std::fs::read_dir(home.join("registry/src")).ok()?.flatten();
    let only = registries.next()?.path();
    registries.next().is_none().then_some(only)
}

fn own_has_wasm() -> bool {
    let rustc = env::var_os("RUSTC").unwrap_or_else(|| "rustc".into());
    let sysroot = output(Command::new(rustc).args(["--print", "sysroot"]).current_dir(root()));
    sysroot.is_ok_and(|path| Path::new(path.trim()).join("lib/rustlib").join(TARGET).join("lib").is_dir())
}

fn is_debian_ready() -> bool {
    let parts = [DEBIAN_CARGO, DEBIAN_RUSTC, DEBIAN_CLIPPY, DEBIAN_LINKER, DEBIAN_SOURCE];
    parts.iter().all(|part| Path::new(part).exists())
}

/// One of Debian's programs, told to use Debian's others, and nothing of the compiler that runs us.
fn debian(program: &str) -> Command {
    let mut command = Command::new(program);
    command.current_dir(root());
    forget_cargo_run(&mut command);
    for name in ["CARGO", "RUSTUP_TOOLCHAIN", "RUSTDOC", "RUST_RECURSION_COUNT", "LD_LIBRARY_PATH"] {
        command.env_remove(name);
    }
    command
        .env("RUSTC", DEBIAN_RUSTC)
        // Building the standard library along is not stable yet; this compiler is asked to allow it all the same.
        .env("RUSTC_BOOTSTRAP", "1")
        .env("CARGO_UNSTABLE_BUILD_STD", "std,panic_abort")
        .env("CARGO_TARGET_WASM32_UNKNOWN_UNKNOWN_LINKER", DEBIAN_LINKER);
    command
}
