//! A circuit on paper is on the phone sooner than it could be drawn, and nothing of a list from elsewhere is lost.

use std::path::{Path, PathBuf};
use std::time::Instant;

use crate::browser_support::{Desk, Phone, until};
use loomwalk::catalogue::entry::paste::{Content, read};
use loomwalk::circuit::file::Side;
use serde_json::{Value, json};
use thirtyfour::By;

const MESSY: &str = include_str!("cases/pasted/messy.txt");
/// Made for 49 CFR 565.15: its check digit fits.
const VIN: &str = "1J9RP1A36A1644345";

fn case(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cases").join(name)
}

/// A job with a panel van and, if wanted, a fuse of 15 A; ends at its circuit, without a network.
async fn job_without_network(phone: &Phone, desk: &mut Desk, fuse: bool) -> String {
    phone.open(&desk.url()).await;
    phone.ready_for_offline().await;
    desk.stop();
    phone.tap("#new-job").await;
    phone.tap_words("Panel van").await;
    if fuse {
        phone.choose("#rating", "15").await;
    }
    let job = phone.job().await;
    phone.open(&format!("{}/job/{job}/circuit", desk.url())).await;
    phone.see("#find").await;
    job
}

/// Taps the offer that bears exactly these words.
async fn take(phone: &Phone, label: &str) {
    let path = format!("//ul[contains(@class, 'offers')]//button[normalize-space(.)='{label}']");
    until(label, async || match phone.driver().find(By::XPath(path.as_str())).await {
        Ok(offer) => offer.click().await.is_ok(),
        Err(_) => false,
    })
    .await;
}

async fn loads(phone: &Phone, job: &str) -> Vec<Value> {
    let events = phone.kept_events(job).await;
    events.into_iter().filter(|event| event["kind"] == "load").map(|event| event["body"].clone()).collect()
}

/// Pastes into the field of the list.
async fn paste(phone: &Phone, text: &str) {
    phone.see("#list").await;
    let script = "
        const field = document.getElementById('list');
        field.focus();
        field.value = arguments[0];
        field.dispatchEvent(new InputEvent('input', { bubbles: true }));
        field.blur();";
    phone.driver().execute(script, vec![json!(text)]).await.unwrap();
}

#[tokio::test(flavor = "multi_thread")]
async fn twelve_loads_on_paper_take_few_taps() {
    let mut desk = Desk::start().await;
    let phone = Phone::new().await;
    let job = job_without_network(&phone, &mut desk, true).await;
    let start = Instant::now();
    // What stands on the paper, and the letters that a hurried thumb types for it.
    let paper = [
        ("loa", "Load-area lamp, both", 2),
        ("ste", "Step lamp, side door", 1),
        ("loc", "Rear door lock actuator", 1),
        ("wip", "Rear wiper motor", 1),
        ("num", "Number-plate lamp, both", 2),
        ("rev", "Reversing lamp, both", 2),
        ("ble", "Reversing bleeper", 1),
        ("soc", "Accessory socket, load area", 1),
        ("fan", "Load-area fan", 1),
    ];
    // One into the field; then the letters and the offer.
    let mut taps = 1;
    let mut entered = 0;
    phone.tap("#find").await;
    for (letters, label, brings) in paper {
        phone.see("#find").await.send_keys(letters).await.unwrap();
        take(&phone, label).await;
        taps += letters.len() + 1;
        entered += brings;
        phone.reads(&format!("On this fuse: {entered}")).await;
    }
    println!("{entered} loads by {taps} taps, letters included, in {:.1} s", start.elapsed().as_secs_f64());
    assert_eq!(entered, 12);
    assert!(taps <= 60, "{taps}");
    assert_eq!(loads(&phone, &job).await.len(), 12);

    // The next job offers what was used last; of a pair one alone is a tap away.
    phone.open(&desk.url()).await;
    let next = job_without_desk(&phone, &desk).await;
    phone.reads("Used last").await;
    take(&phone, "Load-area fan").await;
    phone.reads("On this fuse: 1").await;
    phone.see("#find").await.send_keys("rev").await.unwrap();
    phone.tap("[aria-label$='Reversing lamp, left']").await;
    phone.reads("On this fuse: 2").await;
    let labels: Vec<Value> = loads(&phone, &next).await.iter().map(|load| load["label"].clone()).collect();
    assert_eq!(labels, ["Load-area fan", "Reversing lamp, left"]);
}

async fn job_without_desk(phone: &Phone, desk: &Desk) -> String {
    phone.tap("#new-job").await;
    phone.tap_words("Panel van").await;
    let job = phone.job().await;
    phone.open(&format!("{}/job/{job}/circuit", desk.url())).await;
    job
}

#[tokio::test(flavor = "multi_thread")]
async fn a_messy_list_becomes_loads_line_by_line_and_no_line_is_lost() {
    let mut desk = Desk::start().await;
    let phone = Phone::new().await;
    let job = job_without_network(&phone, &mut desk, false).await;
    phone.tap("#to-paste").await;
    paste(&phone, MESSY).await;
    // Tabs stand in its titles, so it was taken for a table at first.
    phone.tap_words("One load a line").await;
    phone.see("#understood li").await;
    let list = read(MESSY, Side::Left);
    let lines: Vec<&str> =
        list.lines.iter().filter(|line| line.content != Content::Blank).map(|line| line.text.as_str()).collect();
    assert!(lines.len() >= 30);
    let shown = phone.text().await;
    for line in &lines {
        let line = line.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(shown.split_whitespace().collect::<Vec<_>>().join(" ").contains(&line), "{line} is not on the screen");
    }
    assert!(shown.contains("not understood: see page 7"), "{shown}");

    // A page that is loaded again has it still.
    phone.open(&format!("{}/job/{job}/paste", desk.url())).await;
    phone.tap_words("One load a line").await;
    phone.see("#understood li").await;

    phone.tap("#take-fuse").await;
    until("the fuse is kept", async || {
        phone.kept_events(&job).await.iter().any(|event| event["body"]["fuse"]["label"] == "F23")
    })
    .await;
    let before = put_on_says(&phone).await;
    // What was not recognised stays out until someone says so.
    let unknown = "//li[strong[contains(., 'Flux capacitor')]]//select/option[contains(., 'by hand')]";
    phone.driver().find(By::XPath(unknown)).await.unwrap().click().await.unwrap();
    until("one more is taken", async || put_on_says(&phone).await == before + 1).await;
    phone.tap("#put-on").await;
    phone.reads(&format!("On this fuse: {}", before + 1)).await;
    let labels: Vec<String> =
        loads(&phone, &job).await.iter().map(|load| load["label"].as_str().unwrap_or_default().to_owned()).collect();
    assert_eq!(labels.len(), before + 1);
    for expected in ["Reversing lamp, left", "Number-plate lamp, right", "Flux capacitor"] {
        assert!(labels.iter().any(|label| label == expected), "{expected} is not among {labels:?}");
    }
}

/// How many loads the key at the foot of the screen would put on.
async fn put_on_says(phone: &Phone) -> usize {
    let words = phone.see("#put-on").await.text().await.unwrap();
    words.split_whitespace().nth(1).unwrap().parse().unwrap()
}

#[tokio::test(flavor = "multi_thread")]
async fn a_table_from_a_file_is_matched_column_by_column() {
    let mut desk = Desk::start().await;
    let phone = Phone::new().await;
    let job = job_without_network(&phone, &mut desk, true).await;
    phone.tap("#to-paste").await;
    phone.choose_file("#open-list", &case("tables/garage_de.csv")).await;
    phone.see("#column-0").await;
    let name = phone
        .script("return [...document.querySelectorAll('[id^=column-]')].find((s) => s.value === '0').id", vec![])
        .await;
    let name = name.as_str().unwrap().to_owned();
    let proposed = put_on_says(&phone).await;
    assert!(proposed > 1);
    let taken = "return [...document.querySelectorAll('[id^=line-]')].find((line) => line.value === '1').id";
    let taken = phone.script(taken, vec![]).await.as_str().unwrap().to_owned();
    phone.choose(&format!("#{taken}"), "0").await;
    until("one is left out", async || put_on_says(&phone).await < proposed).await;
    let proposed = put_on_says(&phone).await;
    // Without a name there are no loads, and that is said.
    phone.choose(&format!("#{name}"), "11").await;
    phone.reads("No column is the name").await;
    assert_eq!(put_on_says(&phone).await, 0);
    phone.choose(&format!("#{name}"), "0").await;
    // What was left out before stays so.
    until("the loads are back", async || put_on_says(&phone).await > 0).await;
    assert_eq!(put_on_says(&phone).await, proposed);
    phone.tap("#put-on").await;
    phone.reads(&format!("On this fuse: {proposed}")).await;
    assert_eq!(loads(&phone, &job).await.len(), proposed);
}

#[tokio::test(flavor = "multi_thread")]
async fn a_vin_is_read_and_stays_here_where_that_is_wanted() {
    let desk = Desk::start().await;
    let mut phone = Phone::new().await;
    // This browser reads no bar codes: one that does is played.
    let reads = format!(
        "window.BarcodeDetector = class {{ async detect(image) {{ return image.width > 0 ? [{{ rawValue: 'I{VIN}' }}] : []; }} }};"
    );
    phone.devtools("Page.addScriptToEvaluateOnNewDocument", json!({ "source": reads })).await;
    phone.open(&desk.url()).await;
    phone.tap("#new-job").await;
    phone.write("#vin", "1j9rp1a3-5a16 44345").await;
    phone.reads("Position 9 is 5, and the other sixteen characters ask for 6").await;
    phone.write("#vin", VIN).await;
    phone.reads("the check digit fits").await;
    phone.reads("The VIN is in this job's log and goes with it").await;
    let job = phone.job().await;
    assert!(phone.kept_events(&job).await.iter().any(|event| event["body"]["vin"] == VIN));

    phone.open(&desk.url()).await;
    phone.tap("#new-job").await;
    phone.tap("label:has(#vin-here)").await;
    phone.choose_file("#scan-vin", &case("photos/small.jpg")).await;
    phone.reads("the check digit fits").await;
    phone.write("#vehicle", "White van").await;
    let job = phone.job().await;
    phone.open(&format!("{}/job/{job}/concern", desk.url())).await;
    until("the number is still here", async || {
        phone.see("#vin").await.prop("value").await.unwrap().as_deref() == Some(VIN)
    })
    .await;
    let log = serde_json::to_string(&phone.kept_events(&job).await).unwrap();
    assert!(log.contains("White van") && !log.contains(VIN), "{log}");

    // It is nowhere else: a browser that is ended at once must not have lost it.
    phone.keeps_small(VIN).await;
    phone.restart().await;
    phone.open(&format!("{}/job/{job}/concern", desk.url())).await;
    until("the number is here again", async || {
        phone.see("#vin").await.prop("value").await.unwrap().as_deref() == Some(VIN)
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_wire_that_goes_another_way_brings_other_places() {
    let desk = Desk::start().await;
    let phone = Phone::new().await;
    let job = phone.practise(&desk).await;
    phone.open(&format!("{}/job/{job}/load/reverse_left", desk.url())).await;
    phone.see("#wire-way").await;
    phone.choose("#wire-way", "1").await;
    until("the way is kept", async || {
        loads(&phone, &job).await.iter().any(|load| load["via"].as_array().is_some_and(|via| !via.is_empty()))
    })
    .await;
    let chosen = phone.script("return document.querySelector('#wire-way').selectedOptions[0].innerText", vec![]).await;
    assert!(chosen.as_str().unwrap().starts_with("through "), "{chosen}");
    let via = loads(&phone, &job).await.last().unwrap()["via"][0].clone();
    let place = via["zone"].as_str().or(via["passage"].as_str()).unwrap().to_owned();
    phone.open(&format!("{}/job/{job}/list", desk.url())).await;
    phone.unfold_zones().await;
    let there =
        format!("return [...document.querySelectorAll('a.line')].some((line) => line.href.includes('{place}'))");
    assert_eq!(phone.script(&there, vec![]).await, json!(true), "{place}");
}

#[tokio::test(flavor = "multi_thread")]
async fn a_load_that_was_taken_off_by_mistake_comes_back_later_with_the_mark_on_its_wire() {
    let desk = Desk::start().await;
    let phone = Phone::new().await;
    let job = phone.practise(&desk).await;
    let (load, circuit) =
        (format!("{}/job/{job}/load/reverse_left", desk.url()), format!("{}/job/{job}/circuit", desk.url()));
    phone.open(&load).await;
    phone.tap_words("Edge").await;
    phone.reads("· marked").await;
    phone.tap_words("Take it off the list").await;
    phone.see("#off-the-list").await;
    // Something else was done since: it is not the last thing any more.
    phone.write("#find", "hor").await;
    take(&phone, "Horn").await;
    phone.reads("On the list: Horn.").await;
    phone.open(&circuit).await;
    phone.tap("#off-the-list summary").await;
    phone.reads("Marks on wires that are not there now, and not counted: 1").await;
    for (width, dark) in [(320, true), (390, false), (1280, false)] {
        phone.size(width, 844).await;
        phone.dark(dark).await;
        phone.picture(&format!("off-the-list-{width}")).await;
    }
    phone.dark(false).await;
    phone.size(390, 12_000).await;
    assert_eq!(phone.axe().await, Vec::<String>::new());
    phone.size(390, 844).await;
    phone.tap_words("Put back: Reversing lamp, left").await;
    let off = "return document.querySelector('#off-the-list')?.innerText.includes('Reversing lamp, left') ?? false";
    until("it is on the list again", async || phone.script(off, vec![]).await == json!(false)).await;
    phone.open(&load).await;
    phone.reads("· marked").await;
}

#[tokio::test(flavor = "multi_thread")]
async fn the_picture_puts_a_load_where_it_is_tapped_and_where_the_keys_go() {
    let desk = Desk::start().await;
    let phone = Phone::new().await;
    let job = phone.practise(&desk).await;
    phone.open(&format!("{}/job/{job}/load/reverse_left", desk.url())).await;
    phone.tap_words("Choose the place in the picture").await;
    phone.tap("#zone-roof_rear").await;
    until("the place is kept", async || {
        loads(&phone, &job).await.last().is_some_and(|load| load["zone"] == "roof_rear")
    })
    .await;

    // From there by keys alone: one tab stop, an arrow, Enter.
    phone.script("document.querySelector('.picture .choice-key input').focus()", vec![]).await;
    let keys = phone.driver().active_element().await.unwrap();
    keys.send_keys(thirtyfour::Key::Tab + "").await.unwrap();
    let picture = phone.driver().active_element().await.unwrap();
    assert_eq!(picture.attr("id").await.unwrap().as_deref(), Some("picture"));
    for key in [thirtyfour::Key::Down, thirtyfour::Key::Down] {
        picture.send_keys(key + "").await.unwrap();
    }
    let active = || async { phone.see("#picture").await.attr("aria-activedescendant").await.unwrap().unwrap() };
    let zone = active().await.strip_prefix("zone-").unwrap().to_owned();
    assert_ne!(zone, "roof_rear");
    picture.send_keys(thirtyfour::Key::Enter + "").await.unwrap();
    until("the place is kept", async || {
        loads(&phone, &job).await.last().is_some_and(|load| load["zone"] == zone.as_str())
    })
    .await;
    assert_eq!(phone.see("#zone").await.prop("value").await.unwrap().as_deref(), Some(zone.as_str()));
}

#[tokio::test(flavor = "multi_thread")]
async fn a_part_that_is_tapped_on_the_walk_shows_its_places() {
    let desk = Desk::start().await;
    let phone = Phone::new().await;
    phone.practise(&desk).await;
    // One part bears the dot of the last look, and says so to those who do not see it.
    let last = "return [...document.querySelectorAll('#picture [role=option]')].filter((part) => part.querySelector('.last') && part.ariaLabel.includes('looked here last')).length";
    assert_eq!(phone.script(last, vec![]).await, json!(1));
    phone.tap_words("Its left").await;
    phone.tap("#zone-load_area_left").await;
    phone.see("#there .line").await;
    phone.reads("Load area, left wall").await;
    // The same by the list below.
    phone.choose("#picture-list", "roof_rear").await;
    until("the other part's places", async || {
        phone.see("#there h2").await.text().await.is_ok_and(|title| title == "Load-area roof")
    })
    .await;
    phone.tap("#there .line").await;
    phone.see("#note").await;
}
