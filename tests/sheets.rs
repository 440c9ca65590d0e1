//! Does the customer's sheet say in plain words what was done and what was not, and the page for the file what shows it?
use chrono::DateTime;
use loomwalk::bundle::Bundle;
use loomwalk::bundle::digest::photo_hash;
use loomwalk::bundle::file::{HAND_OVER_LIMIT, make};
use loomwalk::bundle::read::read;
use loomwalk::ids::{BundleId, DeviceId, EventId, JobId};
use loomwalk::job::act::{Concern, Finding, Material, Photo, ReleaseItem, Stage};
use loomwalk::job::{Act, Event, Job, Log};
use loomwalk::report::prices::{self, Prices};
use loomwalk::report::{self, Kind, Lang, Wish};
use loomwalk::search::evidence::{Heat, Motion, Seen};
use uuid::Uuid;

const DEMO: &[u8] = include_bytes!("../assets/demo/van.loomwalk.json");
const BOOT: &str = "point:passage:boot_rear_left";

fn van() -> Act {
    let circuit = serde_json::from_slice(include_bytes!("../assets/demo/van.circuit.json")).unwrap();
    Act::Circuit { circuit: Box::new(circuit), shelved: None }
}

/// Acts with the phone that made each.
fn bundle_by(acts: &[(u128, Act)]) -> Bundle {
    let at = |n: i64| DateTime::from_timestamp_millis(1_770_000_000_000 + n * 60_000).unwrap();
    let events = acts.iter().zip(1_i64..).map(|((device, act), n)| {
        Event::new(EventId(Uuid::from_u128(n as u128)), at(n), DeviceId(Uuid::from_u128(*device)), act)
    });
    let log = Log::of(events).unwrap();
    let job = Job::fold(JobId(Uuid::from_u128(7)), &log);
    make(&job, &log, BundleId(Uuid::from_u128(9)), DeviceId(Uuid::from_u128(1)), at(0))
}

fn bundle_of(acts: Vec<Act>) -> Bundle {
    bundle_by(&acts.into_iter().map(|act| (1, act)).collect::<Vec<_>>())
}

fn sheet(bundle: &Bundle, prices: Option<&Prices>) -> String {
    report::html_for(
        bundle,
        &|hash| Some(format!("blob:{hash}")),
        &Wish { kind: Kind::Customer, prices, lang: Lang::En },
    )
}

fn file(bundle: &Bundle, prices: Option<&Prices>) -> String {
    report::html_for(bundle, &|_| None, &Wish { kind: Kind::File, prices, lang: Lang::En })
}

fn words(page: &str) -> String {
    let body = &page[page.find("<body>").unwrap()..];
    let text: String = body.split('<').map(|part| part.split_once('>').map_or("", |(_, text)| text)).collect();
    text.replace("&quot;", "\"").replace("&lt;", "<").replace("&gt;", ">").replace("&amp;", "&").replace('\u{a0}', " ")
}

fn holds(page: &str, told: &[&str]) {
    let words = words(page);
    for told in told {
        assert!(words.contains(told), "{told:?} is not in\n{words}");
    }
}

fn photo(stage: Stage, name: &[u8]) -> Act {
    Act::Photo(Photo {
        sha256: photo_hash(name),
        bytes: 2_048,
        media_type: "image/jpeg".into(),
        width: 1_600,
        height: 1_200,
        taken_at: None,
        point: Some(BOOT.into()),
        stage,
        annotation: String::new(),
        seconds: None,
    })
}

fn finding(colour_seen: &str) -> Act {
    Act::Finding(Finding {
        point: BOOT.into(),
        rubbed_on: "the hinge".into(),
        colour_seen: colour_seen.into(),
        also_hurt: "the washer hose".into(),
        cause: "boot out of its seat".into(),
        aside: "rust in the gutter".into(),
    })
}

fn look(seen: Seen) -> Act {
    Act::Look { point: BOOT.into(), seen }
}

fn press(opened: bool, presses: u32) -> Act {
    Act::Press { point: BOOT.into(), opened, presses, state: vec!["key_on".into()] }
}

#[test]
fn the_customers_sheet_of_the_practice_job() {
    let bundle = read(DEMO, HAND_OVER_LIMIT).unwrap();
    let prices = prices::read(include_bytes!("../assets/demo/prices.json")).unwrap();
    let page = sheet(&bundle, Some(&prices));
    holds(
        &page,
        &[
            "Practice job.",
            "2013 panel van",
            "Fuse F23 blows about once a week.",
            "metal of the wire seen. When it was pressed there, the fuse opened.",
            "The raw upper edge of the bracket",
            "Damaged piece cut out",
            "Recommended, and not done",
            "Fit a new grommet",
            "One of 7 checks was not done.",
            "Test drive: not done",
            "The right fuse is fitted: done",
            "For what was done: 72.58 EUR, of that VAT 12.10 EUR.",
            "For what is recommended: 51.84 EUR, of that VAT 8.64 EUR.",
            "If it happens again",
            "never a larger one",
            "The maker's instructions come first.",
            "no inspection of the whole vehicle",
            &bundle.job.id.to_string(),
        ],
    );
    assert_eq!(page.matches("<img").count(), 3, "close, as it lay, repaired");
    assert!(!page.contains("<script") && !page.contains("http://") && !page.contains("https://"));
    assert!(page.contains(r#"<main class="sheet">"#) && page.contains("@page sheet"));
    for jargon in ["draw", "Draw", "short to ground", "telltale", "splice", "harness"] {
        assert!(!words(&page).contains(jargon), "{jargon}");
    }
}

#[test]
fn a_sheet_without_prices_has_no_estimate_and_one_without_a_finding_says_so() {
    let bundle = bundle_of(vec![Act::JobOpened { practice: false }]);
    let page = sheet(&bundle, None);
    holds(
        &page,
        &["The place has not been found yet.", "No repair is written down as done.", "7 of 7 checks were not done."],
    );
    assert!(!words(&page).contains("Estimate") && !page.contains("<img"));
}

#[test]
fn of_many_pictures_the_newest_close_one_the_one_as_it_lay_and_the_repair_are_shown() {
    let names: [(Stage, &[u8]); 6] = [
        (Stage::Lie, b"lie"),
        (Stage::Close, b"close, blurred"),
        (Stage::Close, b"close"),
        (Stage::Lifted, b"lifted"),
        (Stage::Other, b"other"),
        (Stage::Repaired, b"repaired"),
    ];
    let mut acts = vec![van(), finding("")];
    acts.extend(names.map(|(stage, name)| photo(stage, name)));
    let page = sheet(&bundle_of(acts), None);
    let shown = ["close", "lie", "repaired"].map(|name| page.find(photo_hash(name.as_bytes()).as_str()).unwrap());
    assert!(shown.is_sorted());
    assert_eq!(page.matches("<img").count(), 3);
}

#[test]
fn a_repaired_place_that_looks_sound_was_not_found_sound() {
    let repair = Act::Repair {
        of: None,
        point: Some(BOOT.into()),
        what: "Spliced".into(),
        done: true,
        minutes: None,
        method: None,
        materials: Vec::new(),
    };
    for then in [Seen::Sound, Seen::NotSeen] {
        let acts = vec![van(), look(Seen::Thinned), look(Seen::Bare), finding("RD/YE"), repair.clone(), look(then)];
        let told = words(&sheet(&bundle_of(acts), None));
        assert!(told.contains(": metal of the wire seen.") && !told.contains("nothing wrong"), "{told}");
    }
}

#[test]
fn a_drive_before_the_fuse_opened_again_is_none() {
    let driven = Act::Release { item: ReleaseItem::RoadTest, done: true, value: String::new(), minutes: Some(120.0) };
    let blow = Act::Blow { state: vec!["key_on".into()], motion: Motion::Rough, heat: Heat::Warm };
    let told = |acts: Vec<Act>| words(&sheet(&bundle_of(acts), None)).contains("120 min");
    assert!(told(vec![van(), finding("RD/YE"), driven.clone()]));
    assert!(!told(vec![van(), finding("RD/YE"), driven, blow]));
}

#[test]
fn what_speaks_against_a_check_is_said_on_the_sheet_too() {
    let fuse = Act::Release { item: ReleaseItem::RightFuse, done: true, value: "20 A".into(), minutes: None };
    holds(
        &sheet(&bundle_of(vec![van(), fuse]), None),
        &["The right fuse is fitted: done. 20 A was read, and the circuit has 15 A"],
    );
}

#[test]
fn lines_without_a_price_are_said_to_be_left_out() {
    let prices = prices::read(include_bytes!("../assets/demo/prices.json")).unwrap();
    let repair = Act::Repair {
        of: None,
        point: None,
        what: "Bracket renewed".into(),
        done: true,
        minutes: Some(6.0),
        method: Some("right_part".into()),
        materials: vec![Material { name: "Bracket".into(), quantity: 1.0, unit: "pc".into() }],
    };
    let bundle = bundle_of(vec![van(), repair]);
    holds(
        &sheet(&bundle, Some(&prices)),
        &["For what was done: 10.37 EUR", "One item has no price yet and is not in it."],
    );
    holds(
        &file(&bundle, Some(&prices)),
        &[
            "Method: Right part in place of a makeshift one.",
            "Bracket: 1 pc",
            "to be priced",
            "1 line is to be priced and in no sum.",
            "Each line is rounded by itself to 0.01 EUR",
        ],
    );
}

#[test]
fn the_page_for_the_file_tells_what_led_to_the_finding() {
    let blow = |state: &[&str]| Act::Blow {
        state: state.iter().map(|state| (*state).into()).collect(),
        motion: Motion::Rough,
        heat: Heat::Warm,
    };
    let acts = vec![
        van(),
        blow(&["key_on"]),
        blow(&["key_on"]),
        blow(&["key_on", "lamps_on"]),
        photo(Stage::Lie, b"lie"),
        look(Seen::Marked),
        press(false, 4),
        press(true, 2),
        Act::Telltale {
            lit: false,
            seen_at: DateTime::from_timestamp_millis(1_770_000_000_000 + 8 * 60_000 + 300).unwrap(),
        },
        Act::Lift { point: BOOT.into() },
        look(Seen::Bare),
        finding("PK"),
    ];
    holds(
        &file(&bundle_of(acts), None),
        &[
            "The fuse opened 2 × with key on; 1 × with key on, lamps on.",
            "Photographed: as it lies, before it was touched.",
            "Looked at: marked",
            "4 presses with key on: the fuse held.",
            "2 presses with key on: the fuse opened.",
            "The telltale went out 0.3 s after the tap for press 6 here.",
            "The loom was lifted.",
            "Looked at: bare",
            "The circuit has no wire of this colour here, but",
            "By all that is in the log the place has a chance of",
            "Noticed, perhaps unrelatedrust in the gutter",
        ],
    );
}

#[test]
fn a_photograph_as_it_lay_that_was_brought_back_stands_where_it_was_taken() {
    let back = Act::TakenBack { event: EventId(Uuid::from_u128(2)) };
    let lie = || photo(Stage::Lie, b"lie");
    let acts = vec![van(), lie(), Act::Lift { point: BOOT.into() }, look(Seen::Bare), finding("BK"), back, lie()];
    let page = words(&file(&bundle_of(acts), None));
    let (_, shows) = page.split_once("What shows it").unwrap();
    let taken = shows.find("Photographed: as it lies, before it was touched. 2 Feb 2026, 02:42").expect(shows);
    assert!(taken < shows.find("The loom was lifted. 2 Feb 2026, 02:43").expect(shows), "{shows}");
    assert_eq!(shows.matches("Photographed: as it lies").count(), 1, "{shows}");
}

#[test]
fn the_customer_sees_the_newest_photograph_though_an_older_one_was_brought_back() {
    let back = Act::TakenBack { event: EventId(Uuid::from_u128(2)) };
    let (older, newer) = (|| photo(Stage::Close, b"older"), photo(Stage::Close, b"newer"));
    let acts = vec![van(), older(), newer, look(Seen::Bare), finding("BK"), back, older()];
    let page = sheet(&bundle_of(acts), None);
    let shown = |name: &[u8]| page.contains(&format!("blob:{}", photo_hash(name)));
    assert!(shown(b"newer") && !shown(b"older"), "{page}");
}

#[test]
fn two_phones_that_saw_a_place_differently_are_told_with_who_what_and_when() {
    let told = |acts: &[(u128, Act)]| words(&file(&bundle_by(acts), None));
    let differ = told(&[(1, van()), (0xaa, look(Seen::Sound)), (0xbb, look(Seen::Bare))]);
    let line =
        "Seen differently: sound by device 000000aa, 2 Feb 2026, 02:42; bare by device 000000bb, 2 Feb 2026, 02:43.";
    assert!(differ.contains(line), "{differ}");
    for agreed in [
        // One phone that looked again, one that could not see, one that came round.
        vec![(1, van()), (0xaa, look(Seen::Sound)), (0xaa, look(Seen::Bare))],
        vec![(1, van()), (0xaa, look(Seen::NotSeen)), (0xbb, look(Seen::Bare))],
        vec![(1, van()), (0xaa, look(Seen::Sound)), (0xbb, look(Seen::Bare)), (0xaa, look(Seen::Bare))],
    ] {
        assert!(!told(&agreed).contains("Seen differently"));
    }
}

#[test]
fn a_hostile_text_does_nothing_on_the_sheet_either() {
    let evil = "</title><script>alert(1)</script>\"'><img src=x onerror=alert(2)>\u{202e}";
    let repair = |done| Act::Repair {
        of: None,
        point: None,
        what: evil.into(),
        done,
        minutes: None,
        method: Some(evil.into()),
        materials: vec![Material { name: evil.into(), quantity: 1.0, unit: evil.into() }],
    };
    let list = serde_json::json!({
        "format": "loomwalk/prices", "version": 1, "currency": "EUR", "labour": { "rate_per_hour": 60 },
        "tax": { "name": evil, "rate_percent": 5 }, "parts": [{ "name": evil, "unit": evil, "price": 2 }],
    });
    let prices = prices::read(list.to_string().as_bytes()).unwrap();
    let bundle = bundle_of(vec![
        Act::Concern(Concern { words: evil.into(), ..Concern::default() }),
        Act::Finding(Finding {
            point: format!("point:{evil}").as_str().into(),
            rubbed_on: evil.into(),
            colour_seen: evil.into(),
            also_hurt: evil.into(),
            cause: evil.into(),
            aside: evil.into(),
        }),
        repair(true),
        repair(false),
        Act::Worked { load: evil.into(), works: false },
    ]);
    for page in [sheet(&bundle, Some(&prices)), file(&bundle, Some(&prices))] {
        assert!(!page.contains("<script") && !page.contains("<img src=x") && !page.contains('\u{202e}'));
        assert!(words(&page).contains("<script>alert(1)</script>"));
    }
}

#[test]
fn the_sheet_is_in_the_customers_language_with_the_workshops_own_words_as_they_are() {
    let demo = read(DEMO, HAND_OVER_LIMIT).unwrap();
    let prices = prices::read(include_bytes!("../assets/demo/prices.json")).unwrap();
    let page = |lang| {
        report::html_for(
            &demo,
            &|hash| Some(format!("blob:{hash}")),
            &Wish { kind: Kind::Customer, prices: Some(&prices), lang },
        )
    };
    let english = page(Lang::En);
    let headings = |page: &str| -> Vec<String> {
        let parts = page.split("<h2>").chain(page.split("<h1>")).skip(1).map(|rest| rest.split('<').next().unwrap());
        parts.filter(|heading| !heading.is_empty()).map(str::to_owned).collect()
    };
    for (lang, told) in [
        (
            Lang::De,
            ["Was gefunden wurde", "Probefahrt", "Im Bericht der Werkstatt", "März 2026", "Wenn es wieder geschieht"],
        ),
        (
            Lang::Es,
            [
                "Lo que se encontró",
                "Prueba en carretera",
                "En el informe del taller",
                "marzo de 2026",
                "Si vuelve a ocurrir",
            ],
        ),
    ] {
        let page = page(lang);
        assert!(page.contains(&format!("<html lang=\"{}\">", lang.tag())), "{lang:?}");
        holds(&page, &told);
        // Nothing of ours is left in English; what the technician wrote is theirs.
        for heading in headings(&english) {
            assert!(!headings(&page).contains(&heading), "{lang:?}: {heading}");
        }
        holds(&page, &[&demo.job.concern.words]);
        assert!(page.contains("<strong lang=\"en\">"), "the place's English name is marked as such");
        assert!(!words(&page).contains(" not done"), "{}", words(&page));
    }
    // Money with a decimal comma there, and no amount with a point.
    let money = words(&page(Lang::De));
    let cost = money.split("Kosten").nth(1).unwrap();
    assert!(cost.contains(',') && cost.contains(&prices.currency), "{cost}");
}

#[test]
fn hostile_words_are_words_in_every_language() {
    let hostile = "<script>alert(1)</script>{ $day }";
    let bundle = bundle_of(vec![van(), Act::Concern(Concern { words: hostile.to_owned(), ..Concern::default() })]);
    for lang in Lang::ALL {
        let page = report::html_for(&bundle, &|_| None, &Wish { kind: Kind::Customer, prices: None, lang });
        assert!(
            page.contains("&lt;script&gt;alert(1)&lt;/script&gt;{ $day }") && !page.contains("<script"),
            "{lang:?}"
        );
    }
}
