//! The practice job: made here, kept in assets/demo and, for the app to fetch, in public/demo, and sound by every check that a real one must pass.
//!
//! `UPDATE_EXPECT=1 cargo test --test pure demo` writes van.loomwalk.json again. All of it is invented.
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use chrono::{DateTime, TimeDelta, Utc};
use loomwalk::bundle::digest::photo_hash;
use loomwalk::bundle::file::{HAND_OVER_LIMIT, make};
use loomwalk::bundle::{read, write};
use loomwalk::circuit::check;
use loomwalk::circuit::file::{CircuitFile, Load};
use loomwalk::ids::{BundleId, DeviceId, EventId, IdMaker, JobId, PointId};
use loomwalk::job::act::{Concern, Finding, FreshFuse, Often, Photo, ReleaseItem, Stage};
use loomwalk::job::session::Session;
use loomwalk::job::{Act, Event, Job, Log, may};
use loomwalk::search::evidence::{self, Heat, Motion, Seen};
use loomwalk::search::plan::Walk;
use uuid::Uuid;

const BOOT: &str = "point:passage:boot_rear_left";
const FOOT: &str = "point:passage:partition_foot_left";
const PLACE: &str = "point:r6@0.8";
const ROOF: &str = "point:zone:roof_rear";

fn demo(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("assets/demo").join(name)
}

/// What the app fetches: a server hands out the folder `public` and nothing else.
fn served() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("public/demo/van.loomwalk.json")
}

fn circuit() -> CircuitFile {
    check::read(&std::fs::read(demo("van.circuit.json")).unwrap()).unwrap()
}

fn start() -> DateTime<Utc> {
    "2026-03-11T08:12:00Z".parse().unwrap()
}

/// The phone under the vehicle, and the one in the cab.
fn device(n: u8) -> DeviceId {
    DeviceId(uuid::Builder::from_random_bytes([n; 16]).into_uuid())
}

fn picture(name: &str) -> Vec<u8> {
    let drawn = Path::new(env!("CARGO_MANIFEST_DIR")).join("assets/demo/pictures");
    std::fs::read(drawn.join(name)).unwrap()
}

fn photo(name: &str, minute: i64, stage: Stage, annotation: &str) -> Act {
    let bytes = picture(name);
    Act::Photo(Photo {
        sha256: photo_hash(&bytes),
        bytes: bytes.len() as u64,
        media_type: "image/jpeg".into(),
        width: 1280,
        height: 960,
        taken_at: Some(start() + TimeDelta::minutes(minute)),
        point: Some(PLACE.into()),
        stage,
        annotation: annotation.into(),
        seconds: None,
    })
}

fn key_on() -> Vec<loomwalk::ids::Condition> {
    vec!["key_on".into()]
}

/// Minutes after the start, which phone, and what was done.
fn story() -> Vec<(i64, u8, Act)> {
    let look = |point: &str, seen| Act::Look { point: point.into(), seen };
    let press = |point: &str, opened, presses| Act::Press { point: point.into(), opened, presses, state: key_on() };
    let note = |point: Option<&str>, text: &str| Act::Note { point: point.map(Into::into), text: text.into() };
    let open = |access: &str| Act::Access { access: access.into(), open: true };
    let release = |item, done, value: &str| Act::Release { item, done, value: value.into(), minutes: None };
    let blow = |state: &[&str], heat| Act::Blow {
        state: state.iter().map(|name| (*name).into()).collect(),
        motion: Motion::Rough,
        heat,
    };
    let unmarked = CircuitFile { marks: Vec::new(), ..circuit() };
    let mark = circuit().marks.remove(0);
    let demister: Load = serde_json::from_value(serde_json::json!({
        "id": "demister", "label": "Rear demister", "kind": "heater", "amps": 12, "zone": "rear_closure"
    }))
    .unwrap();
    vec![
        (0, 1, Act::JobOpened { practice: true }),
        (1, 1, Act::Concern(Concern {
            words: "Fuse F23 blows about once a week. The wiper on the back door and the lights in the load area stop.".into(),
            dead: "Load-area lamps, rear wiper, rear door lock, number-plate lamps, reversing lamps".into(),
            how_often: "Four times in the last month".into(),
            often: Some(Often { times: 4, hours: 30.0 }),
            doing: "On rough roads, loaded or empty, never at a standstill".into(),
            fresh_fuse: FreshFuse::Holds,
            telltale: "Load-area lamp, seen from the cab".into(),
        })),
        (3, 1, Act::Circuit { circuit: Box::new(unmarked), shelved: None }),
        (5, 1, Act::Load(demister)),
        (6, 1, Act::LoadRemoved { load: "demister".into() }),
        (7, 1, blow(&["key_on"], Heat::Warm)),
        (7, 1, blow(&["key_on", "lamps_on"], Heat::Cold)),
        (8, 1, Act::Held { state: key_on(), motion: Motion::Still, heat: Heat::Cold, minutes: 20.0 }),
        (30, 1, open("access:boot_rear_left")),
        (33, 1, look(BOOT, Seen::Sound)),
        (36, 2, press(BOOT, false, 10)),
        (40, 1, open("access:unload")),
        (50, 1, open("access:partition")),
        (58, 1, look(FOOT, Seen::Marked)),
        (59, 1, note(Some(FOOT), "Tape polished on the grommet's lip, the wires inside whole. Not the place.")),
        (61, 2, press(FOOT, false, 10)),
        (62, 1, open("access:lining_left")),
        (75, 1, Act::Mark(mark)),
        (76, 1, Act::DoFirst { point: PLACE.into() }),
        (77, 1, photo("lie.jpg", 77, Stage::Lie, "The fan's old lead crosses the upper edge of its bracket.")),
        (78, 1, look(PLACE, Seen::Severed)),
        // A slip of the thumb, taken back.
        (78, 1, Act::TakenBack { event: EventId(Uuid::nil()) }),
        (79, 1, look(PLACE, Seen::Bare)),
        (82, 2, press(PLACE, true, 2)),
        (84, 1, Act::Lift { point: PLACE.into() }),
        (85, 1, photo("lifted.jpg", 85, Stage::Lifted, "Lifted off the edge: insulation through, copper on the bracket.")),
        (87, 1, photo("close.jpg", 87, Stage::Close, "Brown with yellow, strands bare over about 9 mm. Beside it a 10 mm socket.")),
        (90, 1, Act::Finding(Finding {
            point: PLACE.into(),
            rubbed_on: "The raw upper edge of the bracket that held the cargo fan".into(),
            colour_seen: "BN/YE".into(),
            also_hurt: "The black and red wire beside it: looked at all round, insulation whole".into(),
            cause: "The fan was taken out and its lead, still live, was left lying over the edge without a clip".into(),
            aside: String::new(),
        })),
        (92, 1, Act::CannotReach { point: ROOF.into(), why: "Roof lining is glued; the customer does not want it cut".into() }),
        (95, 2, note(None, "By the customer's papers the fan was taken out by an earlier owner.")),
        (130, 1, Act::Repair { of: None,
            point: Some(PLACE.into()),
            what: "Damaged piece cut out, wire joined with a sealed crimp, end of the lead insulated and tied back. Loom put in conduit and clipped off the bracket. Edging on the bracket.".into(),
            done: true,
            minutes: Some(38.0),
            method: None,
            materials: vec![],
        }),
        (131, 1, photo("repaired.jpg", 131, Stage::Repaired, "Conduit, clip, edging, and the sealed joint.")),
        (133, 1, Act::Repair { of: None,
            point: Some(FOOT.into()),
            what: "Fit a new grommet at the foot of the partition before the tape wears through".into(),
            done: false,
            minutes: Some(25.0),
            method: None,
            materials: vec![],
        }),
        (134, 1, release(ReleaseItem::RightFuse, true, "15 A blade")),
        (136, 2, release(ReleaseItem::PressedAgain, true, "20 presses, key on, it held")),
        (140, 1, release(ReleaseItem::DrawMeasured, true, "2.1 A with key on and a door open, three lamps lit")),
        (144, 2, release(ReleaseItem::AllWorked, true, "")),
        (150, 1, release(ReleaseItem::ProtectionBack, true, "")),
        (151, 1, release(ReleaseItem::CautionsUndone, true, "Battery was not disconnected")),
    ]
}

fn log() -> Log {
    let mut maker = IdMaker::default();
    let mut events: Vec<Event> = Vec::new();
    for (n, (minute, phone, mut act)) in story().into_iter().enumerate() {
        if let (Act::TakenBack { event }, Some(last)) = (&mut act, events.last()) {
            *event = last.id;
        }
        let at = start() + TimeDelta::minutes(minute);
        let id = EventId(maker.make(at, [u8::try_from(n).unwrap(); 10]));
        events.push(Event::new(id, at, device(phone), &act));
    }
    Log::of(events).unwrap()
}

fn job_id() -> JobId {
    JobId(IdMaker::default().make(start(), [0xa7; 10]))
}

fn hand_over_file() -> String {
    let log = log();
    let made_at = start() + TimeDelta::minutes(155);
    let bundle_id = BundleId(IdMaker::default().make(made_at, [0xb3; 10]));
    let bundle = make(&Job::fold(job_id(), &log), &log, bundle_id, device(1), made_at);
    let names = ["lie.jpg", "lifted.jpg", "close.jpg", "repaired.jpg"];
    let data: BTreeMap<_, _> = names.map(picture).map(|bytes| (photo_hash(&bytes), STANDARD.encode(&bytes))).into();
    write::text(&bundle, |photo| data.get(photo).cloned()).unwrap()
}

#[test]
fn the_hand_over_file_is_the_one_that_is_made_here() {
    let made = hand_over_file();
    for path in [demo("van.loomwalk.json"), served()] {
        if std::env::var_os("UPDATE_EXPECT").is_some() {
            std::fs::write(&path, &made).unwrap();
        }
        let kept = std::fs::read_to_string(&path).unwrap();
        assert!(kept == made, "UPDATE_EXPECT=1 cargo test --test pure demo makes {} again", path.display());
    }
    let bundle = read::read(made.as_bytes(), HAND_OVER_LIMIT).unwrap();
    assert!(bundle.photos.iter().all(|photo| photo.data.is_some()));
    assert!(bundle.fold().unwrap().practice);
}

#[test]
fn every_act_of_the_story_is_one_that_a_phone_would_have_allowed() {
    let mut known = Log::default();
    let mut job = Job::empty(job_id());
    for event in &log() {
        may(&job, &event.act().unwrap()).unwrap_or_else(|refusal| panic!("{}: {refusal}", event.kind));
        known.union([event.clone()]).unwrap();
        job.advance(&known, &[event.id]);
    }
}

#[test]
fn the_story_ends_with_the_circuit_that_is_shipped() {
    let job = Job::fold(job_id(), &log());
    assert_eq!(job.circuit.unwrap(), circuit());
    assert_eq!(job.struck_out.len(), 1);
}

#[test]
fn every_point_of_the_story_is_a_point_of_the_circuit() {
    let session = Session::open(job_id(), log());
    let ready = session.ready().unwrap();
    let places: Vec<PointId> = session.job.points.keys().cloned().collect();
    assert_eq!(places.len(), 4);
    for place in places {
        assert!(ready.search.point(&place).is_some(), "{place}");
    }
    ready.search.check(ready.evidence()).unwrap();
}

#[test]
fn the_evidence_that_is_shipped_fits_the_circuit_and_the_place_leads_what_is_left() {
    let items = evidence::read(&std::fs::read(demo("van.evidence.json")).unwrap()).unwrap().items;
    let session = Session::open(job_id(), log());
    let search = &session.ready().unwrap().search;
    search.check(&items).unwrap();
    let plan = search.plan(&items, &Walk::default());
    let likeliest = plan.points.iter().max_by(|a, b| a.probability.total_cmp(&b.probability)).unwrap();
    assert_eq!(likeliest.id, PointId::from(PLACE));
}

#[test]
fn once_bare_metal_was_seen_the_place_is_all_but_settled() {
    let session = Session::open(job_id(), log());
    let chance = session.ready().unwrap().chance(&PLACE.into());
    assert!(chance > 0.9, "{chance}");
}
