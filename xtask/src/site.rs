//! What is in the folder that a server hands out, under which names, and what of it is kept for starting offline?
//!
//! Files under `assets/` carry the hash of their bytes in their name, so a server may call them immutable. The others
//! have fixed names, and are to be asked for anew each time. Everything that the page leads to is listed in `sw.js`.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::Path;

use anyhow::{Context, Result, bail, ensure};
use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use serde::Serialize;
use sha2::{Digest, Sha256};

use crate::words::Catalogue;

const TITLE: &str = "Loomwalk";
const PAGE: &str = "index.html";
const SERVICE_WORKER: &str = "sw.js";
/// What puts the page into the reader's language.
const SPEAK: &str = "speak.js";
/// What no file names, because the program asks for it: the worker beside the page.
const WORKER: &str = "worker.js";
/// Likewise the practice job, and the text of the guide.
const ASKED_FOR: [&str; 2] = ["demo/", "text/"];

/// The two programs that run in a browser.
pub struct Programs {
    /// What the page starts.
    pub page: Program,
    /// What its worker starts.
    pub worker: Program,
}

/// What wasm-bindgen made: a program, the JavaScript that loads it, and pieces of JavaScript that this imports.
pub struct Program {
    glue: String,
    wasm: Vec<u8>,
    snippets: BTreeMap<String, String>,
}

impl Program {
    /// Reads what wasm-bindgen left in a folder.
    pub fn read(folder: &Path) -> Result<Self> {
        let mut snippets = BTreeMap::new();
        for entry in walkdir::WalkDir::new(folder.join("snippets")).into_iter().filter_map(Result::ok) {
            if entry.file_type().is_file() {
                let below = entry.path().strip_prefix(folder)?;
                let name = below.iter().map(|part| part.to_string_lossy()).collect::<Vec<_>>().join("/");
                snippets.insert(name, fs::read_to_string(entry.path())?);
            }
        }
        let glue = fs::read_to_string(folder.join("loomwalk.js"))?;
        Ok(Self { glue, wasm: fs::read(folder.join("loomwalk_bg.wasm"))?, snippets })
    }
}

/// The files by their path, without a leading `/`.
#[derive(Debug)]
pub struct Site {
    files: BTreeMap<String, Vec<u8>>,
    offline: BTreeSet<String>,
    start: BTreeSet<String>,
    /// What a first start in a language fetches besides, by its tag.
    spoken: BTreeMap<String, String>,
}

/// Makes a script or a style smaller, by its name and its text, without changing what it does.
pub type Smaller<'a> = dyn Fn(&str, &str) -> Result<String> + 'a;

/// Puts the folder together from the page's template, the folder `public`, the programs, and the words of other languages.
pub fn assemble(
    page: &str,
    public: BTreeMap<String, Vec<u8>>,
    programs: Programs,
    words: Vec<Catalogue>,
    smaller: &Smaller,
) -> Result<Site> {
    let mut files = public;
    let service_worker = files.remove(SERVICE_WORKER).context("public/sw.js is missing")?;
    let spoken = add_words(&mut files, words)?;
    for (name, bytes) in files.iter_mut().filter(|(name, _)| name.ends_with(".js")) {
        *bytes = smaller(name, std::str::from_utf8(bytes)?)?.into_bytes();
    }
    ensure!(!files.contains_key(PAGE), "public/index.html would hide index.html: take it away");

    let glue = add_program(&mut files, "loomwalk", programs.page, smaller)?;
    let worker = add_program(&mut files, "worker", programs.worker, smaller)?;
    let (page, style) = join_styles(page, &mut files)?;
    let style = add_hashed(&mut files, "loomwalk.css", smaller("loomwalk.css", &style)?.into_bytes());
    files.insert(PAGE.to_owned(), fill_page(&page, &glue, &worker, &style)?.into_bytes());

    let is_asked_for = |name: &str| ASKED_FOR.iter().any(|folder| name.starts_with(folder));
    let asked_for = files.keys().filter(|name| is_asked_for(name)).cloned();
    let roots = asked_for.chain([PAGE.to_owned(), WORKER.to_owned()]).collect();
    let offline = reachable(&files, roots, None);
    let mut start = reachable(&files, BTreeSet::from([PAGE.to_owned()]), Some(&format!("assets/{worker}")));
    start.retain(|name| !is_asked_for(name) && [".html", ".js", ".css", ".wasm"].iter().any(|end| name.ends_with(end)));
    let service_worker = fill_service_worker(&String::from_utf8(service_worker)?, &files, &offline)?;
    // As it was written: it is no part of a first start, and who looks for the list in it finds it.
    files.insert(SERVICE_WORKER.to_owned(), service_worker.into_bytes());
    Ok(Site { files, offline, start, spoken })
}

impl Site {
    /// Every file: path and bytes.
    pub fn files(&self) -> impl Iterator<Item = (&String, &Vec<u8>)> {
        self.files.iter()
    }

    /// The languages that it can be read in, by their tags, English first.
    pub fn languages(&self) -> Vec<&str> {
        std::iter::once("en").chain(self.spoken.keys().map(String::as_str)).collect()
    }

    /// What is fetched before the first screen stands, in a language.
    pub fn needed_to_start(&self, language: &str) -> Vec<&String> {
        self.start.iter().chain(self.spoken.get(language)).collect()
    }

    /// What is fetched behind it and kept, so that all works without a network, in any language.
    pub fn fetched_behind(&self, language: &str) -> Vec<&String> {
        let first = self.needed_to_start(language);
        self.offline.iter().filter(|name| !first.contains(name)).collect()
    }
}

/// Whether a file of this name is text or a program, rather than compressed already.
pub fn is_worth_compressing(name: &str) -> bool {
    [".html", ".js", ".css", ".wasm", ".json", ".webmanifest", ".svg"].iter().any(|end| name.ends_with(end))
}

/// The first 16 hexadecimal digits of the SHA-256.
pub fn hash(bytes: &[u8]) -> String {
    Sha256::digest(bytes).iter().take(8).map(|byte| format!("{byte:02x}")).collect()
}

fn add_hashed(files: &mut BTreeMap<String, Vec<u8>>, name: &str, bytes: Vec<u8>) -> String {
    let (stem, end) = name.rsplit_once('.').unwrap_or((name, ""));
    let name = format!("{stem}-{}.{end}", hash(&bytes));
    files.insert(format!("assets/{name}"), bytes);
    name
}

/// Adds the program under hashed names, each name written into what asks for it; returns the glue's.
fn add_program(
    files: &mut BTreeMap<String, Vec<u8>>,
    stem: &str,
    program: Program,
    smaller: &Smaller,
) -> Result<String> {
    let mut glue = program.glue;
    for (path, text) in program.snippets {
        if !glue.contains(&format!("./{path}")) {
            continue;
        }
        ensure!(
            !text.contains("from './") && !text.contains("from \"./"),
            "{path} imports a neighbour; it cannot be renamed alone"
        );
        let name = path.rsplit('/').next().unwrap_or(&path);
        let name = add_hashed(files, name, smaller(name, &text)?.into_bytes());
        glue = replaced(&glue, &format!("./{path}"), &format!("./{name}"))?;
    }
    let wasm = add_hashed(files, &format!("{stem}.wasm"), program.wasm);
    glue = replaced(&glue, "loomwalk_bg.wasm", &wasm)?;
    let name = format!("{stem}.js");
    let glue = smaller(&name, &glue)?;
    Ok(add_hashed(files, &name, glue.into_bytes()))
}

/// Adds each language's catalogues and writes their addresses into the script that reads them; returns the names of those
/// that a first start needs.
fn add_words(files: &mut BTreeMap<String, Vec<u8>>, words: Vec<Catalogue>) -> Result<BTreeMap<String, String>> {
    let script = files.remove(SPEAK).context("public/speak.js is missing")?;
    let mut spoken = BTreeMap::new();
    let mut addresses = BTreeMap::new();
    for Catalogue { lang, start, rest } in words {
        let first = add_hashed(files, &format!("words-{lang}.json"), start);
        let second = add_hashed(files, &format!("words-{lang}.json"), rest);
        addresses.insert(lang.clone(), [format!("/assets/{first}"), format!("/assets/{second}")]);
        spoken.insert(lang, format!("assets/{first}"));
    }
    let list = format!("const CATALOGUES = {};", serde_json::to_string(&addresses)?);
    let script = replaced(&String::from_utf8(script)?, "const CATALOGUES = {};", &list)?;
    files.insert(SPEAK.to_owned(), script.into_bytes());
    Ok(spoken)
}

fn replaced(text: &str, from: &str, to: &str) -> Result<String> {
    ensure!(text.contains(from), "{from} is expected, but not there");
    Ok(text.replace(from, to))
}

/// Joins the styles that the page links, in its order, and leaves one link in their place.
fn join_styles(page: &str, files: &mut BTreeMap<String, Vec<u8>>) -> Result<(String, String)> {
    let mut joined = String::new();
    let mut lines = Vec::new();
    for line in page.lines() {
        let Some((_, rest)) = line.split_once(r#"<link rel="stylesheet" href="/"#) else {
            // What a comment says is for who reads the template.
            if !(line.trim().starts_with("<!--") && line.ends_with("-->")) {
                lines.push(line);
            }
            continue;
        };
        let name = rest.split('"').next().unwrap_or_default();
        let part = files.remove(name).with_context(|| format!("index.html links /{name}, which is not in public/"))?;
        if joined.is_empty() {
            lines.push(r#"  <link rel="stylesheet" href="/assets/{style}">"#);
        }
        joined.push_str(&String::from_utf8(part)?);
    }
    ensure!(!joined.is_empty(), "index.html links no style");
    if let Some(left) = files.keys().find(|name| name.ends_with(".css")) {
        bail!("public/{left} is linked nowhere: add its line to index.html, at the place where it shall take effect");
    }
    Ok((lines.join("\n") + "\n", joined))
}

/// Writes the names into the page. The program itself is not asked for ahead: what it is about is painted first.
fn fill_page(page: &str, glue: &str, worker: &str, style: &str) -> Result<String> {
    let start = format!(
        "  <link rel=\"modulepreload\" href=\"/assets/{glue}\">\n  <script type=\"module\" src=\"/speak.js\"></script>\n  \
         <script type=\"module\" src=\"/start.js\"></script>\n</head>"
    );
    let page = replaced(page, "{app_title}", TITLE)?;
    let of_worker = |place: &str| format!("<meta name=\"loomwalk-worker\" content=\"{place}\">");
    let page = replaced(&page, &of_worker("/{base_path}/{js_path}"), &of_worker(&format!("/assets/{worker}")))?;
    let page = replaced(&page, "/{base_path}/{js_path}", &format!("/assets/{glue}"))?;
    let page = replaced(&page, "{style}", style)?;
    replaced(&page, "</head>", &start)
}

/// All files that the roots lead to, not by way of `but`: every quoted word in a text that is the path of a file counts
/// as leading there.
fn reachable(files: &BTreeMap<String, Vec<u8>>, roots: BTreeSet<String>, but: Option<&str>) -> BTreeSet<String> {
    let mut found = BTreeSet::new();
    let mut open: Vec<String> = roots.into_iter().filter(|name| files.contains_key(name)).collect();
    while let Some(name) = open.pop() {
        if but == Some(&name) {
            continue;
        }
        if is_text(&name)
            && let Ok(text) = std::str::from_utf8(&files[&name])
        {
            let words = text.split(['"', '\'', '`', '(', ')']).map(|word| resolved(&name, word));
            open.extend(words.filter(|word| files.contains_key(word) && !found.contains(word)));
        }
        found.insert(name);
    }
    found
}

fn is_text(name: &str) -> bool {
    [".html", ".js", ".css", ".webmanifest", ".svg"].iter().any(|end| name.ends_with(end))
}

/// The path that a word in the file `from` stands for, if it is one.
fn resolved(from: &str, word: &str) -> String {
    let word = word.split(['?', '#']).next().unwrap_or_default();
    if let Some(path) = word.strip_prefix('/') {
        return path.to_owned();
    }
    let folder = from.rsplit_once('/').map_or("", |(folder, _)| folder);
    let below = word.strip_prefix("./").unwrap_or(word);
    if folder.is_empty() { below.to_owned() } else { format!("{folder}/{below}") }
}

#[derive(Serialize)]
struct List<'a> {
    build: String,
    files: Vec<Listed<'a>>,
}

#[derive(Serialize)]
struct Listed<'a> {
    url: String,
    integrity: &'a str,
}

/// Writes the list of what is kept offline into the service worker; its build's name is a hash over the list and itself.
fn fill_service_worker(script: &str, files: &BTreeMap<String, Vec<u8>>, offline: &BTreeSet<String>) -> Result<String> {
    let marks: Vec<&str> = script.lines().filter(|line| line.starts_with("const LIST = ")).collect();
    let [mark] = marks[..] else { bail!("public/sw.js must have one line that starts with `const LIST = `") };
    let integrity: Vec<(&String, String)> = offline.iter().map(|name| (name, integrity(&files[name]))).collect();
    let listed = integrity.iter().map(|(name, integrity)| Listed { url: url(name), integrity });
    let files: Vec<Listed> = listed.collect();
    let build = hash(format!("{script}{}", serde_json::to_string(&files)?).as_bytes());
    let list = serde_json::to_string(&List { build, files })?;
    Ok(script.replace(mark, &format!("const LIST = {list};")))
}

/// What a browser asks for to get a file.
fn url(name: &str) -> String {
    if name == PAGE { "/".to_owned() } else { format!("/{name}") }
}

/// A file's SHA-256 in the form of the attribute `integrity` (W3C, Subresource Integrity).
fn integrity(bytes: &[u8]) -> String {
    format!("sha256-{}", STANDARD.encode(Sha256::digest(bytes)))
}

#[cfg(test)]
mod tests {
    use super::*;

    const TEMPLATE: &str = r#"<html><head>
<title>{app_title}</title>
<meta name="loomwalk-glue" content="/{base_path}/{js_path}">
<meta name="loomwalk-worker" content="/{base_path}/{js_path}">
<link rel="manifest" href="/manifest.webmanifest">
<link rel="stylesheet" href="/style/b.css">
<link rel="stylesheet" href="/style/a.css">
</head><body></body></html>"#;

    fn public() -> BTreeMap<String, Vec<u8>> {
        [
            ("sw.js", "const LIST = {};\nrest\n"),
            ("start.js", "import(place)"),
            ("speak.js", "const CATALOGUES = {};\n"),
            ("worker.js", ""),
            ("manifest.webmanifest", r#"{"icons":[{"src":"/icons/one.svg"}]}"#),
            ("icons/one.svg", "<svg/>"),
            ("icons/other.svg", "<svg/>"),
            ("style/a.css", "a{}"),
            ("style/b.css", "b{}"),
            ("demo/van.json", "{}"),
            ("schema/circuit.json", "{}"),
        ]
        .map(|(name, text)| (name.to_owned(), text.as_bytes().to_vec()))
        .into()
    }

    fn program(wasm: &[u8]) -> Program {
        Program {
            glue: "import { x } from './snippets/lib-1/inline0.js'; new URL('loomwalk_bg.wasm', import.meta.url)"
                .to_owned(),
            wasm: wasm.to_vec(),
            snippets: BTreeMap::from([("snippets/lib-1/inline0.js".to_owned(), "export const x = 1".to_owned())]),
        }
    }

    fn as_is(_: &str, text: &str) -> Result<String> {
        Ok(text.to_owned())
    }

    fn programs() -> Programs {
        Programs { page: program(b"\0asm"), worker: program(b"\0asm of the worker") }
    }

    fn words() -> Vec<Catalogue> {
        vec![Catalogue { lang: "de".to_owned(), start: b"[1]".to_vec(), rest: b"[2]".to_vec() }]
    }

    fn names(site: &Site) -> Vec<&str> {
        site.files.keys().map(String::as_str).collect()
    }

    fn text<'a>(site: &'a Site, start: &str, end: &str) -> &'a str {
        let found = site.files.iter().find(|(name, _)| name.starts_with(start) && name.ends_with(end));
        std::str::from_utf8(found.unwrap().1).unwrap()
    }

    #[test]
    fn the_page_leads_to_glue_and_glue_to_the_program_under_their_hashed_names() {
        let site = assemble(TEMPLATE, public(), programs(), words(), &as_is).unwrap();
        let glue = format!("/assets/loomwalk-{}.js", hash(text(&site, "assets/loomwalk", ".js").as_bytes()));
        assert!(text(&site, "index", ".html").contains(&format!(r#"<meta name="loomwalk-glue" content="{glue}">"#)));
        let worker = format!("/assets/worker-{}.js", hash(text(&site, "assets/worker", ".js").as_bytes()));
        assert!(
            text(&site, "index", ".html").contains(&format!(r#"<meta name="loomwalk-worker" content="{worker}">"#))
        );
        let wasm = format!("loomwalk-{}.wasm", hash(b"\0asm"));
        assert!(text(&site, "assets/loomwalk", ".js").contains(&format!("new URL('{wasm}', import.meta.url)")));
        assert!(text(&site, "assets/loomwalk", ".js").contains("from './inline0-"));
        assert!(!names(&site).iter().any(|name| name.starts_with("snippets")));
    }

    #[test]
    fn styles_are_joined_in_the_order_of_the_page() {
        let site = assemble(TEMPLATE, public(), programs(), words(), &as_is).unwrap();
        assert_eq!(text(&site, "assets/", ".css"), "b{}a{}");
        assert_eq!(text(&site, "index", ".html").matches("stylesheet").count(), 1);
    }

    #[test]
    fn a_style_that_no_page_links_is_an_error() {
        let mut public = public();
        public.insert("style/c.css".to_owned(), Vec::new());
        let error = assemble(TEMPLATE, public, programs(), words(), &as_is).unwrap_err().to_string();
        assert_eq!(
            error,
            "public/style/c.css is linked nowhere: add its line to index.html, at the place where it shall take effect"
        );
    }

    #[test]
    fn what_is_kept_offline_is_what_the_page_leads_to_with_worker_and_demo() {
        let site = assemble(TEMPLATE, public(), programs(), words(), &as_is).unwrap();
        let stem = |name: &String| name.split('-').next().unwrap().to_owned();
        let kept: Vec<String> = site.offline.iter().map(stem).collect();
        let expected = [
            "assets/inline0",
            "assets/loomwalk",
            "assets/loomwalk",
            "assets/loomwalk",
            "assets/words",
            "assets/words",
            "assets/worker",
            "assets/worker",
            "demo/van.json",
            "icons/one.svg",
            "index.html",
            "manifest.webmanifest",
            "speak.js",
            "start.js",
            "worker.js",
        ];
        assert_eq!(kept, expected);
        let names = |names: Vec<&String>| names.into_iter().map(stem).collect::<Vec<_>>();
        let start = [
            "assets/inline0",
            "assets/loomwalk",
            "assets/loomwalk",
            "assets/loomwalk",
            "index.html",
            "speak.js",
            "start.js",
        ];
        assert_eq!(names(site.needed_to_start("en")), start);
        assert_eq!(names(site.needed_to_start("de")), [&start[..], &["assets/words"]].concat());
        let behind = [
            "assets/words",
            "assets/worker",
            "assets/worker",
            "demo/van.json",
            "icons/one.svg",
            "manifest.webmanifest",
            "worker.js",
        ];
        assert_eq!(names(site.fetched_behind("de")), behind);
        assert_eq!(site.languages(), ["en", "de"]);
        assert!(text(&site, "sw", ".js").contains(r#"{"url":"/","integrity":"sha256-"#));
    }

    #[test]
    fn the_build_is_named_anew_when_any_kept_file_changes() {
        let build = |site: &Site| text(site, "sw", ".js").split(r#""build":""#).nth(1).unwrap()[..16].to_owned();
        let one = build(&assemble(TEMPLATE, public(), programs(), words(), &as_is).unwrap());
        let same = build(&assemble(TEMPLATE, public(), programs(), words(), &as_is).unwrap());
        let mut changed = public();
        changed.insert("icons/one.svg".to_owned(), b"<svg></svg>".to_vec());
        let other = build(&assemble(TEMPLATE, changed, programs(), words(), &as_is).unwrap());
        assert_eq!(one, same);
        assert_ne!(one, other);
    }

    #[test]
    fn integrity_is_what_openssl_computes() {
        // The form is W3C's (Subresource Integrity, section 3); the value is what
        // `printf "alert('Hello, world.');" | openssl dgst -sha256 -binary | openssl base64 -A` prints.
        assert_eq!(integrity(b"alert('Hello, world.');"), "sha256-qznLcsROx4GACP2dm0UCKCzCG+HiZ1guq6ZZDob/Tng=");
    }
}
