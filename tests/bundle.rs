//! Is a bundle whole when it says so, and refused with a reason when it is not?
use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use chrono::DateTime;
use expect_test::{Expect, expect};
use loomwalk::bundle::BundleError;
use loomwalk::bundle::digest::{log_digest, photo_hash};
use loomwalk::bundle::file::{Bundle, HAND_OVER_LIMIT, MADE_LIMIT, file_name, make};
use loomwalk::bundle::read::{LOG_VALUES_LIMIT, open, read};
use loomwalk::bundle::write::{Piece, files, pieces, text};
use loomwalk::ids::{BundleId, DeviceId, EventId, JobId, PhotoHash};
use loomwalk::job::act::{Photo, Stage};
use loomwalk::job::drawing::{Spot, Stroke};
use loomwalk::job::{Act, Event, Job, Log};
use loomwalk::search::evidence::Seen;
use loomwalk::store::{MemoryStore, NewPhoto, Store};
use proptest::prelude::*;
use serde_json::{Value, json};
use uuid::Uuid;

const OUTSIDE: &str = include_str!("cases/bundles/outside.loomwalk.json");
const PICTURE: &[u8] = b"not a picture, but bytes as good as any";

fn event(n: u128, act: &Act) -> Event {
    let at = DateTime::from_timestamp_millis(1_700_000_000_000).unwrap();
    Event::new(EventId(Uuid::from_u128(n)), at, DeviceId(Uuid::from_u128(1)), act)
}

fn photo(bytes: &[u8], point: &str) -> Act {
    Act::Photo(Photo {
        sha256: photo_hash(bytes),
        bytes: bytes.len() as u64,
        media_type: "image/jpeg".into(),
        width: 4,
        height: 3,
        taken_at: None,
        point: Some(point.into()),
        stage: Stage::Lie,
        annotation: "as it lies".into(),
        seconds: None,
    })
}

fn bundle_of(acts: &[Act]) -> Bundle {
    let log = Log::of(acts.iter().zip(1..).map(|(act, n)| event(n, act))).unwrap();
    let job = Job::fold(JobId(Uuid::from_u128(7)), &log);
    let at = DateTime::from_timestamp_millis(1_700_000_001_000).unwrap();
    make(&job, log.events(), BundleId(Uuid::from_u128(9)), DeviceId(Uuid::from_u128(1)), at)
}

fn good() -> Value {
    let acts = [
        Act::JobOpened { practice: false },
        Act::Look { point: "point:a".into(), seen: Seen::Bare },
        photo(PICTURE, "point:a"),
    ];
    serde_json::from_str(&text(&bundle_of(&acts), |_| Some(STANDARD.encode(PICTURE))).unwrap()).unwrap()
}

/// What is said of a good bundle after a change to it.
fn refused(change: impl FnOnce(&mut Value), message: Expect) {
    let mut bundle = good();
    change(&mut bundle);
    message.assert_eq(&error(bundle.to_string().as_bytes()).to_string());
}

fn error(bytes: &[u8]) -> BundleError {
    read(bytes, HAND_OVER_LIMIT).unwrap_err()
}

/// Makes the digest fit again after a change to the log.
fn digest_again(bundle: &mut Value) {
    let events: Vec<Event> = serde_json::from_value(bundle["log"].clone()).unwrap();
    bundle["log_digest"] = log_digest(&events).into();
}

/// RFC 8785 appendix B: the bits of a double and the text that it has. Entered from the RFC.
#[test]
fn numbers_are_written_as_rfc_8785_appendix_b_says() {
    let table: [(u64, &str); 24] = [
        (0x0000000000000000, "0"),
        (0x8000000000000000, "0"),
        (0x0000000000000001, "5e-324"),
        (0x8000000000000001, "-5e-324"),
        (0x7fefffffffffffff, "1.7976931348623157e+308"),
        (0xffefffffffffffff, "-1.7976931348623157e+308"),
        (0x4340000000000000, "9007199254740992"),
        (0xc340000000000000, "-9007199254740992"),
        (0x4430000000000000, "295147905179352830000"),
        (0x44b52d02c7e14af5, "9.999999999999997e+22"),
        (0x44b52d02c7e14af6, "1e+23"),
        (0x44b52d02c7e14af7, "1.0000000000000001e+23"),
        (0x444b1ae4d6e2ef4e, "999999999999999700000"),
        (0x444b1ae4d6e2ef4f, "999999999999999900000"),
        (0x444b1ae4d6e2ef50, "1e+21"),
        (0x3eb0c6f7a0b5ed8c, "9.999999999999997e-7"),
        (0x3eb0c6f7a0b5ed8d, "0.000001"),
        (0x41b3de4355555553, "333333333.3333332"),
        (0x41b3de4355555554, "333333333.33333325"),
        (0x41b3de4355555555, "333333333.3333333"),
        (0x41b3de4355555556, "333333333.3333334"),
        (0x41b3de4355555557, "333333333.33333343"),
        (0xbecbf647612f3696, "-0.0000033333333333333333"),
        (0x43143ff3c1cb0959, "1424953923781206.2"),
    ];
    for (bits, text) in table {
        assert_eq!(serde_json_canonicalizer::to_string(&f64::from_bits(bits)).unwrap(), text, "{bits:016x}");
    }
}

/// `testdata/{input,output}` of github.com/cyberphone/json-canonicalization, the RFC's reference files.
#[test]
fn the_reference_files_of_rfc_8785_come_out_to_the_byte() {
    let cases = [
        (
            r#"{"numbers": [333333333.33333329, 1E30, 4.50, 2e-3, 0.000000000000000000000000001],
                "string": "\u20ac$\u000F\u000aA'\u0042\u0022\u005c\\\"\/", "literals": [null, true, false]}"#,
            r#"{"literals":[null,true,false],"numbers":[333333333.3333333,1e+30,4.5,0.002,1e-27],"string":"€$\u000f\nA'B\"\\\\\"/"}"#,
        ),
        (
            r#"{"1": {"f": {"f": "hi","F": 5} ,"\n": 56.0}, "10": { }, "": "empty", "a": { },
                "111": [ {"e": "yes","E": "no" } ], "A": { }}"#,
            r#"{"":"empty","1":{"\n":56,"f":{"F":5,"f":"hi"}},"10":{},"111":[{"E":"no","e":"yes"}],"A":{},"a":{}}"#,
        ),
        (
            r#"{"\u20ac": "Euro Sign", "\r": "Carriage Return", "\u000a": "Newline", "1": "One",
                "\u0080": "Control\u007f", "\ud83d\ude02": "Smiley", "\u00f6": "Latin Small Letter O With Diaeresis",
                "\ufb33": "Hebrew Letter Dalet With Dagesh", "</script>": "Browser Challenge"}"#,
            "{\"\\n\":\"Newline\",\"\\r\":\"Carriage Return\",\"1\":\"One\",\"</script>\":\"Browser Challenge\",\"\u{80}\":\"Control\u{7f}\",\"ö\":\"Latin Small Letter O With Diaeresis\",\"€\":\"Euro Sign\",\"😂\":\"Smiley\",\"\u{fb33}\":\"Hebrew Letter Dalet With Dagesh\"}",
        ),
    ];
    for (input, output) in cases {
        let value: Value = serde_json::from_str(input).unwrap();
        assert_eq!(serde_json_canonicalizer::to_string(&value).unwrap(), output);
    }
}

#[test]
fn the_digest_is_the_one_that_python_computes() {
    // Printed by tests/cases/bundles/make.py.
    let events: Vec<Event> = serde_json::from_str(include_str!("cases/bundles/log.json")).unwrap();
    assert_eq!(log_digest(&events), "65be8ed43dfa31b2496d06369d45948fd90fe8afcdf1ef3dda5963e8588b46ce");
    assert_eq!(log_digest([]), "4f53cda18c2baa0c0354bb5f9a3ecbe5ed12ab4d8e11ba873c2f11161202b945");
}

#[test]
fn a_photo_is_named_by_the_sha_256_of_its_bytes() {
    // FIPS 180-2 appendix B.1.
    let abc = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";
    assert_eq!(photo_hash(b"abc").as_str(), abc);
}

proptest! {
    #[test]
    fn the_digest_does_not_depend_on_the_order_of_the_events(
        minutes in proptest::collection::vec(any::<f64>().prop_map(f64::abs), 1..20),
        turn in any::<prop::sample::Index>(),
    ) {
        let act = |minutes: f64| Act::Repair { of: None, point: None, what: "sleeve".into(), done: true, minutes: Some(minutes), method: None, materials: vec![] };
        let mut events: Vec<Event> = minutes.iter().zip(1..).map(|(minutes, n)| event(n, &act(*minutes))).collect();
        let digest = log_digest(&events);
        let by = turn.index(events.len());
        events.rotate_left(by);
        prop_assert_eq!(log_digest(&events), digest.clone());
        // Nor on a way through text, however the doubles look.
        let text = serde_json::to_string(&events).unwrap();
        prop_assert_eq!(log_digest(&serde_json::from_str::<Vec<Event>>(&text).unwrap()), digest);
    }

    #[test]
    fn no_bytes_make_the_reader_panic(bytes in proptest::collection::vec(any::<u8>(), 0..200)) {
        prop_assert!(read(&bytes, HAND_OVER_LIMIT).is_err());
    }

    #[test]
    fn a_bundle_with_one_byte_changed_is_refused_or_reads_as_the_same_log(
        at in any::<prop::sample::Index>(),
        byte in any::<u8>(),
    ) {
        let good = good().to_string().into_bytes();
        let mut changed = good.clone();
        let at = at.index(changed.len());
        changed[at] = byte;
        if let Ok(bundle) = read(&changed, HAND_OVER_LIMIT) {
            prop_assert_eq!(bundle.log, read(&good, HAND_OVER_LIMIT).unwrap().log);
        }
    }

    #[test]
    fn a_bundle_that_was_cut_off_is_refused_wherever_it_was_cut(at in any::<prop::sample::Index>()) {
        let good = good().to_string();
        let cut = &good.as_bytes()[..at.index(good.len())];
        let as_cut = matches!(error(cut), BundleError::Truncated { .. } | BundleError::NotJson { .. });
        prop_assert!(as_cut);
    }
}

#[test]
fn a_bundle_made_by_another_program_is_read_with_all_that_is_in_it() {
    let opened = open(OUTSIDE.as_bytes(), HAND_OVER_LIMIT).unwrap();
    assert_eq!(opened.bundle.log.len(), 5);
    let name = opened.photos().next().unwrap();
    assert_eq!(opened.bytes(name).map(|bytes| photo_hash(&bytes)), Some(name.clone()));
    let job = opened.bundle.fold().unwrap();
    assert_eq!((job.practice, job.from_newer, job.photos.len()), (true, 1, 1));
}

#[test]
fn what_is_written_is_read_back_and_two_exports_of_one_log_are_one_job() {
    let bundle = read(good().to_string().as_bytes(), HAND_OVER_LIMIT).unwrap();
    assert_eq!(bundle.photos[0].data.as_deref(), Some(STANDARD.encode(PICTURE).as_str()));
    let mut log = Log::of(bundle.log.clone()).unwrap();
    assert_eq!(log.union(bundle.log).unwrap(), []);
}

#[test]
fn a_picture_at_two_points_is_written_once_and_one_that_was_lost_is_listed_without_data() {
    let lost = b"bytes that the phone no longer has";
    let bundle = bundle_of(&[photo(PICTURE, "point:a"), photo(lost, "point:b"), photo(PICTURE, "point:c")]);
    let pieces = pieces(&bundle, |photo| *photo == photo_hash(PICTURE)).unwrap();
    let data: Vec<&Piece> = pieces.iter().filter(|piece| matches!(piece, Piece::PhotoData(_))).collect();
    assert_eq!(data, [&Piece::PhotoData(photo_hash(PICTURE))]);
    let file = text(&bundle, |photo| (*photo == photo_hash(PICTURE)).then(|| STANDARD.encode(PICTURE))).unwrap();
    let read = read(file.as_bytes(), HAND_OVER_LIMIT).unwrap();
    assert_eq!(read.photos.iter().map(|photo| photo.data.is_some()).collect::<Vec<_>>(), [true, false, false]);
}

/// The pictures of a job that is too large for one file, and its bundle: one is at two points, one is not here.
fn large() -> (Vec<Vec<u8>>, Bundle) {
    let pictures: Vec<Vec<u8>> = (0..7u8).map(|number| vec![number; 3_000 + usize::from(number)]).collect();
    let mut acts = vec![Act::JobOpened { practice: false }];
    acts.extend(pictures.iter().map(|bytes| photo(bytes, "point:a")));
    acts.push(photo(&pictures[0], "point:b"));
    acts.push(photo(b"on another phone", "point:b"));
    (pictures, bundle_of(&acts))
}

/// The files that are made of it where none is to be larger than `limit`.
fn made(pictures: &[Vec<u8>], bundle: &Bundle, limit: u64) -> Vec<String> {
    let bytes = |hash: &PhotoHash| pictures.iter().find(|bytes| photo_hash(bytes) == *hash);
    let files = files(bundle, |hash| Some(bytes(hash)?.len() as u64), limit).unwrap();
    let file = |inside: std::collections::BTreeSet<PhotoHash>| {
        text(bundle, |hash| bytes(hash).filter(|_| inside.contains(hash)).map(|bytes| STANDARD.encode(bytes))).unwrap()
    };
    files.into_iter().map(file).collect()
}

#[tokio::test]
async fn a_job_too_large_for_one_file_goes_into_several_and_whoever_opens_all_has_every_photograph() {
    let (pictures, bundle) = large();
    assert_eq!(made(&pictures, &bundle, MADE_LIMIT).len(), 1);
    let limit = 20_000;
    let parts = made(&pictures, &bundle, limit);
    assert_eq!(parts.len(), 3);
    // In whichever order they are opened.
    for parts in [parts.iter().collect::<Vec<_>>(), parts.iter().rev().collect()] {
        let store = MemoryStore::default();
        for (opened_before, part) in parts.into_iter().enumerate() {
            let opened = open(part.as_bytes(), limit).expect("none is larger than what is read");
            assert_eq!((&opened.bundle.log, opened.bundle.photos.len()), (&bundle.log, 9), "each has the whole log");
            assert!(!opened.bundle.part);
            let photos = opened.photos().map(|hash| NewPhoto {
                photo_hash: hash.clone(),
                media_type: "image/jpeg".into(),
                original: opened.bytes(hash).unwrap(),
                preview: None,
                thumb: None,
            });
            let photos: Vec<_> = photos.collect();
            assert!(!photos.is_empty());
            store.keep(bundle.job.id, &opened.bundle.log, photos).await.unwrap();
            let mut here = 0;
            for bytes in &pictures {
                let kept = store.photo(&photo_hash(bytes)).await.unwrap();
                here += usize::from(kept.is_some_and(|(_, kept)| kept == *bytes));
            }
            assert!(here > opened_before, "those of the second file come to a job that is there");
            assert_eq!(here == pictures.len(), opened_before == 2, "{here}");
        }
        assert_eq!(store.log(bundle.job.id).await.unwrap(), bundle.log);
    }
}

#[test]
fn the_size_of_a_file_is_known_to_the_byte_before_it_is_made() {
    let (pictures, bundle) = large();
    let whole = made(&pictures, &bundle, u64::MAX);
    let size = whole[0].len() as u64;
    assert_eq!(made(&pictures, &bundle, size), whole);
    assert_eq!(made(&pictures, &bundle, size - 1).len(), 2);
    // No photograph is left out, and no file is empty, even where nothing fits.
    assert_eq!(made(&pictures, &bundle, 0).len(), pictures.len());
    assert_eq!(made(&[], &bundle, 0).len(), 1, "a job without photographs is one file");
}

#[test]
fn files_that_belong_together_are_numbered() {
    assert_eq!(file_name("white-van", 1, 1), "white-van.loomwalk.json");
    assert_eq!(file_name("white-van", 2, 3), "white-van-2-of-3.loomwalk.json");
}

#[test]
fn what_is_drawn_and_what_was_spoken_survive_a_hand_over_file() {
    let Act::Photo(taken) = photo(PICTURE, "point:a") else { unreachable!() };
    let sound = b"sound".as_slice();
    let spoken = Photo {
        sha256: photo_hash(sound),
        bytes: sound.len() as u64,
        media_type: "audio/webm".into(),
        width: 0,
        height: 0,
        seconds: Some(12.4),
        ..taken.clone()
    };
    let strokes = vec![
        Stroke::ring(Spot { x: 0.31, y: 0.2 }, 0.75),
        Stroke::Known { from: Spot { x: 0.1, y: 0.6 }, to: Spot { x: 0.482, y: 0.6 }, mm: 19.1, what: "fuse".into() },
    ];
    let photo = EventId(Uuid::from_u128(1));
    let drawn = Act::Drawn { photo, strokes: strokes.clone() };
    let bundle = bundle_of(&[Act::Photo(taken), Act::Photo(spoken.clone()), drawn]);
    let bytes = |name: &PhotoHash| Some(STANDARD.encode(if *name == spoken.sha256 { sound } else { PICTURE }));
    let file = text(&bundle, bytes).unwrap();
    let opened = open(file.as_bytes(), HAND_OVER_LIMIT).unwrap();
    assert_eq!(opened.bytes(&spoken.sha256).as_deref(), Some(sound));
    let job = opened.bundle.fold().unwrap();
    assert_eq!(job.drawings[&photo], strokes);
    assert_eq!(job.recordings().map(|(_, kept)| kept).collect::<Vec<_>>(), [&spoken]);
    assert_eq!(opened.bundle.photos[1].photo, spoken);
}

#[test]
fn a_photo_that_was_taken_back_is_not_in_the_manifest() {
    let taken_back = Act::TakenBack { event: EventId(Uuid::from_u128(1)) };
    assert_eq!(bundle_of(&[photo(PICTURE, "point:a"), taken_back]).photos, []);
}

#[test]
fn a_part_of_a_log_carries_only_its_own_photos() {
    let log = Log::of([event(1, &photo(b"one", "point:a")), event(2, &photo(b"two", "point:a"))]).unwrap();
    let job = Job::fold(JobId(Uuid::from_u128(7)), &log);
    let part = log.events().skip(1);
    let bundle = make(&job, part, BundleId(Uuid::nil()), DeviceId(Uuid::nil()), DateTime::UNIX_EPOCH);
    assert_eq!(bundle.photos.len(), 1);
    assert_eq!(bundle.photos[0].photo.sha256, photo_hash(b"two"));
    let file = text(&bundle, |_| None).unwrap();
    assert_eq!(read(file.as_bytes(), HAND_OVER_LIMIT).unwrap(), bundle);
}

#[test]
fn what_is_not_a_bundle_is_told_from_one_that_is_broken() {
    let check = |bytes: &[u8], message: Expect| message.assert_eq(&error(bytes).to_string());
    check(
        b"",
        expect![
            "this is not a hand-over file: it should be JSON, but it is empty; choose a file that ends in .loomwalk.json"
        ],
    );
    check(
        b"\xff\xd8\xff\xe0 a photo",
        expect![
            "this is not a hand-over file: it should be JSON, but it is no text in UTF-8; choose a file that ends in .loomwalk.json"
        ],
    );
    check(
        b"[1, 2]",
        expect![[r#"this is not a hand-over file: its format should be "loomwalk/bundle", but it has none"#]],
    );
    check(
        br#"{"format": "loomwalk/circuit", "version": 1}"#,
        expect![[
            r#"this is not a hand-over file: its format should be "loomwalk/bundle", but it is "loomwalk/circuit""#
        ]],
    );
    check(
        br#"{"format": "loomwalk/bundle", "version": 3, "log": "of another kind"}"#,
        expect![
            "/version: this file is version 3 of loomwalk/bundle and this program reads up to version 1: update the program, then open it again"
        ],
    );
    check(
        br#"{"format": "loomwalk/bundle", "version": "1"}"#,
        expect![
            "/version: the version should be the whole number 1; the file was changed or made by another program: ask for it again"
        ],
    );
    check(
        &good().to_string().as_bytes()[..700],
        expect![
            "this file ends in the middle, after 700 bytes: it was cut off when it was copied or sent; copy or send it again"
        ],
    );
    expect!["this file has 200 bytes and at most 100 bytes are read: hand the job over with fewer or smaller photos, or send it to the desk"]
        .assert_eq(&read(&[b' '; 200], 100).unwrap_err().to_string());
}

#[test]
fn each_thing_that_is_wrong_with_a_bundle_has_its_own_message() {
    refused(
        |bundle| drop(bundle.as_object_mut().unwrap().remove("made_at")),
        expect!["the file: missing field `made_at`; the file was changed or made by another program: ask for it again"],
    );
    refused(
        |bundle| bundle["log"][1]["at"] = json!("yesterday"),
        expect![
            "/log/1/at: a time should stand as 2026-05-04T09:30:00Z; the file was changed or made by another program: ask for it again"
        ],
    );
    refused(
        |bundle| bundle["log"][1]["body"]["seen"] = json!("fine"),
        expect![
            "/log/1/body/seen: event 00000000-0000-0000-0000-000000000002 of kind \"look\" cannot be read: at /body/seen: unknown variant `fine`, expected one of `sound`, `marked`, `thinned`, `bare`, `severed`, `not_seen`; the file was changed or made by another program: ask for it again"
        ],
    );
    refused(
        |bundle| bundle["log"][1]["body"]["seen"] = json!("sound"),
        expect![
            "/log_digest: the log does not match its digest (the file says ed244ec262da92e7a3f20cc078f16af8edf42f58db097d903cdef7d0f89c3d30, the log gives 9256edfdb14a0ff17700a9141054210c98e6f1d5ae787fb088fe3f5ddf362f17): it was changed on the way; ask for it again"
        ],
    );
    refused(
        |bundle| {
            let mut other = bundle["log"][1].clone();
            other["body"]["seen"] = json!("sound");
            bundle["log"].as_array_mut().unwrap().push(other);
            digest_again(bundle);
        },
        expect![
            "/log: event 00000000-0000-0000-0000-000000000002 is used for two different bodies: the file was changed by hand; ask for it again"
        ],
    );
    refused(
        |bundle| {
            bundle["log"].as_array_mut().unwrap().pop();
            digest_again(bundle);
        },
        expect![
            "/photos/0: no event of this bundle keeps photo 108dbb858639fc788732ecfd7ac5ef2aa7ea1a124e40805859efc5c3f6b90e6d: the file was changed by hand; ask for it again"
        ],
    );
    refused(
        |bundle| bundle["photos"][0]["data"] = json!("not*base64"),
        expect![
            "/photos/0/data: photo 108dbb858639fc788732ecfd7ac5ef2aa7ea1a124e40805859efc5c3f6b90e6d is not base64 (Invalid symbol 42, offset 3.): it was damaged on the way; ask for the file again"
        ],
    );
    refused(
        |bundle| bundle["photos"][0]["bytes"] = json!(40),
        expect![
            "/photos/0/bytes: photo 108dbb858639fc788732ecfd7ac5ef2aa7ea1a124e40805859efc5c3f6b90e6d should have 40 bytes and has 39: it was damaged on the way; ask for the file again"
        ],
    );
    refused(
        |bundle| {
            bundle["photos"][0]["data"] = json!(STANDARD.encode(b"another picture"));
            bundle["photos"][0]["bytes"] = json!(15);
        },
        expect![
            "/photos/0/data: the bytes of photo 108dbb858639fc788732ecfd7ac5ef2aa7ea1a124e40805859efc5c3f6b90e6d hash to b2917681b4f4fee3ef345ae33557fbe7ddbee9e0851efbff9cad5708ef1ad247: it was changed or damaged on the way; ask for the file again"
        ],
    );
    refused(
        |bundle| bundle["photos"][0]["sha256"] = json!("../../etc/passwd"),
        expect![[
            r#"/photos/0/sha256: a photo's name is the SHA-256 of its bytes, 64 lower-case hex digits; this is "../../etc/passwd"; the file was changed or made by another program: ask for it again"#
        ]],
    );
}

#[test]
fn a_log_with_more_values_than_any_job_has_is_stopped_before_they_are_made() {
    let zeros = vec!["0"; LOG_VALUES_LIMIT + 1].join(",");
    let many = good().to_string().replace("\"log\":[", &format!("\"log\":[{zeros},"));
    expect!["/log: more than 1000000 values, which is more than any job has: the file was changed or made by another program"]
        .assert_eq(&error(many.as_bytes()).to_string());
    let mut nested = "[".repeat(100_000);
    nested += &"]".repeat(100_000);
    let deep = good().to_string().replace("\"practice\":false", &format!("\"practice\":{nested}"));
    let deep = error(deep.as_bytes());
    assert!(deep.pointer().starts_with("/log/0/body/practice/0/0"), "{deep}");
    assert!(deep.to_string().len() < 300, "{deep}");
}

#[test]
fn a_vin_that_never_came_into_the_log_is_in_no_bundle_and_one_that_did_is_told() {
    use loomwalk::circuit::file::Vehicle;
    use loomwalk::job::vin::holds_vin;
    const VIN: &str = "1G4AH59H45G118341";
    let vehicle = |vin: Option<&str>| Act::Vehicle(Vehicle { vin: vin.map(str::to_owned), ..Vehicle::default() });
    let log = |acts: &[Act]| Log::of(acts.iter().zip(1..).map(|(act, n)| event(n, act))).unwrap();
    let without = [Act::JobOpened { practice: false }, vehicle(None)];
    assert!(!holds_vin(&log(&without)));
    assert!(!text(&bundle_of(&without), |_| None).unwrap().contains(VIN));
    // Taken out later: the job and its report are without it, the entries are not, and that is said.
    let later = [Act::JobOpened { practice: false }, vehicle(Some(VIN)), vehicle(None)];
    assert!(holds_vin(&log(&later)));
    assert_eq!(bundle_of(&later).job.vehicle.vin, None);
    assert!(text(&bundle_of(&later), |_| None).unwrap().contains(VIN));
}
