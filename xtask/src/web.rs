//! How do the sources become target/dist/web, the folder that a server hands out?
//!
//! Each slow step keeps its result in target/web/kept under the hash of what it was made from, so a step whose input
//! has not changed is not done again; the folder itself is always put together anew, from nothing.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use anyhow::{Context, Result};
use walrus::{FunctionBuilder, FunctionKind, Module};
use wasm_bindgen_cli_support::Bindgen;

use crate::shell::{on_path, output, root, run, say, target};
use crate::site::{self, Program, Programs, hash};
use crate::tools::npm_package;
use crate::wasm::Toolchain;
use crate::words;

const BINARYEN: &str = "132.0.0";
const ESBUILD: &str = "0.28.2";
/// Twice: the second time it finds what the first has laid open, 3 kB when compressed. What is alike has like names, and
/// compresses better side by side.
const WASM_OPT: [&str; 6] =
    ["-Oz", "-Oz", "--reorder-functions-by-name", "--strip-debug", "--strip-producers", "--strip-target-features"];

/// Brotli's best, for Node: the file named first into the one named second. Small blocks, and distances of which
/// the shortest have codes of their own, suit a program: 4 kB less than what it chooses by itself.
const COMPRESS: &str = "const { brotliCompressSync, constants: c } = require('zlib'), fs = require('fs');
    const [from, to] = process.argv.slice(1), bytes = fs.readFileSync(from);
    const params = { [c.BROTLI_PARAM_QUALITY]: 11, [c.BROTLI_PARAM_LGWIN]: 24, [c.BROTLI_PARAM_SIZE_HINT]: bytes.length,
        [c.BROTLI_PARAM_LGBLOCK]: 16, [c.BROTLI_PARAM_NPOSTFIX]: 1, [c.BROTLI_PARAM_NDIRECT]: 30 };
    fs.writeFileSync(to, brotliCompressSync(bytes, { params }));";

/// What a build has come to.
pub struct Built {
    /// The folder to be served.
    pub folder: PathBuf,
    /// What a first visit fetches to start, in the language in which that is most: name and size in bytes, compressed.
    pub start: Vec<(String, u64)>,
    /// What is fetched behind it, so that all works without a network: likewise.
    pub behind: Vec<(String, u64)>,
    /// Whether the program was made smaller by wasm-opt.
    pub optimised: bool,
}

/// Builds the app in release and puts the folder together.
pub fn build() -> Result<Built> {
    // First, for it takes no time, and what is wrong with them is to be known before minutes have gone.
    let words = words::compile(&root().join("assets/text/app"))?;
    let toolchain = Toolchain::find()?;
    let kept = Kept::open()?;
    let wasm_opt = wasm_opt();
    let program = |feature: &str| {
        say(format!("compiling the {feature}'s program for the browser"));
        let features = format!("desk,{feature}");
        let mut compile = toolchain.cargo("build");
        compile.args([
            "--profile",
            "wasm-release",
            "--bin",
            "loomwalk",
            "--no-default-features",
            "--features",
            &features,
        ]);
        run(&mut compile)?;
        let wasm = target().join("web/wasm32-unknown-unknown/wasm-release/loomwalk.wasm");
        let folder = kept.folder("program", &program_key(&wasm, wasm_opt.is_some())?, |folder| {
            make_program(&wasm, wasm_opt.as_deref(), folder)
        })?;
        Program::read(&folder)
    };
    let programs = Programs { page: program("page")?, worker: program("worker")? };
    let page = fs::read_to_string(root().join("index.html")).context("cannot read index.html")?;
    let esbuild = esbuild();
    let smaller = |name: &str, text: &str| match &esbuild {
        Some(esbuild) => {
            let key = hash(format!("{name} {ESBUILD} {text}").as_bytes());
            Ok(String::from_utf8(kept.file("small", &key, || make_small(esbuild, name, text))?)?)
        }
        None => Ok(text.to_owned()),
    };
    let site = site::assemble(&page, read_tree(&root().join("public"))?, programs, words, &smaller)?;

    let folder = target().join("dist/web");
    let fresh = target().join("dist/web.new");
    remove(&fresh)?;
    let mut sizes = BTreeMap::new();
    for (name, bytes) in site.files() {
        let file = fresh.join(name);
        fs::create_dir_all(file.parent().unwrap_or(&fresh))?;
        fs::write(&file, bytes)?;
        let mut size = bytes.len();
        if site::is_worth_compressing(name) {
            let small = kept.file("brotli", &hash(bytes), || compress(bytes))?;
            size = small.len();
            fs::write(fresh.join(format!("{name}.br")), small)?;
        }
        sizes.insert(name, size as u64);
    }
    remove(&folder)?;
    fs::rename(&fresh, &folder).with_context(|| format!("cannot put {} in place", folder.display()))?;
    kept.forget_the_rest()?;

    let sized = |names: Vec<&String>| names.into_iter().map(|name| (name.clone(), sizes[name])).collect::<Vec<_>>();
    let by_language = site.languages().into_iter().map(|tag| (tag, sized(site.needed_to_start(tag))));
    let by_language: Vec<_> = by_language.map(|(tag, start)| (tag, total_kb(&start))).collect();
    let most = by_language.iter().max_by_key(|(_, kb)| kb).map_or("en", |(tag, _)| tag);
    let (start, behind) = (sized(site.needed_to_start(most)), sized(site.fetched_behind(most)));
    let first = by_language.iter().map(|(tag, kb)| format!("{kb} kB ({tag})")).collect::<Vec<_>>().join(", ");
    let then = total_kb(&behind);
    say(format!("the app is in target/dist/web; a first start fetches {first}, and {then} kB behind it"));
    Ok(Built { folder, start, behind, optimised: wasm_opt.is_some() })
}

/// The sum in units of 1000 bytes, rounded up.
pub fn total_kb(files: &[(String, u64)]) -> u64 {
    files.iter().map(|(_, bytes)| bytes).sum::<u64>().div_ceil(1000)
}

/// The program that makes wasm small, if it is to be had.
fn wasm_opt() -> Option<PathBuf> {
    match npm_package("binaryen", BINARYEN, "making the download smaller") {
        Ok(package) => Some(package.join("bin/wasm-opt")),
        Err(error) => {
            say(format!("wasm-opt is left out, the download is larger: {error:#}"));
            None
        }
    }
}

/// The program that makes scripts and styles small, if it is to be had.
fn esbuild() -> Option<PathBuf> {
    match npm_package("esbuild", ESBUILD, "making scripts and styles smaller") {
        Ok(package) => Some(package.join("bin/esbuild")),
        Err(error) => {
            say(format!("esbuild is left out, the download is larger: {error:#}"));
            None
        }
    }
}

fn make_small(esbuild: &Path, name: &str, text: &str) -> Result<Vec<u8>> {
    let kind = name.rsplit('.').next().unwrap_or_default();
    // By way of a file: what is long may not fit through a pipe that nobody reads from meanwhile.
    let file = target().join("web").join(format!("unminified.{kind}"));
    fs::write(&file, text)?;
    let mut command = Command::new("node");
    // Its script for Node starts the program of this machine that npm installed beside it.
    command.arg(esbuild).args(["--minify", "--log-level=warning", "--charset=utf8"]).arg(&file);
    Ok(output(&mut command)?.into_bytes())
}

fn program_key(wasm: &Path, optimised: bool) -> Result<String> {
    let wasm = fs::read(wasm).with_context(|| format!("cargo left no {}", wasm.display()))?;
    let options = if optimised { format!("{BINARYEN} {}", WASM_OPT.join(" ")) } else { String::new() };
    // This file is part of the key, for it says how the program is made.
    Ok(hash(&[&wasm, options.as_bytes(), include_bytes!("web.rs")].concat()))
}

/// Builds an example as a page of its own: for tests that ask the browser something without the screens around it.
///
/// With only some of the library's features, where any are named.
pub fn build_example(name: &str, features: &[&str]) -> Result<PathBuf> {
    say(format!("compiling the page {name} for the browser"));
    let mut compile = Toolchain::find()?.cargo("build");
    compile.args(["--profile", "wasm-release", "--example", name]);
    if !features.is_empty() {
        compile.args(["--no-default-features", "--features", &features.join(",")]);
    }
    run(&mut compile)?;
    let folder = target().join("dist").join(name);
    remove(&folder)?;
    fs::create_dir_all(&folder)?;
    let wasm = target().join(format!("web/wasm32-unknown-unknown/wasm-release/examples/{name}.wasm"));
    make_program(&wasm, wasm_opt().as_deref(), &folder)?;
    for script in ["start.js", "thumb.js", "worker.js"] {
        fs::copy(root().join("public").join(script), folder.join(script))?;
    }
    let page = format!(
        "<!DOCTYPE html><html lang=\"en\"><meta charset=\"utf-8\"><title>{name}</title>\
         <meta name=\"loomwalk-glue\" content=\"/{name}.js\"><meta name=\"loomwalk-worker\" content=\"/{name}.js\">\
         <script type=\"module\" src=\"/start.js\"></script><body><h1>{name}</h1><div id=\"main\"></div></body></html>\n"
    );
    fs::write(folder.join("index.html"), page)?;
    Ok(folder)
}

/// wasm-bindgen, then wasm-opt: the program and the JavaScript that loads it.
fn make_program(wasm: &Path, wasm_opt: Option<&Path>, folder: &Path) -> Result<()> {
    bind(wasm, folder, wasm_opt.is_some())?;
    if let Some(wasm_opt) = wasm_opt {
        say("making the program smaller (wasm-opt)");
        let name = wasm.file_stem().context("a program has a name")?.to_string_lossy();
        let file = folder.join(format!("{name}_bg.wasm"));
        // npm's wasm-opt is a script for Node, named so that it starts without looking at the file's first line.
        output(Command::new("node").arg(wasm_opt).args(WASM_OPT).arg(&file).arg("-o").arg(&file))?;
    }
    Ok(())
}

/// With the names of functions where something is still to be done by them.
fn bind(wasm: &Path, folder: &Path, with_names: bool) -> Result<()> {
    say("binding the program to JavaScript");
    let mut bindgen = Bindgen::new();
    bindgen
        .input_path(wasm)
        .web(true)?
        .typescript(false)
        .omit_default_module_path(false)
        .remove_name_section(!with_names)
        .remove_producers_section(true);
    let mut output = bindgen.generate_output().context("wasm-bindgen cannot read the program")?;
    cut_out(output.wasm_mut());
    output.emit(folder).context("the program cannot be written")
}

/// Parts of the names of functions that are linked and never called. What the standard library links for the call stack of a
/// panic: 6 kB when compressed; the page has a panic hook of its own (`app::fallen`), and in a browser nothing asks for that stack.
/// And what Dioxus links for any event: the names of all keys (`app::parts::keys` asks the browser), all fields of a form at
/// once, and files read by way of the program's memory. clippy refuses a call of those (.clippy.toml).
const NEVER_CALLED: [&str; 7] = [
    "rustc_demangle",
    "backtrace_rs",
    "keyboard_types::key::Key as core::str",
    "KeyboardEvent>>::key::",
    "KeyboardEvent>>::code::",
    "HasFormData>::values",
    "NativeFileData>::read_",
];

/// Leaves of what is never called only the name.
fn cut_out(program: &mut Module) {
    let is_never_called = |name: &str| NEVER_CALLED.iter().any(|part| name.contains(part));
    let local = program.funcs.iter_local().map(|(id, _)| id).collect::<Vec<_>>();
    for id in local {
        let function = program.funcs.get(id);
        if !function.name.as_deref().is_some_and(is_never_called) {
            continue;
        }
        let (params, results) = program.types.params_results(function.ty());
        let (params, results) = (params.to_vec(), results.to_vec());
        let arguments = params.iter().map(|param| program.locals.add(*param)).collect();
        let mut body = FunctionBuilder::new(&mut program.types, &params, &results);
        body.func_body().unreachable();
        program.funcs.get_mut(id).kind = FunctionKind::Local(body.local_func(arguments));
    }
}

/// By the encoder of brotli's authors where Node is there, which has it: a thousandth smaller than the one in Rust.
fn compress(bytes: &[u8]) -> Result<Vec<u8>> {
    if on_path("node").is_some() {
        let (plain, small) = (target().join("web/plain"), target().join("web/plain.br"));
        fs::write(&plain, bytes)?;
        output(Command::new("node").args(["-e", COMPRESS]).arg(&plain).arg(&small))?;
        return fs::read(&small).context("node left nothing compressed");
    }
    let params =
        brotli::enc::BrotliEncoderParams { quality: 11, lgwin: 24, size_hint: bytes.len(), ..Default::default() };
    let mut small = Vec::new();
    brotli::BrotliCompress(&mut &bytes[..], &mut small, &params)?;
    Ok(small)
}

/// How many bytes a file is when compressed by brotli.
pub fn compressed_size(file: &Path) -> Result<u64> {
    let bytes = fs::read(file).with_context(|| format!("cannot read {}", file.display()))?;
    Ok(compress(&bytes)?.len() as u64)
}

/// Every file under a folder: path below it with `/`, and its bytes.
fn read_tree(folder: &Path) -> Result<BTreeMap<String, Vec<u8>>> {
    let mut files = BTreeMap::new();
    for entry in walkdir::WalkDir::new(folder).sort_by_file_name() {
        let entry = entry?;
        if entry.file_type().is_file() {
            let below = entry.path().strip_prefix(folder)?;
            let name = below.iter().map(|part| part.to_string_lossy()).collect::<Vec<_>>().join("/");
            files.insert(name, fs::read(entry.path())?);
        }
    }
    Ok(files)
}

fn remove(folder: &Path) -> Result<()> {
    match fs::remove_dir_all(folder) {
        Err(error) if error.kind() != std::io::ErrorKind::NotFound => {
            Err(error).with_context(|| format!("cannot clear {}", folder.display()))
        }
        _ => Ok(()),
    }
}

/// Results kept by the hash of what they were made from.
struct Kept {
    folder: PathBuf,
    used: std::cell::RefCell<Vec<PathBuf>>,
}

impl Kept {
    fn open() -> Result<Self> {
        let folder = target().join("web/kept");
        fs::create_dir_all(&folder)?;
        Ok(Self { folder, used: Default::default() })
    }

    /// A folder made by `make`, which is given an empty one. It takes its name only when it is complete.
    fn folder(&self, step: &str, key: &str, make: impl FnOnce(&Path) -> Result<()>) -> Result<PathBuf> {
        let place = self.folder.join(format!("{step}-{key}"));
        if !place.is_dir() {
            let unfinished = self.folder.join("unfinished");
            remove(&unfinished)?;
            fs::create_dir_all(&unfinished)?;
            make(&unfinished)?;
            fs::rename(&unfinished, &place)?;
        }
        self.used.borrow_mut().push(place.clone());
        Ok(place)
    }

    fn file(&self, step: &str, key: &str, make: impl FnOnce() -> Result<Vec<u8>>) -> Result<Vec<u8>> {
        let place = self.folder(step, key, |folder| Ok(fs::write(folder.join("made"), make()?)?))?;
        Ok(fs::read(place.join("made"))?)
    }

    /// Drops what this build had no use for.
    fn forget_the_rest(&self) -> Result<()> {
        let used = self.used.borrow();
        for entry in fs::read_dir(&self.folder)? {
            let place = entry?.path();
            if !used.contains(&place) {
                remove(&place)?;
            }
        }
        Ok(())
    }
}
