//! What the service writer reads, and what the browser gets of the app.

use std::collections::BTreeSet;
use std::fs;
use std::path::Path;

use crate::desk_support::*;
use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use loomwalk::bundle::digest::log_digest;
use loomwalk::bundle::read;
use loomwalk::ids::BundleId;
use serde_json::json;
use sha2::{Digest, Sha256};
use tempfile::TempDir;

#[tokio::test]
async fn an_empty_desk_says_what_to_do() {
    let desk = Running::start().await;
    let page = desk.get("/desk").await;
    assert_eq!(page.headers()["content-type"], "text/html; charset=utf-8");
    let page = page.text().await.unwrap();
    assert!(page.contains("Nothing has arrived yet.") && page.contains("come here by themselves"), "{page}");
}

#[tokio::test]
async fn each_job_is_listed_with_its_facts_the_newest_first() {
    let desk = Running::start().await;
    let mut old = Phone::new(1, 1);
    old.concern("rear lamps go out");
    old.act("vehicle", json!({ "label": "2013 panel van" }));
    old.act("fuse", json!({ "fuse": { "label": "F23", "rating_a": 15, "style": "blade" } }));
    let held = old.photo(b"held");
    old.photo(b"missing");
    desk.put(&format!("/api/v1/photos/{held}"), "held").await;
    assert_eq!(desk.send(&old.bundle()).await.status(), 201);

    let mut new = Phone::new(2, 2);
    new.events[0].body = json!({ "practice": true });
    new.events[0].at += chrono::TimeDelta::minutes(1);
    assert_eq!(desk.send(&new.bundle()).await.status(), 201);

    let page = desk.get("/desk").await.text().await.unwrap();
    for fact in ["rear lamps go out", "2013 panel van", "F23, 15 A", "1 here, 1 still on the phone", "14 Nov 2023"] {
        assert!(page.contains(fact), "{fact}: {page}");
    }
    let position = |text: String| page.find(&text).unwrap();
    assert!(position(format!("/desk/jobs/{}", new.job)) < position(format!("/desk/jobs/{}", old.job)));
    assert_eq!(page.matches(">Practice<").count(), 1);
}

#[tokio::test]
async fn the_practice_job_is_listed_with_the_place_that_was_found_and_before_that_with_the_next_step() {
    let desk = Running::start().await;
    let file = fs::read(Path::new(env!("CARGO_MANIFEST_DIR")).join("assets/demo/van.loomwalk.json")).unwrap();
    let mut bundle = read::open(&file, u64::MAX).unwrap().bundle;
    // First what came before the finding, then all of it.
    let whole = bundle.clone();
    let found = whole.log.iter().position(|event| event.kind == "finding").unwrap();
    bundle.log.truncate(found);
    bundle.photos.clear();
    bundle.log_digest = log_digest(&bundle.log);
    bundle.bundle_id = BundleId(Phone::new(1, 1).id());
    assert_eq!(desk.send(&bundle).await.status(), 201);
    let page = desk.get("/desk").await.text().await.unwrap();
    assert!(page.contains("Searching") && page.contains("<dd>next: "), "{page}");

    assert_eq!(desk.send(&whole).await.status(), 201);
    let page = desk.get("/desk").await.text().await.unwrap();
    assert!(page.contains(">Practice<") && page.contains("over the edge of the old fan bracket"), "{page}");
    assert!(!page.contains("<dd>next: "), "{page}");
}

#[tokio::test]
async fn a_job_is_shown_as_its_report_with_the_pictures_that_are_here() {
    let desk = Running::start().await;
    let mut phone = Phone::new(1, 1);
    phone.concern("rear lamps go out");
    let held = phone.photo(b"held");
    let missing = phone.photo(b"missing");
    desk.put(&format!("/api/v1/photos/{held}"), "held").await;
    desk.send(&phone.bundle()).await;
    let response = desk.get(&format!("/desk/jobs/{}", phone.job)).await;
    let policy = response.headers()["content-security-policy"].to_str().unwrap().to_owned();
    let page = response.text().await.unwrap();
    assert!(page.contains("rear lamps go out"));
    assert!(page.contains(&format!("src=\"/desk/jobs/{}/photos/{held}/1600\"", phone.job)), "{page}");
    assert!(!page.contains(&format!("/photos/{missing}")), "{page}");
    assert!(
        page.contains("<a href=\"/desk\">") && page.contains(&format!("/desk/jobs/{}/bundle", phone.job)),
        "{page}"
    );
    // The browser applies a style only if the policy names its hash (CSP Level 3, 6.7.3.3), and no `style` attribute.
    let styles: Vec<&str> = page.split("<style>").skip(1).map(|rest| rest.split("</style>").next().unwrap()).collect();
    assert_eq!(styles.len(), 2);
    for style in styles {
        let hash = STANDARD.encode(Sha256::digest(style.as_bytes()));
        assert!(policy.contains(&format!("'sha256-{hash}'")), "{policy}");
    }
    assert!(!page.contains(" style="), "{page}");
}

#[tokio::test]
async fn a_recording_is_given_whole_or_in_the_part_that_a_player_asks_for() {
    let desk = Running::start().await;
    let mut phone = Phone::new(1, 1);
    let held = phone.photo_of_type(b"0123456789", "audio/mp4");
    desk.put(&format!("/api/v1/photos/{held}"), "0123456789").await;
    desk.send(&phone.bundle()).await;
    let address = format!("{}/desk/jobs/{}/photos/{held}", desk.base, phone.job);
    let ask = async |range: &str| {
        let answer = desk.client.get(&address).header("range", range).send().await.unwrap();
        let said = answer.headers().get("content-range").map(|said| said.to_str().unwrap().to_owned());
        let (status, kind) = (answer.status().as_u16(), answer.headers().get("content-type").cloned());
        if status != 416 {
            assert_eq!(kind.unwrap(), "audio/mp4");
        }
        (status, said.unwrap_or_default(), answer.text().await.unwrap())
    };
    let answer = |status: u16, said: &str, text: &str| (status, said.to_owned(), text.to_owned());
    // The examples of RFC 9110 §14.1.2, on ten bytes.
    assert_eq!(ask("bytes=0-4").await, answer(206, "bytes 0-4/10", "01234"));
    assert_eq!(ask("bytes=5-").await, answer(206, "bytes 5-9/10", "56789"));
    assert_eq!(ask("bytes=-3").await, answer(206, "bytes 7-9/10", "789"));
    assert_eq!(ask("bytes=10-").await, answer(416, "bytes */10", ""));
    // Several at once, or what is no range: all of it, as RFC 9110 §14.2 allows.
    assert_eq!(ask("bytes=0-1,3-4").await, answer(200, "", "0123456789"));
    assert_eq!(ask("lines=1-2").await, answer(200, "", "0123456789"));
    let whole = desk.get(&format!("/desk/jobs/{}/photos/{held}", phone.job)).await;
    assert_eq!(whole.headers()["accept-ranges"], "bytes");
    assert_eq!(whole.headers()["content-length"], "10");
}

#[tokio::test]
async fn the_hand_over_file_holds_the_whole_job_and_reads_back() {
    let desk = Running::start().await;
    let (mut one, mut two) = (Phone::new(1, 1), Phone::new(1, 2));
    let picture: Vec<u8> = (0..3_000_001_u32).map(|at| (at.wrapping_mul(2_654_435_761) >> 11) as u8).collect();
    let held = one.photo(&picture);
    let missing = two.photo(b"missing");
    assert_eq!(desk.put(&format!("/api/v1/photos/{held}"), picture.clone()).await.status(), 201);
    for bundle in [one.bundle(), two.bundle()] {
        assert_eq!(desk.send(&bundle).await.status(), 201);
    }

    let file = desk.get(&format!("/desk/jobs/{}/bundle", one.job)).await;
    let name = format!("attachment; filename=\"{}.loomwalk.json\"", one.job);
    assert_eq!(file.headers()["content-disposition"], name.as_str());
    let file = file.bytes().await.unwrap();
    let opened = read::open(&file, u64::MAX).unwrap();
    assert_eq!(opened.bundle.log.len(), one.events.len() + two.events.len());
    assert_eq!(opened.bytes(&held), Some(picture));
    assert_eq!(opened.bytes(&missing), None);
    let listed: Vec<_> = opened.bundle.photos.iter().map(|listed| &listed.photo.sha256).collect();
    assert!(listed.contains(&&held) && listed.contains(&&missing));
    // Not the phone's bundle again: the desk made this one, and can take it back in.
    assert_ne!(opened.bundle.device_id, one.device);
    assert_eq!(desk.send(&opened.bundle).await.status(), 201);
    let second = desk.get(&format!("/desk/jobs/{}/bundle?number=2", one.job)).await;
    assert_eq!(second.status(), 404, "there is one only");
}

#[tokio::test]
async fn a_job_too_large_for_one_file_is_saved_as_several_that_have_all_photographs_together() {
    let limit = 100_000;
    let desk = Running::with(None, |desk| desk.file_limit = limit).await;
    let mut phone = Phone::new(1, 1);
    let mut held = BTreeSet::new();
    for number in 0..5_u8 {
        let picture = vec![number; 30_000];
        let name = phone.photo(&picture);
        assert_eq!(desk.put(&format!("/api/v1/photos/{name}"), picture).await.status(), 201);
        held.insert(name);
    }
    phone.photo(b"missing");
    assert_eq!(desk.send(&phone.bundle()).await.status(), 201);
    let page = desk.get(&format!("/desk/jobs/{}", phone.job)).await.text().await.unwrap();
    for number in 1..=3 {
        assert!(page.contains(&format!("/desk/jobs/{}/bundle?number={number}\"", phone.job)), "{page}");
        assert!(page.contains(&format!("Save hand-over file {number} of 3")), "{page}");
    }
    assert!(page.contains("Open all of them") && !page.contains("bundle?number=4"), "{page}");
    let mut saved = BTreeSet::new();
    for number in 1..=3 {
        let file = desk.get(&format!("/desk/jobs/{}/bundle?number={number}", phone.job)).await;
        let name = format!("attachment; filename=\"{}-{number}-of-3.loomwalk.json\"", phone.job);
        assert_eq!(file.headers()["content-disposition"], name.as_str());
        let file = file.bytes().await.unwrap();
        let opened = read::open(&file, limit).expect("none is larger than what is made");
        assert_eq!((opened.bundle.log.len(), opened.bundle.photos.len()), (phone.events.len(), 6));
        saved.extend(opened.photos().cloned());
    }
    assert_eq!(saved, held);
    for number in [0, 4] {
        let none = desk.get(&format!("/desk/jobs/{}/bundle?number={number}", phone.job)).await;
        assert_eq!(none.status(), 404);
    }
}

#[test]
fn the_service_worker_leaves_every_address_of_the_desk_to_the_desk() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let worker = fs::read_to_string(root.join("public/sw.js")).unwrap();
    let left = worker.lines().find(|line| line.starts_with("const THE_DESKS = ")).unwrap();
    let left: Vec<&str> = left.split(['(', ')']).nth(1).unwrap().split('|').collect();
    let mut seen = 0;
    for entry in fs::read_dir(root.join("src/desk")).unwrap() {
        let path = entry.unwrap().path();
        let Ok(source) = fs::read_to_string(&path) else { continue };
        for rest in source.split(".route(").skip(1) {
            let Some(address) = rest.trim_start().strip_prefix("\"/") else { continue };
            let first = address.split(['/', '"']).next().unwrap();
            // What stands at the root is the app.
            if !first.is_empty() {
                assert!(left.contains(&first), "{}: /{first} would lead into the app", path.display());
                seen += 1;
            }
        }
    }
    assert!(seen > 20, "{seen} addresses");
}

#[tokio::test]
async fn what_is_not_there_is_a_page_that_leads_back() {
    let desk = Running::start().await;
    for path in [
        format!("/desk/jobs/{}", job_id(1)),
        format!("/desk/jobs/{}/photos/{}", job_id(1), hash(b"x")),
        "/desk/x".to_owned(),
    ] {
        let page = desk.get(&path).await;
        assert_eq!(page.status(), 404, "{path}");
        assert!(page.text().await.unwrap().contains("href=\"/desk\""), "{path}");
    }
    assert_eq!(desk.get("/desk/jobs/1").await.status(), 400);
    assert_eq!(desk.get("/desk/").await.headers()["location"], "/desk");
}

fn app() -> TempDir {
    let app = TempDir::new().unwrap();
    let write = |path: &str, text: &str| {
        let path = app.path().join(path);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, text).unwrap();
    };
    write("index.html", "<!doctype html>the app");
    write("sw.js", "// the worker");
    write("manifest.webmanifest", "{}");
    write("assets/loomwalk-0123456789abcdef.wasm", "plain");
    write("assets/loomwalk-0123456789abcdef.wasm.br", "compressed");
    app
}

async fn with_app(app: &Path) -> Running {
    Running::with(Some(app), |_| {}).await
}

#[tokio::test]
async fn the_apps_page_answers_for_every_place_in_the_app_but_not_for_missing_files() {
    let app = app();
    let desk = with_app(app.path()).await;
    for path in ["/", "/index.html", "/jobs", "/jobs/0189/walk"] {
        let page = desk.get(path).await;
        assert_eq!(page.status(), 200, "{path}");
        assert_eq!(page.headers()["cache-control"], "no-cache", "{path}");
        let csp = page.headers()["content-security-policy"].to_str().unwrap().to_owned();
        assert!(
            csp.contains("script-src 'self' 'wasm-unsafe-eval';") && csp.contains("img-src 'self' blob:;"),
            "{csp}"
        );
        assert_eq!(page.text().await.unwrap(), "<!doctype html>the app", "{path}");
    }
    for path in ["/assets/missing-0123456789abcdef.js", "/assets/missing", "/missing.css", "/assets/"] {
        let missing = desk.get(path).await;
        assert_eq!(missing.status(), 404, "{path}");
        assert_eq!(missing.headers()["cache-control"], "no-cache", "{path}");
        assert_ne!(missing.text().await.unwrap(), "<!doctype html>the app", "{path}");
    }
    problem(desk.get("/api/jobs").await, 404).await;
}

#[tokio::test]
async fn hashed_files_are_kept_for_good_and_all_others_asked_for_again() {
    let app = app();
    let desk = with_app(app.path()).await;
    let cases = [
        ("/sw.js", "no-cache", "text/javascript"),
        ("/manifest.webmanifest", "no-cache", "application/manifest+json"),
        ("/assets/loomwalk-0123456789abcdef.wasm", "public, max-age=31536000, immutable", "application/wasm"),
    ];
    for (path, caching, media_type) in cases {
        let file = desk.get(path).await;
        assert_eq!(file.headers()["cache-control"], caching, "{path}");
        assert_eq!(file.headers()["content-type"], media_type, "{path}");
    }
}

#[tokio::test]
async fn a_file_that_was_compressed_beforehand_goes_out_so_to_those_who_can_read_it() {
    let app = app();
    let desk = with_app(app.path()).await;
    let path = "/assets/loomwalk-0123456789abcdef.wasm";
    let plain = desk.get(path).await;
    assert_eq!(plain.headers()["vary"], "accept-encoding");
    assert_eq!(plain.text().await.unwrap(), "plain");
    let asked = desk.client.get(format!("{}{path}", desk.base)).header("accept-encoding", "gzip, br");
    let compressed = asked.send().await.unwrap();
    assert_eq!(compressed.headers()["content-encoding"], "br");
    assert_eq!(compressed.headers()["content-type"], "application/wasm");
    assert_eq!(compressed.text().await.unwrap(), "compressed");
}

#[tokio::test]
async fn without_an_app_the_first_page_says_how_to_build_one() {
    let desk = Running::start().await;
    let page = desk.get("/").await.text().await.unwrap();
    assert!(page.contains("--app target/dist/web") && page.contains("href=\"/desk\""), "{page}");
    assert_eq!(desk.get("/jobs").await.status(), 404);
}

const PRICES: [(&str, &str); 8] = [
    ("currency", "EUR"),
    ("decimals", "2"),
    ("rate", "84,50"),
    ("step", "6"),
    ("tax", "VAT"),
    ("percent", "20"),
    ("inclusive", ""),
    ("parts", "Butt splice; pc; 1.20\n\nConduit; m; 3,40\n"),
];

async fn send_form(desk: &Running, path: &str, fields: &[(&str, &str)]) -> reqwest::Response {
    let body = url::form_urlencoded::Serializer::new(String::new()).extend_pairs(fields).finish();
    let sent = desk.client.post(format!("{}{path}", desk.base)).body(body);
    sent.header("content-type", "application/x-www-form-urlencoded").send().await.unwrap()
}

#[tokio::test]
async fn the_shops_prices_make_an_estimate_of_what_was_noted() {
    let desk = Running::start().await;
    let mut phone = Phone::new(1, 1);
    phone.act(
        "repair",
        json!({ "what": "Spliced and sealed", "done": true, "minutes": 25,
                "materials": [{ "name": "butt splice", "quantity": 2, "unit": "pc" }, { "name": "=cmd()", "quantity": 1, "unit": "pc" }] }),
    );
    desk.send(&phone.bundle()).await;
    let job = format!("/desk/jobs/{}", phone.job);
    assert!(desk.get(&job).await.text().await.unwrap().contains("href=\"/desk/prices\""));
    assert_eq!(send_form(&desk, "/desk/prices", &PRICES).await.status(), 303);
    let page = desk.get("/desk/prices").await.text().await.unwrap();
    assert!(page.contains("value=\"84.50\"") && page.contains("Butt splice; pc; 1.20\nConduit; m; 3.40"), "{page}");

    // 25 min in steps of 6 are 30 min: 84.50 / 2 = 42.25; two splices 2.40; together 44.65, 20 % of it 8.93, to pay 53.58.
    let report = desk.get(&job).await.text().await.unwrap();
    for amount in ["42.25", "2.40", "8.93", "53.58", "to be priced"] {
        assert!(report.contains(amount), "{amount}: {report}");
    }
    let sheet = desk.get(&format!("{job}?customer=true")).await.text().await.unwrap();
    assert!(sheet.contains("53.58"), "{sheet}");
    let csv = desk.get(&format!("{job}/estimate.csv")).await;
    assert_eq!(csv.headers()["content-type"], "text/csv; charset=utf-8");
    let csv = csv.text().await.unwrap();
    assert!(csv.contains("53.58") && csv.contains("'=cmd()"), "{csv}");
    // What is no table of prices changes nothing, and says what is wrong.
    let mut wrong = PRICES;
    wrong[2].1 = "much";
    let answer = send_form(&desk, "/desk/prices", &wrong).await;
    assert_eq!(answer.status(), 422);
    let page = answer.text().await.unwrap();
    assert!(page.contains("rate_per_hour") && page.contains("value=\"much\""), "{page}");
    assert!(desk.get("/desk/prices").await.text().await.unwrap().contains("value=\"84.50\""));
}

#[tokio::test]
async fn prices_that_cannot_be_read_are_told_of_and_close_no_job() {
    let desk = Running::start().await;
    let mut phone = Phone::new(1, 1);
    phone.concern("Lamps die");
    desk.send(&phone.bundle()).await;
    let job = format!("/desk/jobs/{}", phone.job);
    assert_eq!(send_form(&desk, "/desk/prices", &PRICES).await.status(), 303);
    // As by hand, with an editor: a byte order mark is no matter, a word in place of a price is.
    let file = desk.store.path().join("prices.json");
    let kept = std::fs::read_to_string(&file).unwrap();
    std::fs::write(&file, format!("\u{feff}{kept}")).unwrap();
    assert!(desk.get("/desk/prices").await.text().await.unwrap().contains("value=\"84.50\""));
    std::fs::write(&file, kept.replace("84.50", "much")).unwrap();
    assert_eq!(desk.get(&job).await.status(), 200);
    let page = desk.get(&job).await.text().await.unwrap();
    assert!(page.contains("Lamps die") && page.contains("href=\"/desk/prices\""), "{page}");
    let csv = desk.get(&format!("{job}/estimate.csv")).await;
    assert_eq!((csv.status().as_u16(), csv.headers()["location"].to_str().unwrap()), (303, "/desk/prices"));
    let answer = desk.get("/desk/prices").await;
    assert_eq!(answer.status(), 200);
    let page = answer.text().await.unwrap();
    assert!(page.contains("cannot be read") && page.contains("rate_per_hour"), "{page}");
    assert!(
        desk.get("/desk/prices.json").await.text().await.unwrap().contains("much"),
        "it can be had, to be put right"
    );
    assert_eq!(send_form(&desk, "/desk/prices", &PRICES).await.status(), 303);
    assert!(desk.get(&job).await.text().await.unwrap().contains("Estimate as CSV"));
}

#[tokio::test]
async fn a_table_of_many_hundred_materials_is_kept() {
    let desk = Running::start().await;
    let parts: String = (0..800).map(|part| format!("Splice, sealed, of size number {part}; pc; 1.20\n")).collect();
    let mut prices = PRICES;
    prices[7].1 = &parts;
    assert_eq!(send_form(&desk, "/desk/prices", &prices).await.status(), 303);
    assert!(desk.get("/desk/prices").await.text().await.unwrap().contains("of size number 799"));
}

#[tokio::test]
async fn a_price_whose_thousands_may_be_parted_is_asked_for_again() {
    let desk = Running::start().await;
    let send = async |decimals, rate, parts| {
        let mut prices = PRICES;
        (prices[1].1, prices[2].1, prices[7].1) = (decimals, rate, parts);
        send_form(&desk, "/desk/prices", &prices).await
    };
    for (rate, parts, place) in [
        ("12,000", "", "/labour/rate_per_hour"),
        ("12.000", "", "/labour/rate_per_hour"),
        ("84,50", "Conduit; m; 3,40\n\nLoom; pc; 1,250", "/parts/1/price"),
    ] {
        let answer = send("2", rate, parts).await;
        assert_eq!(answer.status(), 422, "{rate} {parts}");
        let page = answer.text().await.unwrap();
        assert!(page.contains(place) && page.contains("without parting the thousands"), "{page}");
    }
    assert!(!desk.get("/desk/prices").await.text().await.unwrap().contains("value=\"12.000\""), "nothing was kept");
    // What can be read in one way only.
    for (decimals, rate, kept) in [
        ("2", "12000", "12000"),
        ("2", "12,0000", "12.0000"),
        ("2", "0,125", "0.125"),
        ("2", "1200,125", "1200.125"),
        ("3", "12,500", "12.500"),
    ] {
        assert_eq!(send(decimals, rate, "Conduit; m; 3,40").await.status(), 303, "{rate}");
        let page = desk.get("/desk/prices").await.text().await.unwrap();
        assert!(page.contains(&format!("value=\"{kept}\"")), "{rate}: {page}");
    }
}

#[tokio::test]
async fn the_list_is_searched_and_paged_and_calls_out_what_arrives() {
    use futures::StreamExt;
    let desk = Running::start().await;
    let mut arrivals = desk.get("/desk/arrivals").await.bytes_stream();
    for number in 0..60 {
        let mut phone = Phone::new(number, 1);
        phone.concern(&format!("lamp {number} goes out"));
        let way = if number % 2 == 0 { "file" } else { "print" };
        phone.act("handed_over", json!({ "bundle_id": phone.job.to_string(), "way": way }));
        assert_eq!(desk.send(&phone.bundle()).await.status(), 201);
    }
    let mut heard = String::new();
    while !heard.contains(&job_id(59).to_string()) {
        heard += std::str::from_utf8(&arrivals.next().await.unwrap().unwrap()).unwrap();
    }
    assert!(heard.starts_with("event: job\ndata: "), "{heard}");
    let entries =
        async |query: &str| desk.get(&format!("/desk{query}")).await.text().await.unwrap().matches("<article").count();
    assert_eq!(entries("").await, 50);
    assert_eq!(entries("?page=2").await, 10);
    assert_eq!(entries("?page=99999999999").await, 0);
    assert_eq!(entries("?which=closed").await, 30);
    assert_eq!(entries("?which=open&words=57+LAMP").await, 1);
    assert_eq!(entries("?which=closed&words=57+LAMP").await, 0);
    assert_eq!(entries("?words=%3Cscript%3E").await, 0);
    // By an id, or a large part of it; a short word is none.
    assert_eq!(entries(&format!("?words={}", job_id(59))).await, 1);
    assert_eq!(entries("?words=00000000").await, 50);
    assert_eq!(entries("?words=0000").await, 0);
}

#[tokio::test]
async fn the_jobs_that_a_phone_has_sent_something_of_are_found_by_it() {
    let desk = Running::start().await;
    let mut ours = Phone::new(1, 1);
    ours.concern("the rear lamps go out");
    assert_eq!(desk.send(&ours.bundle()).await.status(), 201);
    // What a bundle says of its sender is the sender's own word: here both say the same.
    let mut other = Phone::new(2, 1);
    other.concern("the wiper stops");
    let bundle = other.bundle();
    let sent = paired(&desk.store.path()).await.put(format!("{}{}", desk.base, address(&bundle)));
    assert_eq!(sent.body(serde_json::to_string(&bundle).unwrap()).send().await.unwrap().status(), 201);

    let page = desk.get("/desk/phones").await.text().await.unwrap();
    let ways: Vec<&str> = page.split("href=\"").filter(|way| way.starts_with("/desk?words=phone-")).collect();
    assert_eq!(ways.len(), 2, "{page}");
    let mut found = Vec::new();
    for way in ways {
        let list = desk.get(way.split('"').next().unwrap()).await.text().await.unwrap();
        found.push((list.contains("the rear lamps go out"), list.contains("the wiper stops")));
    }
    found.sort_unstable();
    assert_eq!(found, [(false, true), (true, false)], "each its own");
}
