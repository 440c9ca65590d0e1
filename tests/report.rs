//! Does the report say what the job says, all of it and nothing else, whatever people wrote?
use std::process::{Command, Output};

use chrono::DateTime;
use expect_test::{Expect, expect};
use loomwalk::bundle::Bundle;
use loomwalk::bundle::digest::{log_digest, photo_hash};
use loomwalk::bundle::file::{HAND_OVER_LIMIT, make};
use loomwalk::bundle::read::{open, read};
use loomwalk::circuit::file::{Mark, MarkKind, MarkPlace, Supply, TouchLengths};
use loomwalk::ids::{BundleId, DeviceId, EventId, JobId, PointId};
use loomwalk::job::act::{Concern, Finding, FreshFuse, Material, Photo, ReleaseItem, Stage};
use loomwalk::job::drawing::{Spot, Stroke};
use loomwalk::job::{Act, Event, Job, Log};
use loomwalk::report;
use loomwalk::search::evidence::Seen;
use uuid::Uuid;

const DEMO: &[u8] = include_bytes!("../assets/demo/van.loomwalk.json");

fn bundle_of(acts: &[Act]) -> Bundle {
    let at = DateTime::from_timestamp_millis(1_770_000_000_000).unwrap();
    let device = DeviceId(Uuid::from_u128(1));
    let events = acts.iter().zip(1..).map(|(act, n)| Event::new(EventId(Uuid::from_u128(n)), at, device, act));
    let log = Log::of(events).unwrap();
    make(&Job::fold(JobId(Uuid::from_u128(7)), &log), &log, BundleId(Uuid::from_u128(9)), device, at)
}

fn page_of(acts: &[Act]) -> String {
    report::html(&bundle_of(acts), &|_| None)
}

/// What a reader reads: the page without its tags.
fn words(page: &str) -> String {
    let body = &page[page.find("<body>").unwrap()..];
    let text: String = body.split('<').map(|part| part.split_once('>').map_or("", |(_, text)| text)).collect();
    text.replace("&quot;", "\"").replace("&lt;", "<").replace("&gt;", ">").replace("&amp;", "&")
}

/// Every tag that is opened is closed in its turn, and every attribute is quoted.
fn well_formed(page: &str) {
    const VOID: [&str; 4] = ["meta", "br", "img", "link"];
    // In SVG a `path` stands alone with a slash.
    let page = page.replacen("<!DOCTYPE html>", "", 1);
    let style = page.find("<style>").unwrap()..page.find("</style>").unwrap();
    let page = format!("{}<style>{}", &page[..style.start], &page[style.end..]);
    let mut open: Vec<String> = Vec::new();
    for tag in page.split('<').skip(1) {
        let (tag, text) = tag.split_once('>').expect("a tag ends");
        assert!(!text.contains('>'), "a bare > in {text:?}");
        match tag.strip_prefix('/') {
            Some(name) => assert_eq!(open.pop().as_deref(), Some(name), "</{name}>"),
            None => {
                let name = tag.split_ascii_whitespace().next().unwrap().to_owned();
                assert!(name.chars().all(|letter| letter.is_ascii_alphanumeric()), "<{name}>");
                if !VOID.contains(&name.as_str()) && !tag.ends_with('/') {
                    open.push(name);
                }
            }
        }
    }
    assert_eq!(open, Vec::<String>::new());
}

#[test]
fn a_load_that_the_search_leaves_out_is_not_called_fitted() {
    let text = r#"{ "format": "loomwalk/circuit", "version": 1, "fuse": { "rating_a": 20 },
        "vehicle": { "options": { "rear_wiper": "absent" } },
        "loads": [{ "id": "wiper", "label": "Wiper", "item": "wiper_rear", "zone": "rear_closure" }] }"#;
    let circuit = loomwalk::circuit::check::read(text.as_bytes()).unwrap();
    let acts = [Act::JobOpened { practice: false }, Act::Circuit { circuit: Box::new(circuit), shelved: None }];
    assert!(page_of(&acts).contains("<td>not on this vehicle</td>"));
}

#[test]
fn the_practice_jobs_report_tells_the_whole_story() {
    let bundle = read(DEMO, HAND_OVER_LIMIT).unwrap();
    let page = report::html(&bundle, &|photo| Some(format!("blob:{photo}")));
    well_formed(&page);
    let words = words(&page);
    for told in [
        "Practice job.",
        "2013 panel van",
        "Fuse F23 blows about once a week.",
        "BN/YE, brown with yellow",
        "The fan was taken out and its lead, still live, was left lying over the edge without a clip",
        "Rear-door boot, left",
        "10 presses, it held",
        "the fuse opened, 2 presses",
        "Out of reach: Roof lining is glued; the customer does not want it cut",
        "Rear demister",
        "taken off the list",
        "removed, wiring left",
        "It held for 20 min",
        "Damaged piece cut out",
        "Fit a new grommet at the foot of the partition",
        "2.1 A with key on and a door open, three lamps lit",
        "Driven on the roadnot done",
        "Brown with yellow, strands bare over about 9 mm.",
        "By the customer's papers",
        "1 taken back",
        "39 entries in the log, from 2 devices",
        "It does not replace the vehicle maker's service information",
        "25 places on the list: the search ended when the place was found.",
        bundle.log_digest.as_str(),
    ] {
        assert!(words.contains(told), "{told:?} is not in\n{words}");
    }
    assert!(!words.contains("severed"), "an act that was taken back is not told");
    assert_eq!(page.matches("<img").count(), 4);
    assert!(!page.contains("<script") && !page.contains("http://") && !page.contains("https://"));
}

#[test]
fn a_hostile_text_is_shown_as_it_was_written_and_does_nothing() {
    let evil = "</title></style><script>alert(1)</script>\"'><img src=x onerror=alert(2)>&amp;\u{202e}\u{0}";
    let point = || format!("point:{evil}").as_str().into();
    let material = Material { name: evil.into(), quantity: 1.0, unit: evil.into() };
    let mut bundle = bundle_of(&[
        Act::Concern(Concern { words: evil.into(), dead: evil.into(), ..Concern::default() }),
        Act::Vehicle(
            serde_json::from_value(serde_json::json!({ "label": evil, "vin": evil, "options": { evil: "absent" } }))
                .unwrap(),
        ),
        Act::Load(
            serde_json::from_value(serde_json::json!({ "id": evil, "label": evil, "zone": evil, "option": evil }))
                .unwrap(),
        ),
        Act::Look { point: point(), seen: Seen::Bare },
        Act::CannotReach { point: point(), why: evil.into() },
        Act::Note { point: Some(point()), text: evil.into() },
        Act::Tried { what: evil.into(), dead: true, state: vec![evil.into()] },
        Act::Tried { what: format!("a {evil}"), dead: false, state: vec![evil.into()] },
        Act::Note { point: None, text: evil.into() },
        Act::Finding(Finding {
            point: point(),
            rubbed_on: evil.into(),
            colour_seen: evil.into(),
            also_hurt: evil.into(),
            cause: evil.into(),
            aside: evil.into(),
        }),
        Act::Repair {
            of: None,
            point: Some(point()),
            what: evil.into(),
            done: true,
            minutes: None,
            method: Some(evil.into()),
            materials: vec![material],
        },
        Act::Worked { load: evil.into(), works: false },
        Act::Release { item: ReleaseItem::RoadTest, done: true, value: evil.into(), minutes: None },
        Act::Photo(Photo {
            sha256: photo_hash(b"x"),
            bytes: 1,
            media_type: evil.into(),
            width: 1,
            height: 1,
            taken_at: None,
            point: Some(point()),
            stage: Stage::Lie,
            annotation: evil.into(),
            seconds: None,
        }),
    ]);
    bundle.log_digest = evil.into();
    for address in [Some(evil.to_owned()), None] {
        let page = report::html(&bundle, &|_| address.clone());
        well_formed(&page);
        assert!(!page.contains("<script") && !page.contains("<img src=x"));
        assert!(!page.contains('\u{202e}') && !page.contains('\u{0}'));
        assert!(words(&page).contains("<script>alert(1)</script>\"'><img src=x onerror=alert(2)>"));
    }
}

#[test]
fn what_was_not_done_and_not_found_is_said_to_be_so() {
    let page = page_of(&[Act::JobOpened { practice: false }]);
    well_formed(&page);
    let words = words(&page);
    for told in
        ["Not found yet.", "No repair is recorded as done.", "No place was looked at.", "No circuit was entered."]
    {
        assert!(words.contains(told), "{told:?} is not in\n{words}");
    }
    assert_eq!(words.matches("not done").count(), 7);
    assert!(words.contains("Not everything on this list was done."));
    assert!(!words.contains("Practice job"));
}

#[test]
fn a_mark_on_a_wire_of_what_was_taken_off_is_told_apart_from_those_that_count() {
    let circuit = serde_json::from_slice(include_bytes!("../assets/demo/van.circuit.json")).unwrap();
    let on = |id: &str, run: &str| {
        let place = MarkPlace::Run { run: run.into(), at_m: 0.4 };
        Act::Mark(Mark { id: id.into(), place, kind: MarkKind::Heat, note: String::new() })
    };
    let acts = [
        Act::Circuit { circuit: Box::new(circuit), shelved: None },
        on("m_left", "assumed:lamp_left.feed"),
        on("m_step", "assumed:step_lamp.feed"),
        Act::LoadRemoved { load: "step_lamp".into() },
    ];
    let page = page_of(&acts);
    well_formed(&page);
    let told = words(&page);
    let aside = "Marked on wires that are not there now, and not counted";
    let (before, behind) = told.split_once(aside).unwrap_or_else(|| panic!("nothing is aside in\n{told}"));
    assert!(behind.starts_with("Heat on the wire of Step lamp, side door, 0.4 m from its start"), "{behind}");
    assert!(before.contains("Heat on the wire of Load-area lamp, left"), "{before}");
}

#[test]
fn what_was_tried_with_the_fuse_open_is_told_with_whether_it_fits() {
    let state = || vec!["key_on".into(), "door_open".into()];
    let tried = |what: &str, dead| Act::Tried { what: what.into(), dead, state: state() };
    let circuit = serde_json::from_slice(include_bytes!("../assets/demo/van.circuit.json")).unwrap();
    let acts = [
        Act::Circuit { circuit: Box::new(circuit), shelved: None },
        tried("lamp_left", true),
        tried("step_lamp", true),
        tried("lamp_right", false),
        tried("Radio", true),
        tried("step_lamp", false),
        Act::TakenBack { event: EventId(Uuid::from_u128(6)) },
    ];
    let page = page_of(&acts);
    well_formed(&page);
    let told = words(&page);
    for told_so in [
        "With door open, key on: Some is dead that this fuse does not feed, and some works that it does",
        "Load-area lamp, leftwas deadfits",
        "Step lamp, side doorwas deadfits",
        "Load-area lamp, rightworkedLoad-area lamp, right works though this fuse should feed it",
        "Radiowas deadRadio is dead and not on this circuit",
    ] {
        assert!(told.contains(told_so), "{told_so:?} is not in\n{told}");
    }
    let unknown = words(&page_of(&acts[1..2]));
    assert!(unknown.contains("lamp_leftwas deadcannot be told"), "{unknown}");
    assert!(!words(&page_of(&acts[..1])).contains("dead with the fuse open"), "nothing was tried");
}

#[test]
fn a_release_check_that_is_complete_does_not_say_otherwise() {
    let items = [
        ReleaseItem::RightFuse,
        ReleaseItem::PressedAgain,
        ReleaseItem::DrawMeasured,
        ReleaseItem::AllWorked,
        ReleaseItem::ProtectionBack,
        ReleaseItem::CautionsUndone,
        ReleaseItem::RoadTest,
    ];
    let done = items.map(|item| Act::Release { item, done: true, value: String::new(), minutes: None });
    assert!(!words(&page_of(&done)).contains("not done"));
    let undone = Act::Release { item: ReleaseItem::RoadTest, done: false, value: String::new(), minutes: None };
    let page = words(&page_of(&[done.as_slice(), &[undone]].concat()));
    assert!(page.contains("Driven on the roadnot done"));
}

/// The page with everything that it shows at an address.
fn shown(acts: &[Act]) -> String {
    report::html(&bundle_of(acts), &|name| Some(format!("blob:{name}")))
}

/// A photograph or a recording of the job as a whole.
fn kept(name: &[u8], media_type: &str, width: u32, height: u32, seconds: Option<f64>) -> Act {
    Act::Photo(Photo {
        sha256: photo_hash(name),
        bytes: 2_048,
        media_type: media_type.into(),
        width,
        height,
        taken_at: None,
        point: None,
        stage: Stage::Close,
        annotation: String::new(),
        seconds,
    })
}

#[test]
fn what_is_drawn_on_a_photograph_is_drawn_over_it_and_said_below_it() {
    let spot = |x, y| Spot { x, y };
    let strokes = vec![
        Stroke::ring(spot(0.3, 0.2), 0.75),
        Stroke::Known { from: spot(0.1, 0.6), to: spot(0.482, 0.6), mm: 19.1, what: "<b>Blade fuse</b>".into() },
        Stroke::Length { from: spot(0.5, 0.2), to: spot(0.5, 0.44) },
    ];
    // The second event is the photograph's: the events are numbered from 1.
    let photo = EventId(Uuid::from_u128(2));
    let acts = [
        Act::JobOpened { practice: false },
        kept(b"x", "image/jpeg", 1_600, 1_200, None),
        Act::Drawn { photo, strokes: vec![Stroke::ring(spot(0.9, 0.7), 0.75)] },
        Act::Drawn { photo, strokes },
    ];
    let page = shown(&acts);
    well_formed(&page);
    assert!(page.contains(r#"<svg viewBox="0 0 1000 750" aria-hidden="true">"#), "{page}");
    assert_eq!(page.matches(r#"class="over""#).count(), 3, "the newest drawing holds");
    assert!(page.contains("M220 200A80 80 0 1 1 380 200"), "the ring, where it was put");
    let told = words(&page);
    for told_so in [
        "RingKnown length: <b>Blade fuse</b>, 19.1 mmLength: 12.0 mm, give or take 0.9 mm",
        "Lengths hold for what lies as far from the camera as the known one, seen square on.",
    ] {
        assert!(told.contains(told_so), "{told_so:?} is not in\n{told}");
    }
    // Brought back on two phones, and drawn on by the second.
    let again = [
        Act::JobOpened { practice: false },
        kept(b"x", "image/jpeg", 1_600, 1_200, None),
        kept(b"x", "image/jpeg", 1_600, 1_200, None),
        Act::Drawn { photo: EventId(Uuid::from_u128(3)), strokes: vec![Stroke::ring(spot(0.9, 0.7), 0.75)] },
    ];
    assert!(shown(&again).contains("<svg viewBox=\"0 0 1000 750\""));
    let undrawn = shown(&[&acts[..], &[Act::Drawn { photo, strokes: vec![] }]].concat());
    assert!(!undrawn.contains("<svg viewBox=\"0 0 1000 750\""), "rubbed out");
}

#[test]
fn a_recording_can_be_heard_from_the_page_and_is_no_photograph() {
    let acts = [Act::JobOpened { practice: false }, kept(b"x", "audio/webm", 0, 0, Some(12.4))];
    let page = shown(&acts);
    well_formed(&page);
    assert!(page.contains(r#"<audio controls preload="none" src="blob:"#), "{page}");
    assert!(page.contains("media-src 'self' data: blob:"), "the page may play it");
    assert!(words(&page).contains("Spoken note, 12 s."));
    assert!(!words(&page).contains("Photographs"));
    let silent = words(&report::html(&bundle_of(&acts), &|_| None));
    assert!(silent.contains("This recording is not in the file (2 KB, audio/webm)."), "{silent}");
}

#[test]
fn a_photo_that_is_missing_is_said_to_be_missing() {
    let bundle = open(DEMO, HAND_OVER_LIMIT).unwrap().bundle;
    let page = report::html(&bundle, &|_| None);
    assert_eq!(words(&page).matches("This photograph is not in the file").count(), 4);
}

#[test]
fn acts_that_this_version_cannot_read_are_counted_and_leave_the_rest_readable() {
    let mut bundle = bundle_of(&[
        Act::Look { point: "point:passage:boot_rear_left".into(), seen: Seen::Sound },
        Act::Look { point: "point:zone:roof_rear".into(), seen: Seen::Sound },
        Act::Note { point: None, text: "still here".into() },
    ]);
    bundle.log[0].kind = "thermal_picture".into();
    bundle.log[1].body = serde_json::json!(null);
    let words = words(&report::html(&bundle, &|_| None));
    assert!(words.contains("1 from a newer version of the program: not shown here."), "{words}");
    assert!(words.contains("1 could not be read: not shown here. ") && words.contains("still here"), "{words}");
}

fn loomwalk(args: &[&str]) -> Output {
    let root = env!("CARGO_MANIFEST_DIR");
    Command::new(env!("CARGO_BIN_EXE_loomwalk")).current_dir(root).args(args).output().unwrap()
}

fn said(output: &Output, code: i32, stdout: Expect, stderr: Expect) {
    stdout.assert_eq(&String::from_utf8_lossy(&output.stdout));
    stderr.assert_eq(&String::from_utf8_lossy(&output.stderr));
    assert_eq!(output.status.code(), Some(code));
}

#[test]
fn the_report_command_writes_one_file_with_the_pictures_in_it() {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().join("page.html");
    let output = loomwalk(&["report", "assets/demo/van.loomwalk.json", "-o", out.to_str().unwrap()]);
    assert_eq!(output.status.code(), Some(0), "{output:?}");
    let page = std::fs::read_to_string(&out).unwrap();
    well_formed(&page);
    assert_eq!(page.matches("src=\"data:image/jpeg;base64,").count(), 4);
}

#[test]
fn the_report_command_says_why_there_is_no_report() {
    said(
        &loomwalk(&["report", "assets/demo/van.circuit.json", "-o", "/dev/null"]),
        1,
        expect![""],
        expect![[r#"
            assets/demo/van.circuit.json: this is not a hand-over file: its format should be "loomwalk/bundle", but it is "loomwalk/circuit"
        "#]],
    );
    said(
        &loomwalk(&["report", "no-such-file", "-o", "/dev/null"]),
        1,
        expect![""],
        expect![[r#"
            no-such-file: this cannot be read: No such file or directory (os error 2)
        "#]],
    );
    assert_eq!(loomwalk(&["report", "assets/demo/van.loomwalk.json"]).status.code(), Some(2));
}

#[test]
fn the_check_command_has_a_line_for_each_sound_file() {
    said(
        &loomwalk(&[
            "check",
            "assets/demo/van.circuit.json",
            "assets/demo/van.evidence.json",
            "assets/demo/van.loomwalk.json",
            "assets/bodies/panel_van.json",
            "assets/loads/engine.json",
            "tests/cases/bundles/outside.loomwalk.json",
        ]),
        0,
        expect![[r#"
            assets/demo/van.circuit.json: a sound loomwalk/circuit, version 1: 13 loads, 7 wires
            assets/demo/van.evidence.json: a sound loomwalk/evidence, version 1: 6 observations
            assets/demo/van.loomwalk.json: a sound loomwalk/bundle, version 1: 39 events, 4 photographs (4 with their bytes)
            assets/bodies/panel_van.json: a sound loomwalk/body, version 1: 40 zones, 57 passages
            assets/loads/engine.json: a sound loomwalk/loads, version 1
            tests/cases/bundles/outside.loomwalk.json: a sound loomwalk/bundle, version 1: 5 events, 1 photographs (1 with their bytes)
        "#]],
        expect![""],
    );
}

#[test]
fn what_proves_the_repair_leaves_the_chance_of_the_place_as_it_was() {
    let circuit = serde_json::from_slice(include_bytes!("../assets/demo/van.circuit.json")).unwrap();
    let boot = || PointId::from("point:passage:boot_rear_left");
    let found = [
        Act::Circuit { circuit: Box::new(circuit), shelved: None },
        Act::Look { point: boot(), seen: Seen::Bare },
        Act::Finding(serde_json::from_value(serde_json::json!({ "point": boot().to_string() })).unwrap()),
    ];
    let chance = |acts: &[Act]| {
        let words = words(&page_of(acts));
        let (_, rest) = words.split_once("the place has a chance of ").unwrap();
        let told = ["after it was found is proof of the repair", "although no repair is recorded as done"];
        (rest.split_once(',').unwrap().0.to_owned(), told.map(|told| words.contains(told)))
    };
    let before = chance(&found);
    assert_eq!(before.1, [false, false]);
    let pressed = Act::Press { point: boot(), opened: false, presses: 10, state: vec!["key_on".into()] };
    let held = [found.as_slice(), &[pressed]].concat();
    assert_eq!(chance(&held), (before.0.clone(), [false, true]));
    let repair = Act::Repair {
        of: None,
        point: Some(boot()),
        what: "Spliced".into(),
        done: true,
        minutes: None,
        method: None,
        materials: Vec::new(),
    };
    assert_eq!(chance(&[held.as_slice(), &[repair]].concat()), (before.0, [true, false]));
}

#[test]
fn wires_that_a_short_may_have_overheated_are_to_be_examined_whole() {
    let mut circuit: serde_json::Value =
        serde_json::from_slice(include_bytes!("../assets/demo/van.circuit.json")).unwrap();
    let page = |circuit: &serde_json::Value| {
        let boot = serde_json::json!({ "point": "point:passage:boot_rear_left" });
        words(&page_of(&[
            Act::Circuit { circuit: Box::new(serde_json::from_value(circuit.clone()).unwrap()), shelved: None },
            Act::Finding(serde_json::from_value(boot).unwrap()),
        ]))
    };
    let whole = "examine from end to end, not only where it rubbed";
    assert!(!page(&circuit).contains(whole));
    // A fuse far too large for the wire to the number plate.
    circuit["fuse"]["rating_a"] = 80.into();
    let told = page(&circuit);
    let wire =
        "A hard short may have heated the wire from rear-door connector to rear-door splice (RD/YE) beyond 160 °C";
    assert!(told.contains(whole) && told.contains(wire), "{told}");
    // Nobody said how thick it is.
    circuit["runs"][3]["area_mm2"] = serde_json::Value::Null;
    assert!(!page(&circuit).contains(whole));
}

/// The practice job with a change beside its log, and what the check says of it.
fn beside_the_log(change: impl FnOnce(&mut serde_json::Value)) -> (String, Result<String, String>) {
    let mut file: serde_json::Value = serde_json::from_slice(DEMO).unwrap();
    change(&mut file["job"]);
    let bytes = file.to_string().into_bytes();
    let page = report::html(&read(&bytes, HAND_OVER_LIMIT).expect("its log is whole, so it is read"), &|_| None);
    (page, loomwalk::cli::check::check_bytes(&bytes).map_err(|problems| problems.join("\n")))
}

#[test]
fn what_was_changed_beside_the_log_is_not_printed_and_the_check_says_where() {
    let page = report::html(&read(DEMO, HAND_OVER_LIMIT).unwrap(), &|_| None);
    let (printed, said) = beside_the_log(|job| {
        job["findings"][0]["cause"] = "The loom was laid wrong at the works".into();
        job["concern"]["words"] = "It never worked".into();
        job["vehicle"]["label"] = "Another van".into();
        job["circuit"]["fuse"]["rating_a"] = 25.into();
        job["circuit"]["runs"][0]["colour"] = "BK".into();
    });
    assert_eq!(printed, page);
    expect![[r#"
        /job/concern/words: it is other than what the log tells: it was changed by hand, and reports go by the log; ask for the file again
        /job/vehicle/label: it is other than what the log tells: it was changed by hand, and reports go by the log; ask for the file again
        /job/circuit/fuse/rating_a: it is other than what the log tells: it was changed by hand, and reports go by the log; ask for the file again
        /job/findings/0/cause: it is other than what the log tells: it was changed by hand, and reports go by the log; ask for the file again"#]]
    .assert_eq(&said.unwrap_err());
    // What a picture shows and where it was taken is in the log too.
    let mut file: serde_json::Value = serde_json::from_slice(DEMO).unwrap();
    file["photos"][1]["annotation"] = "Nothing to be seen".into();
    let bytes = file.to_string().into_bytes();
    assert_eq!(report::html(&read(&bytes, HAND_OVER_LIMIT).unwrap(), &|_| None), page);
    assert!(loomwalk::cli::check::check_bytes(&bytes).unwrap_err().join("\n").starts_with("/photos/1: "));
    let (printed, said) = beside_the_log(|job| job["findings"] = serde_json::json!([]));
    assert_eq!(printed, page);
    assert!(said.unwrap_err().starts_with("/job/findings: "));
}

#[test]
fn what_an_older_or_a_newer_version_writes_beside_the_log_is_sound() {
    let page = report::html(&read(DEMO, HAND_OVER_LIMIT).unwrap(), &|_| None);
    let (printed, said) = beside_the_log(|job| {
        let fields = |value: &mut serde_json::Value, name: &str| drop(value.as_object_mut().unwrap().remove(name));
        fields(job, "findings");
        fields(&mut job["concern"], "telltale");
        fields(&mut job["circuit"]["runs"][0], "colour");
        // Which joints hang on a load that was struck out, and in which order they come back, hangs on the version.
        job["circuit"]["joints"].as_array_mut().unwrap().reverse();
        job["circuit"]["supply"]["volts"] = serde_json::json!(job["circuit"]["supply"]["volts"].as_f64().unwrap());
        job["later"] = serde_json::json!({ "than": "us" });
    });
    assert_eq!(printed, page);
    said.unwrap();
}

#[test]
fn beside_a_part_of_a_log_what_the_bundle_says_of_the_job_holds() {
    let whole = read(DEMO, HAND_OVER_LIMIT).unwrap();
    // The end of it, and the beginning: the opening alone makes it no whole one.
    for log in [&whole.log[whole.log.len() - 3..], &whole.log[..3], &whole.log[..1]] {
        let part = make(&whole.fold().unwrap(), log, whole.bundle_id, whole.device_id, whole.made_at);
        let text = loomwalk::bundle::write::text(&part, |_| None).unwrap();
        let part = read(text.as_bytes(), HAND_OVER_LIMIT).unwrap();
        let page = words(&report::html(&part, &|_| None));
        assert!(page.contains("Fuse F23 blows about once a week."), "{page}");
        assert!(page.contains("The raw upper edge of the bracket that held the cargo fan"), "{page}");
        assert!(page.contains("over the edge of the old fan bracket, no edging"), "{page}");
        loomwalk::cli::check::check_bytes(text.as_bytes()).unwrap();
    }
}

#[test]
fn the_check_command_names_file_place_what_is_wrong_and_what_would_be_right() {
    let folder = tempfile::tempdir().unwrap();
    let check = |text: &str, stderr: Expect| {
        let path = folder.path().join("file");
        std::fs::write(&path, text).unwrap();
        let output = loomwalk(&["check", path.to_str().unwrap(), "assets/demo/van.circuit.json"]);
        assert_eq!(output.status.code(), Some(1));
        // The sound file beside it still has its line.
        assert!(String::from_utf8_lossy(&output.stdout).starts_with("assets/demo/van.circuit.json: a sound"));
        let said = String::from_utf8_lossy(&output.stderr);
        stderr.assert_eq(&said.replace(path.to_str().unwrap(), "FILE"));
    };
    check(
        "",
        expect![[r#"
        FILE: the file: it is empty
    "#]],
    );
    check(
        "{\"format\": \"loomwalk/pl",
        expect![[r#"
        FILE: the file: it ends in the middle, after 23 bytes: it was cut off; get it again
    "#]],
    );
    check(
        "[]",
        expect![[r#"
        FILE: the file: it should hold one JSON object with a "format"
    "#]],
    );
    check(
        "{\"version\": 1}",
        expect![[r#"
            FILE: /format: there is none; it should be one of loomwalk/bundle, loomwalk/circuit, loomwalk/faults, loomwalk/meter, loomwalk/story, loomwalk/isolation, loomwalk/evidence, loomwalk/learned, loomwalk/plan, loomwalk/prices, loomwalk/estimate, loomwalk/shelf, loomwalk/body, loomwalk/engine, loomwalk/loads
        "#]],
    );
    check(
        r#"{"format": "loomwalk/recipe", "version": 1}"#,
        expect![[r#"
            FILE: /format: "loomwalk/recipe" is not a format of this program; it should be one of loomwalk/bundle, loomwalk/circuit, loomwalk/faults, loomwalk/meter, loomwalk/story, loomwalk/isolation, loomwalk/evidence, loomwalk/learned, loomwalk/plan, loomwalk/prices, loomwalk/estimate, loomwalk/shelf, loomwalk/body, loomwalk/engine, loomwalk/loads
        "#]],
    );
    check(
        r#"{"format": "loomwalk/plan", "version": 2}"#,
        expect![[r#"
        FILE: /version: this is version 2 of loomwalk/plan and this program reads up to version 1: update the program
    "#]],
    );
    check(
        r#"{"format": "loomwalk/bundle", "version": 2}"#,
        expect![[r#"
        FILE: /version: this file is version 2 of loomwalk/bundle and this program reads up to version 1: update the program, then open it again
    "#]],
    );
    check(
        r#"{"format": "loomwalk/plan", "format": "loomwalk/plan", "version": 1}"#,
        expect![[r#"
        FILE: the file: duplicate field `format`; give it once
    "#]],
    );
    check(
        r#"{"format": "loomwalk/circuit", "version": 1, "fuse": {"rating_a": 15}, "loads": [{"id": "a", "kind": 7}]}"#,
        expect![[r#"
            FILE: /loads/0/kind: it is no text; write one of the format's words, in quotes
        "#]],
    );
    let mut bundle: serde_json::Value = serde_json::from_slice(DEMO).unwrap();
    bundle["job"]["circuit"]["fuse"]["rating_a"] = serde_json::json!(-15);
    bundle["job"]["circuit"]["runs"][0]["to"] = serde_json::json!("s9");
    check(
        &bundle.to_string(),
        expect![[r#"
        FILE: /job/circuit/fuse/rating_a: it is -15 A; a fuse rating is more than 0 and at most 1000 A
        FILE: /job/circuit/runs/0/to: there is no node "s9"; name `fuse`, `ground`, a joint's id, or `<load id>.feed` or `<load id>.return`
    "#]],
    );
    let mut bundle: serde_json::Value = serde_json::from_slice(DEMO).unwrap();
    let log = bundle["log"].as_array_mut().unwrap();
    let circuit = log.iter_mut().find(|event| event["kind"] == "circuit").unwrap();
    circuit["body"]["circuit"]["supply"]["volts"] = serde_json::json!(-12.6);
    let events: Vec<Event> = serde_json::from_value(bundle["log"].clone()).unwrap();
    bundle["log_digest"] = log_digest(&events).into();
    check(
        &bundle.to_string(),
        expect![[r#"
        FILE: /log: in the circuit that it makes, /supply/volts: it is -12.6 V; a voltage is more than 0 and at most 1000 V
    "#]],
    );
    check(
        r#"{"format": "loomwalk/plan", "version": 1, "steps": [{"n": 1, "id": "point:a", "kind": "sniff"}], "points": []}"#,
        expect![[r#"
            FILE: /steps/0/kind: unknown variant `sniff`, expected `access` or `look`
        "#]],
    );
    check(
        r#"{"format": "loomwalk/circuit", "version": 1, "fuse": {"rating_a": -15}, "loads": [{"id": "l1", "feed": "s9"}]}"#,
        expect![[r#"
            FILE: /fuse/rating_a: it is -15 A; a fuse rating is more than 0 and at most 1000 A
            FILE: /loads/0/feed: there is no node "s9"; name `fuse`, `ground`, a joint's id, or `<load id>.feed` or `<load id>.return`
        "#]],
    );
    check(
        r#"{"format": "loomwalk/evidence", "version": 1, "items": [{"kind": "held", "minutes": -1}]}"#,
        expect![[r#"
        FILE: /items/0/minutes: -1 minutes; 0 or more is right
    "#]],
    );
    check(
        &format!(r#"{{"format": "loomwalk/plan", "version": 1, "x": [{}0]}}"#, "0,".repeat(300_000)),
        expect![[r#"
        FILE: the file: more than 200000 values, which is more than any loomwalk/plan has
    "#]],
    );
}

#[test]
fn a_sheet_in_a_language_that_there_is_not_is_refused_and_not_written_in_english() {
    let folder = tempfile::TempDir::new().unwrap();
    let sheet = folder.path().join("sheet.html");
    let write = |lang: &str| {
        let out = sheet.to_str().unwrap();
        loomwalk(&["report", "assets/demo/van.loomwalk.json", "-o", out, "--customer", "--lang", lang])
    };
    for wrong in ["fr", "deu", "", "english"] {
        let output = write(wrong);
        assert_eq!(output.status.code(), Some(2), "{wrong}");
        assert!(String::from_utf8_lossy(&output.stderr).contains("en, de or es"), "{output:?}");
        assert!(!sheet.exists(), "{wrong}");
    }
    for (tag, lang) in [("de-AT", "de"), ("ES", "es"), ("en_GB", "en")] {
        assert!(write(tag).status.success(), "{tag}");
        let page = std::fs::read_to_string(&sheet).unwrap();
        assert!(page.contains(&format!("<html lang=\"{lang}\"")), "{tag}");
    }
}

#[test]
fn the_check_command_wants_at_least_one_file() {
    assert_eq!(loomwalk(&["check"]).status.code(), Some(2));
}

#[test]
fn a_folder_or_an_endless_file_is_refused_at_once() {
    assert_eq!(loomwalk(&["check", "src"]).status.code(), Some(1));
    let endless = loomwalk(&["check", "/dev/zero"]);
    assert_eq!(endless.status.code(), Some(1));
    assert!(String::from_utf8_lossy(&endless.stderr).contains("nothing was read"), "{endless:?}");
}

#[test]
fn a_breaker_is_not_said_to_stay_open_and_a_stated_touch_is_told() {
    let told = |style: &str, touch: Option<TouchLengths>| {
        let fuse = serde_json::from_value(serde_json::json!({ "rating_a": 15, "style": style })).unwrap();
        let page = page_of(&[
            Act::Fuse { fuse, supply: Supply::default() },
            Act::Touch { touch },
            Act::Concern(Concern { fresh_fuse: FreshFuse::OpensAtOnce, ..Concern::default() }),
        ]);
        well_formed(&page);
        words(&page)
    };
    let page = told("breaker", Some(TouchLengths { shortest_s: 0.001, longest_s: 0.5 }));
    assert!(page.contains("15 A, breaker that resets by itself"), "{page}");
    assert!(page.contains("It trips at once, again and again") && !page.contains("fresh fuse"), "{page}");
    assert!(page.contains("trips and closes again by itself") && !page.contains("leave it open"), "{page}");
    assert!(page.contains("taken to touch for 1 ms to 0.5 s"), "{page}");
    let page = told("blade", None);
    assert!(page.contains("15 A, blade fuse") && page.contains("leave it open"), "{page}");
    assert!(!page.contains("taken to touch") && page.contains("A fresh fuse opens at once"), "{page}");
}
