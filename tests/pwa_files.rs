//! Is the built app a page that can be installed, is everything that it refers to there, and is it listed for offline use?
//!
//! Looks at the folder that `cargo xtask build` makes, from outside: by its own reading of page, manifest and list.

use std::collections::BTreeMap;
use std::fs;
use std::path::PathBuf;

use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use serde_json::Value;
use sha2::{Digest, Sha256};

fn web() -> PathBuf {
    let named = std::env::var_os("LOOMWALK_WEB").map(PathBuf::from);
    let folder = named.unwrap_or_else(|| PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("target/dist/web"));
    assert!(folder.join("index.html").is_file(), "the app is not built: run `cargo xtask build`");
    folder
}

/// What a server answers for an address: its bytes.
fn get(url: &str) -> Option<Vec<u8>> {
    let name = if url == "/" { "index.html" } else { url.strip_prefix('/')? };
    fs::read(web().join(name)).ok()
}

fn text(url: &str) -> String {
    String::from_utf8(get(url).unwrap_or_else(|| panic!("{url} is not there"))).unwrap()
}

/// The values of an attribute in the page.
fn attributes(name: &str) -> Vec<String> {
    let (page, start) = (text("/"), format!(" {name}=\""));
    let values = page.split(&start).skip(1);
    values.map(|rest| rest.split('"').next().unwrap().to_owned()).collect()
}

/// The list in the service worker: address and `integrity`.
fn listed() -> BTreeMap<String, String> {
    let script = text("/sw.js");
    let line = script.lines().find_map(|line| line.strip_prefix("const LIST = ")).expect("the worker has a list");
    let list: Value = serde_json::from_str(line.trim_end_matches(';')).expect("the list is JSON");
    assert!(list["build"].as_str().is_some_and(|build| build.len() == 16), "the build has a name");
    let entries = list["files"].as_array().unwrap().iter();
    entries.map(|file| (file["url"].as_str().unwrap().into(), file["integrity"].as_str().unwrap().into())).collect()
}

#[test]
fn every_listed_file_is_there_with_the_bytes_that_the_list_promises() {
    let listed = listed();
    assert!(listed.contains_key("/") && !listed.contains_key("/sw.js") && !listed.contains_key("/index.html"));
    for (url, integrity) in listed {
        let bytes = get(&url).unwrap_or_else(|| panic!("{url} is listed but not there"));
        assert_eq!(integrity, format!("sha256-{}", STANDARD.encode(Sha256::digest(&bytes))), "{url}");
    }
}

#[test]
fn everything_that_the_page_refers_to_is_listed() {
    let listed = listed();
    let mut referred: Vec<String> = attributes("href").into_iter().chain(attributes("src")).collect();
    referred.extend(attributes("content").into_iter().filter(|value| value.starts_with('/')));
    assert!(referred.len() >= 6, "{referred:?}");
    for url in referred.iter().map(String::as_str).chain(["/worker.js"]) {
        assert!(listed.contains_key(url), "{url} is not kept offline");
    }
}

#[test]
fn the_glue_that_the_page_names_asks_for_a_program_that_is_listed() {
    let glue = attributes("content").into_iter().find(|value| value.ends_with(".js")).expect("the page names the glue");
    let script = text(&glue);
    let program = script.split("new URL(").nth(1).and_then(|rest| rest.split(['"', '\'']).nth(1)).unwrap();
    let url = format!("/assets/{program}");
    assert!(listed().contains_key(&url), "{url} is not kept offline");
    assert_eq!(&get(&url).unwrap()[..8], b"\0asm\x01\0\0\0", "WebAssembly core specification 1.0, section 5.5.16");
}

#[test]
fn names_under_assets_carry_the_hash_of_what_they_name() {
    // A server may call these immutable: two builds with different bytes must never share a name.
    for url in listed().into_keys().filter(|url| url.starts_with("/assets/")) {
        let sha256 = Sha256::digest(get(&url).unwrap());
        let digits: String = sha256.iter().take(8).map(|byte| format!("{byte:02x}")).collect();
        assert!(url.contains(&format!("-{digits}.")), "{url} holds what hashes to {digits}…");
    }
}

#[test]
fn the_manifest_has_what_browsers_ask_for_before_they_offer_to_install() {
    // web.dev, "What does it take to be installable?", from memory: a name, icons of 192 and 512 px, start_url, display.
    let manifest: Value = serde_json::from_str(&text("/manifest.webmanifest")).unwrap();
    assert_eq!(manifest["name"], "Loomwalk");
    assert_eq!(
        (&manifest["id"], &manifest["start_url"], &manifest["scope"]),
        (&"/".into(), &"/?from=icon".into(), &"/".into())
    );
    assert_eq!(manifest["display"], "standalone");
    let icons = manifest["icons"].as_array().unwrap();
    for purpose in ["any", "maskable"] {
        for size in ["192x192", "512x512"] {
            assert!(icons.iter().any(|icon| icon["purpose"] == purpose && icon["sizes"] == size), "{purpose} {size}");
        }
    }
    for icon in icons.iter().filter(|icon| icon["type"] == "image/png") {
        let url = icon["src"].as_str().unwrap();
        let bytes = get(url).unwrap_or_else(|| panic!("{url} is not there"));
        // PNG (ISO/IEC 15948) starts with a signature and the header chunk: width and height at bytes 16 and 20.
        assert_eq!(&bytes[..8], b"\x89PNG\r\n\x1a\n", "{url}");
        let side = |at: usize| u32::from_be_bytes(bytes[at..at + 4].try_into().unwrap());
        assert_eq!(format!("{}x{}", side(16), side(20)), icon["sizes"].as_str().unwrap(), "{url}");
        assert!(listed().contains_key(url), "{url} is not kept offline");
    }
}

#[test]
fn nothing_in_the_page_needs_more_than_the_strict_policy_allows() {
    let page = text("/");
    assert!(!page.contains("<style") && !page.contains(" style=") && !page.contains(" onload=") && !page.contains("{"));
    for script in page.split("<script").skip(1) {
        assert!(script.split_once('>').unwrap().0.contains("src=\"/"), "a script in the page itself: {script}");
    }
    for url in attributes("href").into_iter().chain(attributes("src")) {
        assert!(url.starts_with('/') && !url.starts_with("//"), "{url} is not ours");
    }
}

#[test]
fn compressed_files_are_smaller_and_stand_beside_the_plain_ones() {
    // That they unpack to the same bytes is seen by the browser, which compares with the list (`browser_build.rs`).
    let mut seen = 0;
    for entry in fs::read_dir(web().join("assets")).unwrap().chain(fs::read_dir(web()).unwrap()) {
        let path = entry.unwrap().path();
        if path.extension().is_some_and(|end| end == "br") {
            let (small, plain) =
                (fs::metadata(&path).unwrap().len(), fs::metadata(path.with_extension("")).unwrap().len());
            assert!(small < plain, "{}: {small} of {plain} bytes", path.display());
            seen += 1;
        }
    }
    assert!(seen >= 6, "{seen} compressed files");
}
