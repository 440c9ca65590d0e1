//! The reports on paper: sound HTML, printed by a browser to A4 and Letter, and read back by another program.

use std::path::{Path, PathBuf};
use std::process::Command;

use crate::browser_support::*;
use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use html5ever::tendril::TendrilSink as _;
use html5ever::{ParseOpts, parse_document};
use markup5ever_rcdom::RcDom;
use serde_json::json;

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// Writes a report of the practice job.
fn report(folder: &Path, name: &str, more: &[&str]) -> PathBuf {
    let page = folder.join(name);
    let made = Command::new(env!("CARGO_BIN_EXE_loomwalk"))
        .arg("report")
        .arg(root().join("assets/demo/van.loomwalk.json"))
        .arg("--prices")
        .arg(root().join("assets/demo/prices.json"))
        .arg("-o")
        .arg(&page)
        .args(more)
        .output()
        .unwrap();
    assert!(made.status.success(), "{}", String::from_utf8_lossy(&made.stderr));
    page
}

/// Prints a page; gives how many sheets it takes, and what stands on them.
async fn printed(phone: &Phone, page: &Path, (width, height): (f64, f64)) -> (usize, String) {
    phone.open(&format!("file://{}", page.display())).await;
    let paper = json!({ "paperWidth": width, "paperHeight": height, "printBackground": true });
    let made = phone.devtools("Page.printToPDF", paper).await;
    let pdf = page.with_extension("pdf");
    std::fs::write(&pdf, STANDARD.decode(made["data"].as_str().unwrap()).unwrap()).unwrap();
    let said = |program: &str, more: &[&str]| {
        let output = Command::new(program).arg(&pdf).args(more).output().expect("poppler-utils");
        String::from_utf8_lossy(&output.stdout).into_owned()
    };
    let sheets =
        said("pdfinfo", &[]).lines().find_map(|line| line.strip_prefix("Pages:")?.trim().parse().ok()).unwrap();
    let words = said("pdftotext", &["-layout", "-"]);
    (sheets, words.split_whitespace().collect::<Vec<_>>().join(" "))
}

const A4: (f64, f64) = (8.27, 11.69);
const LETTER: (f64, f64) = (8.5, 11.0);

#[tokio::test(flavor = "multi_thread")]
async fn the_customers_sheet_is_one_sheet_in_every_language_and_the_report_tells_all() {
    let folder = tempfile::tempdir().unwrap();
    let phone = Phone::new().await;
    for (lang, told) in [
        ("en", ["Fuse F23 blows about once a week", "What was found", "Test drive: not done", "72.58 EUR"]),
        ("de", ["Fuse F23 blows about once a week", "Was gefunden wurde", "Probefahrt: nicht erledigt", "72,58 EUR"]),
        (
            "es",
            ["Fuse F23 blows about once a week", "Lo que se encontró", "Prueba en carretera: no hecho", "72,58 EUR"],
        ),
    ] {
        let page = report(folder.path(), &format!("sheet-{lang}.html"), &["--customer", "--lang", lang]);
        for paper in [A4, LETTER] {
            let (sheets, words) = printed(&phone, &page, paper).await;
            assert_eq!(sheets, 1, "{lang} {paper:?}: {words}");
            for told in told {
                assert!(words.contains(told), "{lang}: {told:?} is not in {words}");
            }
        }
    }
    let page = report(folder.path(), "file.html", &[]);
    let (sheets, words) = printed(&phone, &page, A4).await;
    assert!((2..=12).contains(&sheets), "{sheets} sheets");
    for told in [
        "Fuse fault report: 2013 panel van",
        "What was looked at, and what was seen",
        "not done",
        "Estimate",
        "never probe, press or unplug them live",
        "Log SHA-256",
    ] {
        assert!(words.contains(told), "{told:?} is not in {words}");
    }
}

#[test]
fn the_reports_are_sound_html() {
    let folder = tempfile::tempdir().unwrap();
    for (name, more) in [("file.html", &[][..]), ("sheet.html", &["--customer", "--lang", "de"][..])] {
        let page = report(folder.path(), name, more);
        // The parser of the HTML Standard, as browsers have it, tells what they would have to mend.
        let parsed = parse_document(RcDom::default(), ParseOpts::default()).from_utf8().from_file(page).unwrap();
        assert_eq!(*parsed.errors.borrow(), Vec::<std::borrow::Cow<str>>::new(), "{name}");
    }
}
