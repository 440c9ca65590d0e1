//! German and Spanish on the phone: every text of every screen is in the catalogues, fits 320 px and can be used by everyone;
//! what a user wrote stays; the language can be changed; and all that without a network.

use std::collections::BTreeSet;

use crate::browser_support::screens::{every_screen, first_place, overflow, settle};
use crate::browser_support::{Desk, Phone, until};
use serde_json::json;

/// What users wrote, in the practice job and here: it may stand in the middle of a text.
const WRITTEN: [&str; 7] = [
    "2013 panel van",
    "Grey hatchback",
    "White van, yard 3",
    "The fan's old lead crosses the upper edge of its bracket.",
    "Lifted off the edge: insulation through, copper on the bracket.",
    "Brown with yellow, strands bare over about 9 mm. Beside it a 10 mm socket.",
    "Conduit, clip, edging, and the sealed joint.",
];

/// A phone whose browser asks for a language.
async fn phone_in(tag: &str) -> Phone {
    Phone::with(&[format!("--accept-lang={tag}")]).await
}

async fn language(phone: &Phone) -> String {
    phone.script("return document.documentElement.lang", vec![]).await.as_str().unwrap_or_default().to_owned()
}

/// Waits until all words of that language are there.
async fn spoken(phone: &Phone, tag: &str) {
    until("the page is in its language", async || {
        let all = "return window.loomwalkSpeak !== undefined && loomwalkSpeak.language() === arguments[0] && loomwalkSpeak.complete()";
        phone.script(all, vec![json!(tag)]).await == json!(true)
    })
    .await;
}

/// What is found out by going through the screens.
struct Tour<'a> {
    phone: &'a Phone,
    tag: &'static str,
    base: String,
    missing: BTreeSet<String>,
    wrong: Vec<String>,
}

impl Tour<'_> {
    async fn open(&mut self, name: &str, address: &str) {
        self.phone.open(&format!("{}{address}", self.base)).await;
        settle(self.phone).await;
        self.look(name).await;
    }

    /// What the screen shows now: texts for which there was nothing, how wide it is, what axe finds.
    async fn look(&mut self, name: &str) {
        let phone = self.phone;
        spoken(phone, self.tag).await;
        let missing = phone.script("return [...loomwalkSpeak.missing]", vec![]).await;
        for text in missing.as_array().into_iter().flatten().filter_map(|text| text.as_str()) {
            if !WRITTEN.iter().any(|written| text.contains(written)) {
                self.missing.insert(format!("{name}: {text}"));
            }
        }
        phone.size(320, 640).await;
        phone.picture(&format!("{}-{name}-320", self.tag)).await;
        self.wrong.extend(overflow(phone, name, "320 px").await);
        phone.size(640, 844).await;
        phone.script("document.documentElement.style.fontSize = '200%'", vec![]).await;
        self.wrong.extend(overflow(phone, name, "640 px with text at 200 %").await);
        phone.script("document.documentElement.style.fontSize = ''", vec![]).await;
        phone.size(390, 12_000).await;
        self.wrong.extend(phone.axe().await.into_iter().map(|found| format!("{name}: {found}")));
        phone.size(390, 844).await;
    }
}

async fn every_text_is_spoken_and_fits(tag: &'static str) {
    let desk = Desk::start().await;
    let phone = phone_in(tag).await;
    phone.pair(&desk).await;
    phone.sign_in(&desk).await;
    let mut tour = Tour { phone: &phone, tag, base: desk.url(), missing: BTreeSet::new(), wrong: Vec::new() };
    tour.open("jobs-empty", "/").await;
    phone.tap("#practice").await;
    phone.see("#next-step").await;
    let job = phone.job().await;
    let point = first_place(&phone).await;
    phone.open(&format!("{}/job/{job}/circuit", desk.url())).await;
    let load = phone.see(".lines .line").await.attr("href").await.unwrap().unwrap();
    let desks = ["phones", "prices", "learned", "done", "lost"];
    let desks = desks.into_iter().zip(["desk-phones", "desk-prices", "desk-learned", "desk-done", "desk-lost"]);
    let desks = desks.map(|(page, name)| (name, format!("/desk/{page}")));
    for (name, address) in every_screen(&job, &point, load).into_iter().chain(desks) {
        tour.open(name, &address).await;
    }
    taps(&mut tour, &job, &point).await;
    the_shelf(&mut tour).await;
    let list = tour.missing.iter().cloned().collect::<Vec<_>>().join("\n");
    std::fs::write(std::path::Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("missing-{tag}.txt")), &list)
        .unwrap();
    assert!(tour.missing.is_empty(), "not in the catalogues of {tag}:\n{list}\n{}", tour.wrong.join("\n"));
    assert!(tour.wrong.is_empty(), "{}", tour.wrong.join("\n"));
}

/// What shows only after a tap.
async fn taps(tour: &mut Tour<'_>, job: &str, point: &str) {
    let phone = tour.phone;
    let at = format!("{}/job/{job}", tour.base);
    phone.open(&format!("{at}/circuit")).await;
    for summary in ["details:not([open]) summary"; 6] {
        if phone.script("return !!document.querySelector(arguments[0])", vec![json!(summary)]).await == json!(true) {
            phone.tap(summary).await;
        }
    }
    tour.look("circuit-opened").await;
    phone.see("#find").await.send_keys("wi").await.unwrap();
    phone.see(".offers li").await;
    tour.look("circuit-offers").await;
    phone.open(&format!("{at}/meter")).await;
    phone.tap(".plug").await;
    phone.write("#shown", "0,1").await;
    phone.see("#verdict .note").await;
    tour.look("meter-compared").await;
    for (number, name) in [(2, "meter-amperes"), (3, "meter-metres")] {
        phone.tap(&format!(".choice .choice-key:nth-of-type({number})")).await;
        if number == 3 {
            phone.write("#amps", "1.75").await;
            phone.write("#drop", "0.035").await;
            phone.see("#distance .large").await;
        }
        tour.look(name).await;
    }
    phone.open(&format!("{at}/point/{point}")).await;
    phone.tap(".marks .choice-key:nth-of-type(2)").await;
    phone.tap("#seen-Marked").await;
    // The last is a note with one tap.
    phone.script("[...document.querySelectorAll('[role=group] .key')].pop().click()", vec![]).await;
    settle(phone).await;
    tour.look("point-marked").await;
    phone.tap(".plainlist .plain").await;
    phone.tap("#taken-back > summary").await;
    phone.see("#taken-back .plain").await;
    tour.look("point-taken-back").await;
    phone.open(&format!("{at}/finding/{point}")).await;
    phone.tap("#found-here").await;
    phone.tap(".chip").await;
    tour.look("finding-found").await;
    phone.open(&format!("{at}/repair")).await;
    phone.tap("#methods > summary").await;
    phone.see("#methods .method").await;
    tour.look("repair-found").await;
    tour.open("report-found", &format!("/job/{job}/report")).await;
    let prices = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("assets/demo/prices.json");
    phone.choose_file("#prices", &prices).await;
    let priced = "return !!document.getElementById('report')?.contentDocument?.querySelector('.estimate')";
    until("the estimate", async || phone.script(priced, vec![]).await == json!(true)).await;
    tour.look("report-priced").await;
    phone.open(&format!("{at}/opening")).await;
    phone.tap(".choice-key:nth-of-type(1)").await;
    phone.tap("#it-opened").await;
    settle(phone).await;
    tour.look("opening-opened").await;
    tour.open("walk-opened", &format!("/job/{job}/walk")).await;
    phone.open(&format!("{at}/list")).await;
    phone.unfold_zones().await;
    tour.look("list-opened").await;
}

/// The shelf with something on it, one circuit of it, and what it offers to a job.
async fn the_shelf(tour: &mut Tour<'_>) {
    let phone = tour.phone;
    phone.open(&format!("{}/shelf", tour.base)).await;
    let case = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cases/shelves/two.shelf.json");
    phone.choose_file("#open-shelf", &case).await;
    phone.reads("Grey hatchback").await;
    tour.look("shelf").await;
    phone.tap(".shelf-line").await;
    phone.see("#shelf-name").await;
    tour.look("shelved").await;
    phone.open(&tour.base).await;
    phone.tap("#new-job").await;
    phone.write("#vehicle", "White van, yard 3").await;
    phone.write("#fuse", "F23").await;
    phone.choose("#rating", "10").await;
    phone.see("#shelf-offers").await;
    tour.look("concern-offer").await;
    phone.tap("[data-use]").await;
    phone.see("#shelf-offers [role=alert]").await;
    tour.look("concern-replace").await;
}

#[tokio::test(flavor = "multi_thread")]
async fn every_text_is_german_and_fits() {
    every_text_is_spoken_and_fits("de").await;
}

#[tokio::test(flavor = "multi_thread")]
async fn every_text_is_spanish_and_fits() {
    every_text_is_spoken_and_fits("es").await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_first_start_needs_only_the_words_of_the_first_screen() {
    let desk = Desk::start().await;
    let phone = phone_in("de-AT").await;
    let rest = phone
        .script_async(
            "const done = arguments[arguments.length - 1];
             fetch(arguments[0] + '/speak.js').then((answer) => answer.text()).then((text) => done(JSON.parse(/CATALOGUES = (.*);/.exec(text)[1]).de[1]))
               .catch((reason) => done(String(reason)))",
            vec![json!(desk.url())],
        )
        .await;
    assert!(rest.is_string(), "{rest}");
    phone.devtools("Network.enable", json!({})).await;
    let blocked = rest.as_str().map(|place| format!("*{place}*"));
    phone.devtools("Network.setBlockedURLs", json!({ "urls": [blocked] })).await;
    phone.open(&desk.url()).await;
    settle(&phone).await;
    assert_eq!(language(&phone).await, "de");
    assert_eq!(phone.title().await, "Aufträge");
    assert_eq!(phone.script("return [...loomwalkSpeak.missing]", vec![]).await, json!([]));
}

#[tokio::test(flavor = "multi_thread")]
async fn the_language_is_changed_at_once_and_kept_also_without_a_server() {
    let mut desk = Desk::start().await;
    let mut phone = phone_in("fr,en").await;
    phone.open(&desk.url()).await;
    assert_eq!((phone.title().await.as_str(), language(&phone).await.as_str()), ("Jobs", "en"));
    phone.open(&format!("{}/settings", desk.url())).await;
    let tags = "return [...document.querySelectorAll('[lang]')].filter((part) => part.localName !== 'html').map((part) => part.lang + ' ' + part.innerText)";
    assert_eq!(phone.script(tags, vec![]).await, json!(["en English", "de Deutsch", "es Español"]));
    for (words, title, tag) in [
        ("Deutsch", "Einstellungen", "de"),
        ("Español", "Ajustes", "es"),
        ("English", "Settings", "en"),
        ("Deutsch", "Einstellungen", "de"),
    ] {
        phone.tap_words(words).await;
        spoken(&phone, tag).await;
        assert!(phone.title().await.starts_with(title), "{} in {tag}", phone.title().await);
        assert_eq!(language(&phone).await, tag);
        let heading = phone.script("return document.title", vec![]).await;
        assert!(heading.as_str().is_some_and(|heading| heading.starts_with(title)), "{heading}");
    }
    phone.ready_for_offline().await;
    desk.stop();
    // Of several changes Chromium writes the last one to its small storage only a minute later.
    phone.tap_words("Español").await;
    spoken(&phone, "es").await;
    phone.keeps_small("\\\"language\\\":\\\"es\\\"").await;
    phone.restart().await;
    phone.open(&desk.url()).await;
    spoken(&phone, "es").await;
    assert_eq!((phone.title().await.as_str(), language(&phone).await.as_str()), ("Trabajos", "es"));
    phone.open(&format!("{}/guide", desk.url())).await;
    spoken(&phone, "es").await;
    assert_eq!(phone.script("return [...loomwalkSpeak.missing]", vec![]).await, json!([]));
}

#[tokio::test(flavor = "multi_thread")]
async fn what_a_user_wrote_stays_even_where_it_is_a_word_of_ours() {
    let desk = Desk::start().await;
    let phone = phone_in("de").await;
    phone.open(&desk.url()).await;
    phone.tap("#new-job").await;
    phone.write("#vehicle", "Settings").await;
    phone.write("#concern", "Rough road").await;
    phone.open(&desk.url()).await;
    phone.reads("Rough road").await;
    spoken(&phone, "de").await;
    let shown = phone.script("return document.querySelector('.line').innerText", vec![]).await;
    assert!(shown.as_str().is_some_and(|text| text.contains("Rough road") && text.contains("Settings")), "{shown}");
}

#[tokio::test(flavor = "multi_thread")]
async fn texts_are_put_together_from_their_parts() {
    let desk = Desk::start().await;
    let phone = phone_in("de").await;
    phone.open(&desk.url()).await;
    spoken(&phone, "de").await;
    let say = async |text: &str| {
        phone.script("return loomwalkSpeak.say(arguments[0])", vec![json!(text)]).await.as_str().unwrap().to_owned()
    };
    // Whole, with the spaces around it; parts of a list; what is no word.
    assert_eq!(say(" Rough road ").await, " Schlechte Straße ");
    assert_eq!(say("Key on, Lamps on").await, "Zündung ein, Licht ein");
    assert_eq!(say("0.35 mm²").await, "0,35 mm²");
    assert_eq!(say("Loomwalk 1.2.3").await, "Loomwalk 1.2.3");
    assert_eq!(say("F23").await, "F23");
    assert_eq!(say("nobody ever wrote this").await, "nobody ever wrote this");
    // By number, and with a user's words in the middle.
    assert_eq!(say("1 place").await, "1 Stelle");
    assert_eq!(say("12 places").await, "12 Stellen");
    assert_eq!(say("Watch: Rough road").await, "Beobachten: Rough road");
}
