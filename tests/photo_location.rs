//! Is the place gone from a photograph, and nothing else? Checked with ExifTool, an independent reader.
//!
//! ExifTool (Debian `libimage-exiftool-perl`) writes the pictures and reads them back. `tests/cases/photos/` holds five
//! small pictures without any metadata, made with cjpeg, cwebp and heif-enc (the two larger ones beside them are for
//! the browser's tests). The tests that need ExifTool say so
//! and pass over when it is not there, unless `CI` is set.
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::process::Command;

use loomwalk::photo::{Cleaned, MediaType, PhotoError, Place, blank_location};
use proptest::prelude::*;

const KINDS: [(&str, MediaType); 5] = [
    ("jpg", MediaType::Jpeg),
    ("png", MediaType::Png),
    ("webp", MediaType::Webp),
    ("heic", MediaType::Heic),
    ("avif", MediaType::Avif),
];

/// What a phone writes, and some more.
const TAGS: &[&str] = &[
    "-EXIF:Make=Invented",
    "-EXIF:Model=Pocket 1",
    "-EXIF:Orientation#=6",
    "-EXIF:DateTimeOriginal=2031:05:04 13:14:15",
    "-EXIF:OffsetTimeOriginal=+02:00",
    "-EXIF:ExposureTime=1/33",
    "-EXIF:ISO=400",
    "-EXIF:UserComment=under the sill",
    "-XMP-dc:Title=Sill, left",
    "-XMP-xmp:Rating=3",
];
const PLACE: &[&str] = &[
    "-EXIF:GPSLatitude=52.5231",
    "-EXIF:GPSLatitudeRef=N",
    "-EXIF:GPSLongitude=13.4017",
    "-EXIF:GPSLongitudeRef=E",
    "-EXIF:GPSAltitude=34.5",
    "-EXIF:GPSAltitudeRef=0",
    "-EXIF:GPSTimeStamp=11:14:15",
    "-EXIF:GPSDateStamp=2031:05:04",
    "-EXIF:GPSProcessingMethod=fused",
    "-EXIF:GPSImgDirection=271.25",
    "-XMP-exif:GPSLatitude=52.5231",
    "-XMP-exif:GPSLongitude=13.4017",
    "-XMP-exif:GPSAltitude=34.5",
];

fn case(kind: &str) -> Vec<u8> {
    std::fs::read(Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cases/photos").join(format!("small.{kind}")))
        .unwrap()
}

fn exiftool_is_here() -> bool {
    let here = Command::new("exiftool").arg("-ver").output().is_ok();
    assert!(here || std::env::var_os("CI").is_none(), "ExifTool is needed: apt-get install libimage-exiftool-perl");
    if !here {
        eprintln!("passed over: ExifTool is not installed");
    }
    here
}

struct Files(tempfile::TempDir);

impl Files {
    fn new() -> Self {
        Self(tempfile::tempdir().unwrap())
    }

    fn write(&self, name: &str, bytes: &[u8]) -> PathBuf {
        let path = self.0.path().join(name);
        std::fs::write(&path, bytes).unwrap();
        path
    }

    /// The bytes with tags written by ExifTool.
    fn tagged(&self, kind: &str, bytes: &[u8], tags: &[&[&str]]) -> Vec<u8> {
        let path = self.write(&format!("tagged.{kind}"), bytes);
        let made = Command::new("exiftool").args(["-q", "-overwrite_original"]).args(tags.concat()).arg(&path).output();
        let made = made.unwrap();
        assert!(made.status.success(), "{}", String::from_utf8_lossy(&made.stderr));
        std::fs::read(path).unwrap()
    }

    /// Every tag that ExifTool sees, also unknown, repeated and embedded ones; without those of the file itself.
    fn tags(&self, kind: &str, bytes: &[u8]) -> BTreeMap<String, String> {
        let path = self.write(&format!("read.{kind}"), bytes);
        let read =
            Command::new("exiftool").args(["-a", "-G0:1:4", "-s", "-n", "-ee", "-m"]).arg(path).output().unwrap();
        String::from_utf8_lossy(&read.stdout)
            .lines()
            .filter_map(|line| line.split_once(':').map(|_| line))
            .filter_map(|line| line.split_once("] ").map(|(group, rest)| (group, rest.trim())))
            .filter(|(group, _)| {
                !group.contains("[System") && !group.contains(":System") && !group.contains("ExifTool")
            })
            .filter_map(|(group, rest)| {
                let (name, value) = rest.split_once(':')?;
                Some((format!("{group}] {}", name.trim()), value.trim().to_owned()))
            })
            .collect()
    }
}

fn is_place(tag: &str) -> bool {
    tag.to_ascii_lowercase().contains("gps")
}

/// Blanks and checks what must hold for every picture.
fn blanked(before: &[u8]) -> (Vec<u8>, Cleaned) {
    let mut after = before.to_vec();
    let cleaned = blank_location(&mut after).unwrap();
    assert_eq!(after.len(), before.len());
    let inside = |at: usize| cleaned.changed.iter().any(|range| range.contains(&at));
    let stray: Vec<usize> = (0..before.len()).filter(|at| before[*at] != after[*at] && !inside(*at)).collect();
    assert!(stray.is_empty(), "changed without saying so: {stray:?}");
    (after, cleaned)
}

fn without_place(tags: &BTreeMap<String, String>) -> BTreeMap<String, String> {
    tags.iter().filter(|(name, _)| !is_place(name)).map(|(name, value)| (name.clone(), value.clone())).collect()
}

#[test]
fn exiftool_finds_no_place_afterwards_and_every_other_tag_as_before() {
    if !exiftool_is_here() {
        return;
    }
    let files = Files::new();
    for (kind, media_type) in KINDS {
        let before = files.tagged(kind, &case(kind), &[TAGS, PLACE]);
        let tags_before = files.tags(kind, &before);
        assert!(tags_before.keys().filter(|name| is_place(name)).count() >= 10, "{kind}: {tags_before:#?}");

        let (after, cleaned) = blanked(&before);
        let tags_after = files.tags(kind, &after);
        assert_eq!(
            tags_after.keys().filter(|name| is_place(name)).collect::<Vec<_>>(),
            Vec::<&String>::new(),
            "{kind}"
        );
        assert_eq!(tags_after, without_place(&tags_before), "{kind}");
        assert_eq!(cleaned.found, [Place::Exif, Place::Xmp], "{kind}");
        assert_eq!(cleaned.facts.media_type, media_type);

        // What is left of the place in plain sight: nothing.
        for trace in [&b"fused"[..], b"2031:05:04\0", b"52,31.", b"13,24."] {
            assert!(!after.windows(trace.len()).any(|window| window == trace), "{kind}: {trace:?}");
        }
    }
}

#[test]
fn exiftool_finds_no_fault_in_the_file_afterwards() {
    if !exiftool_is_here() {
        return;
    }
    let files = Files::new();
    for (kind, _) in KINDS {
        let (after, _) = blanked(&files.tagged(kind, &case(kind), &[TAGS, PLACE]));
        let path = files.write(&format!("whole.{kind}"), &after);
        let check =
            Command::new("exiftool").args(["-validate", "-warning", "-error", "-a"]).arg(path).output().unwrap();
        // The tag that now stands in place of the pointer to the GPS directory has no meaning: readers pass over it.
        let said = String::from_utf8_lossy(&check.stdout).into_owned();
        let said: Vec<&str> = said.lines().filter(|line| !line.ends_with("[minor] Unknown IFD0 tag 0x8826")).collect();
        let plain = files.tagged(kind, &case(kind), &[TAGS]);
        let path = files.write(&format!("plain.{kind}"), &plain);
        let check =
            Command::new("exiftool").args(["-validate", "-warning", "-error", "-a"]).arg(path).output().unwrap();
        let plain = String::from_utf8_lossy(&check.stdout).into_owned();
        let warnings = |line: &&str| !line.starts_with("Validate");
        assert_eq!(
            said.into_iter().filter(warnings).collect::<Vec<_>>(),
            plain.lines().filter(warnings).collect::<Vec<_>>(),
            "{kind}: as if the place had never been written"
        );
    }
}

#[test]
fn both_byte_orders_are_read() {
    if !exiftool_is_here() {
        return;
    }
    let files = Files::new();
    for order in ["-ExifByteOrder=II", "-ExifByteOrder=MM"] {
        let before = files.tagged("jpg", &case("jpg"), &[&[order], TAGS, PLACE]);
        let (after, cleaned) = blanked(&before);
        assert!(!files.tags("jpg", &after).keys().any(|name| is_place(name)), "{order}");
        assert_eq!(cleaned.facts.orientation, 6, "{order}");
    }
}

#[test]
fn the_moment_the_size_and_the_way_up_are_read_as_exiftool_wrote_them() {
    if !exiftool_is_here() {
        return;
    }
    let files = Files::new();
    for (kind, _) in KINDS {
        let (_, cleaned) = blanked(&files.tagged(kind, &case(kind), &[TAGS]));
        let taken = cleaned.facts.taken.unwrap();
        assert_eq!(taken.utc().unwrap().to_rfc3339(), "2031-05-04T11:14:15+00:00", "{kind}");
        assert_eq!(cleaned.facts.stored_size, Some((48, 32)), "{kind}");
        // HEIC and AVIF are turned by a box of their own, which these do not have.
        let upright = if matches!(kind, "heic" | "avif") { (48, 32) } else { (32, 48) };
        assert_eq!(cleaned.facts.upright_size(), Some(upright), "{kind}");
        assert!(!cleaned.location_removed());
        assert!(cleaned.changed.is_empty());
    }
}

#[test]
fn a_photo_without_a_place_stays_as_it_is() {
    for (kind, media_type) in KINDS {
        let before = case(kind);
        let (after, cleaned) = blanked(&before);
        assert_eq!(after, before, "{kind}");
        assert_eq!((cleaned.facts.media_type, cleaned.facts.stored_size), (media_type, Some((48, 32))), "{kind}");
        assert_eq!((cleaned.facts.orientation, cleaned.facts.taken), (1, None), "{kind}");
    }
}

#[test]
fn blanking_twice_finds_nothing_the_second_time() {
    if !exiftool_is_here() {
        return;
    }
    let files = Files::new();
    for (kind, _) in KINDS {
        let (once, _) = blanked(&files.tagged(kind, &case(kind), &[TAGS, PLACE]));
        let (twice, cleaned) = blanked(&once);
        assert_eq!((twice == once, cleaned.found), (true, vec![]), "{kind}");
    }
}

#[test]
fn extended_xmp_in_several_segments_loses_its_place() {
    if !exiftool_is_here() {
        return;
    }
    let files = Files::new();
    // ExifTool moves what does not fit into one segment into extended XMP; the filling makes three segments of it.
    let words = files.write("words.txt", "lorem ipsum ".repeat(12_000).as_bytes());
    let filling = format!("-XMP-dc:Description<={}", words.display());
    let before = files.tagged("jpg", &case("jpg"), &[PLACE, &[&filling]]);
    let marker = b"http://ns.adobe.com/xmp/extension/\0";
    let segments = before.windows(marker.len()).filter(|window| window == marker).count();
    assert!(segments >= 2, "{segments}");
    let (after, cleaned) = blanked(&before);
    assert!(cleaned.found.contains(&Place::Xmp));
    assert_eq!(files.tags("jpg", &after), without_place(&files.tags("jpg", &before)));
}

#[test]
fn a_second_picture_in_the_same_jpeg_loses_its_place_too() {
    if !exiftool_is_here() {
        return;
    }
    let files = Files::new();
    let second = files.tagged("jpg", &case("jpg"), &[TAGS, PLACE]);
    let first = case("jpg");
    // Pictures follow one another; the index segment (CIPA DC-007) only says where.
    let (after, cleaned) = blanked(&[&first[..], &second].concat());
    assert_eq!(cleaned.found, [Place::Exif, Place::Xmp]);
    assert_eq!(cleaned.facts.stored_size, Some((48, 32)));
    let rest = &after[first.len()..];
    assert!(!files.tags("jpg", rest).keys().any(|name| is_place(name)));
    assert_eq!(files.tags("jpg", rest), without_place(&files.tags("jpg", &second)));
}

fn mp4_box(kind: &[u8], content: &[u8]) -> Vec<u8> {
    [&u32::try_from(content.len() + 8).unwrap().to_be_bytes()[..], kind, content].concat()
}

#[test]
fn a_film_behind_the_picture_loses_its_place() {
    if !exiftool_is_here() {
        return;
    }
    let files = Files::new();
    let text = b"+52.5231+013.4017/";
    let place = mp4_box(b"\xa9xyz", &[&[0, 18, 0x15, 0xc7][..], text].concat());
    let film = [mp4_box(b"ftyp", b"isom\0\0\0\0isom"), mp4_box(b"moov", &mp4_box(b"udta", &place))].concat();
    assert!(files.tags("mp4", &film).keys().any(|name| is_place(name)), "the check must be able to see it");
    let picture = case("jpg");
    let (after, cleaned) = blanked(&[&picture[..], &film].concat());
    assert_eq!(cleaned.found, [Place::Film]);
    assert_eq!(after[..picture.len()], picture);
    assert!(!files.tags("mp4", &after[picture.len()..]).keys().any(|name| is_place(name)));
}

/// A `meta` box as QuickTime has it: keys by name, and what each says.
fn keyed(said: &[(&str, &str)]) -> Vec<u8> {
    let count = |number: usize| u32::try_from(number).unwrap().to_be_bytes();
    let keys: Vec<u8> = said.iter().flat_map(|(name, _)| mp4_box(b"mdta", name.as_bytes())).collect();
    let keys = mp4_box(b"keys", &[&[0; 4][..], &count(said.len()), &keys].concat());
    let values = said.iter().enumerate().flat_map(|(at, (_, value))| {
        let text = mp4_box(b"data", &[&[0, 0, 0, 1, 0, 0, 0, 0][..], value.as_bytes()].concat());
        mp4_box(&count(at + 1), &text)
    });
    let values = mp4_box(b"ilst", &values.collect::<Vec<u8>>());
    let handler = mp4_box(b"hdlr", &[&[0; 8][..], b"mdta", &[0; 13]].concat());
    mp4_box(b"meta", &[handler, keys, values].concat())
}

#[test]
fn a_film_whose_place_stands_under_a_key_loses_it_and_keeps_the_other_keys() {
    if !exiftool_is_here() {
        return;
    }
    let files = Files::new();
    let said = [
        ("com.apple.quicktime.make", "Nobody"),
        ("com.apple.quicktime.location.ISO6709", "+52.5231+013.4017+034.000/"),
        ("com.apple.quicktime.model", "None"),
        ("com.apple.quicktime.location.accuracy.horizontal", "4.75"),
    ];
    let film = [mp4_box(b"ftyp", b"qt  \0\0\0\0qt  "), mp4_box(b"moov", &keyed(&said))].concat();
    let before = files.tags("mov", &film);
    assert!(before.keys().any(|name| is_place(name)) && before.values().any(|said| said == "Nobody"), "{before:?}");
    let picture = case("jpg");
    let (after, cleaned) = blanked(&[&picture[..], &film].concat());
    assert_eq!(cleaned.found, [Place::Film]);
    assert_eq!(after[..picture.len()], picture);
    let told = files.tags("mov", &after[picture.len()..]);
    assert!(!told.keys().any(|name| is_place(name)), "{told:?}");
    assert!(told.values().any(|said| said == "Nobody") && told.values().any(|said| said == "None"), "{told:?}");
    assert!(!after.windows(8).any(|part| part == b"+52.5231") && !after.windows(4).any(|part| part == b"4.75"));
    let (_, again) = blanked(&after);
    assert_eq!(again.found, []);
    // Keys that are cut off, or none, are passed over.
    for cut in picture.len()..picture.len() + film.len() {
        let _ = blanked(&[&picture[..], &film].concat()[..cut]);
    }
}

#[test]
fn a_film_within_a_heic_or_avif_loses_its_place() {
    let text = b"+52.5231+013.4017/";
    let place = mp4_box(b"\xa9xyz", &[&[0, 18, 0x15, 0xc7][..], text].concat());
    let film = [mp4_box(b"ftyp", b"isom\0\0\0\0isom"), mp4_box(b"moov", &mp4_box(b"udta", &place))].concat();
    for kind in ["heic", "avif"] {
        let picture = case(kind);
        let (after, cleaned) = blanked(&[&picture[..], &mp4_box(b"mpvd", &film)].concat());
        assert_eq!(cleaned.found, [Place::Film], "{kind}");
        assert_eq!(after[..picture.len()], picture, "{kind}");
        assert!(!after.windows(text.len()).any(|window| window == text), "{kind}");
        let (_, again) = blanked(&after);
        assert_eq!(again.found, [], "{kind}");
    }
}

/// A zlib stream (RFC 1950) of one stored block (RFC 1951 §3.2.4).
fn zlib_stored(content: &[u8]) -> Vec<u8> {
    let (low, high) = content.iter().fold((1u32, 0u32), |(low, high), byte| {
        let low = (low + u32::from(*byte)) % 65521;
        (low, (high + low) % 65521)
    });
    let length = u16::try_from(content.len()).unwrap();
    let head = [&[0x78, 0x01, 0x01][..], &length.to_le_bytes(), &(!length).to_le_bytes()].concat();
    [&head[..], content, &(high << 16 | low).to_be_bytes()].concat()
}

#[test]
fn packed_text_in_a_png_is_blanked_as_a_whole() {
    if !exiftool_is_here() {
        return;
    }
    let files = Files::new();
    let picture = files.tagged("png", &case("png"), &[&["-XMP-dc:Title=Sill"]]);
    let xmp = b"<x:xmpmeta xmlns:x='adobe:ns:meta/'><rdf:RDF xmlns:rdf='http://www.w3.org/1999/02/22-rdf-syntax-ns#'>\
        <rdf:Description xmlns:exif='http://ns.adobe.com/exif/1.0/' exif:GPSLatitude='52,31.2N'/></rdf:RDF></x:xmpmeta>";
    let content = [&b"XML:com.adobe.xmp\0\x01\0\0\0"[..], &zlib_stored(xmp)].concat();
    let length = u32::try_from(content.len()).unwrap().to_be_bytes();
    let before = [&picture[..33], &length, b"iTXt", &content, &[0; 4], &picture[33..]].concat();
    assert!(files.tags("png", &before).keys().any(|name| is_place(name)), "the check must be able to see it");
    let (after, cleaned) = blanked(&before);
    assert!(cleaned.found.contains(&Place::PackedText));
    assert_eq!(files.tags("png", &after), files.tags("png", &picture));
    assert!(!files.tags("png", &after).keys().any(|name| is_place(name)));
}

/// A picture that fuzzing found, or one made by hand for what it found.
fn fuzzed(name: &str) -> Vec<u8> {
    std::fs::read(Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cases/fuzz/photo").join(name)).unwrap()
}

#[test]
fn a_stale_offset_of_the_place_does_not_cost_the_way_up() {
    for name in ["place_points_at_the_directories.jpg", "place_points_into_the_directories.jpg"] {
        let (after, cleaned) = blanked(&fuzzed(name));
        assert_eq!((&cleaned.found[..], cleaned.facts.orientation), (&[Place::Exif][..], 6), "{name}");
        let (_, again) = blanked(&after);
        assert_eq!((&again.found[..], again.facts.orientation), (&[][..], 6), "{name}");
    }
}

#[test]
fn a_place_cut_in_two_by_a_segments_head_leaves_the_head() {
    let before = fuzzed("place_cut_in_two.jpg");
    let (after, cleaned) = blanked(&before);
    assert_eq!(cleaned.found, [Place::Xmp]);
    let head = |bytes: &[u8]| -> Vec<usize> {
        let name = b"http://ns.adobe.com/xmp/extension/\0";
        (4..bytes.len())
            .filter(|at| bytes[*at..].starts_with(name) && bytes[at - 4..].starts_with(b"\xff\xe1"))
            .collect()
    };
    assert_eq!((head(&before).len(), head(&after)), (2, head(&before)));
    assert!(!after.windows(5).any(|window| window == b"31.2N" || window == b"GPSLa"));
}

#[test]
fn what_is_no_picture_is_refused_and_left_alone() {
    for text in [&b""[..], b"%PDF-1.7 \xff\xd8\xff", b"<svg xmlns='http://www.w3.org/2000/svg'/>"] {
        let mut bytes = text.to_vec();
        let error = blank_location(&mut bytes).unwrap_err();
        assert_eq!((error, &bytes[..]), (PhotoError::NotAPicture, text));
    }
    expect_test::expect![[
        "this file is not a picture that Loomwalk knows (JPEG, PNG, WebP, HEIC, AVIF, GIF, TIFF), so its place \
         cannot be removed; take the photo again or save it as JPEG"
    ]]
    .assert_eq(&PhotoError::NotAPicture.to_string());
}

#[test]
fn the_limit_is_the_desks() {
    assert_eq!(loomwalk::photo::MOST_BYTES, loomwalk::sync::protocol::PHOTO_LIMIT);
}

/// A picture of each kind with the place in it, without any program: Exif by hand.
fn with_exif(kind: usize) -> Vec<u8> {
    let tiff = [
        &b"MM\0*\0\0\0\x08"[..],
        b"\0\x02\x01\x12\0\x03\0\0\0\x01\0\x06\0\0\x88\x25\0\x04\0\0\0\x01\0\0\0\x26\0\0\0\0",
        b"\0\x02\0\x01\0\x02\0\0\0\x02N\0\0\0\0\x02\0\x05\0\0\0\x03\0\0\0\x44\0\0\0\0",
        b"\0\0\0\x34\0\0\0\x01\0\0\0\x1f\0\0\0\x01\0\0\0\0\0\0\0\x01",
    ]
    .concat();
    let xmp =
        b"http://ns.adobe.com/xap/1.0/\0<rdf:RDF><d exif:GPSLatitude=\"52,31.2N\"><e:GPSA>1</e:GPSA></d></rdf:RDF>";
    let segment = |content: &[u8]| {
        [&[0xff, 0xe1][..], &u16::try_from(content.len() + 2).unwrap().to_be_bytes(), content].concat()
    };
    match kind {
        0 => {
            let picture = case("jpg");
            let exif = segment(&[&b"Exif\0\0"[..], &tiff].concat());
            [&picture[..2], &exif, &segment(xmp), &picture[2..], &picture[..2], &exif, &picture[2..]].concat()
        }
        1 => {
            let picture = case("png");
            let length = u32::try_from(tiff.len()).unwrap().to_be_bytes();
            [&picture[..33], &length, b"eXIf", &tiff, &[0; 4], &picture[33..]].concat()
        }
        2 => {
            let length = u32::try_from(tiff.len()).unwrap().to_le_bytes();
            [&case("webp")[..], b"EXIF", &length, &tiff].concat()
        }
        3 => [&case("heic")[..], b"\0\0\0\x06Exif\0\0", &tiff].concat(),
        _ => tiff,
    }
}

#[test]
fn the_hand_made_pictures_have_a_place_to_find() {
    for kind in 0..5 {
        let (_, cleaned) = blanked(&with_exif(kind));
        assert!(cleaned.found.contains(&Place::Exif), "{kind}");
        assert_eq!(cleaned.facts.orientation, if kind == 3 { 1 } else { 6 }, "{kind}");
    }
}

#[test]
fn exif_in_a_heic_loses_its_place_also_where_its_tags_are_out_of_order() {
    let mut before = with_exif(3);
    let first = before.windows(4).position(|window| window == b"\x01\x12\0\x03").unwrap();
    before[first..first + 24].rotate_left(12);
    let (after, cleaned) = blanked(&before);
    assert_eq!(cleaned.found, [Place::Exif]);
    let degrees = b"\0\0\0\x34\0\0\0\x01\0\0\0\x1f\0\0\0\x01";
    let reads = |bytes: &[u8]| bytes.windows(degrees.len()).any(|window| window == degrees);
    assert_eq!((reads(&before), reads(&after)), (true, false));
    assert_eq!(after[first + 12..first + 24], before[first + 12..first + 24], "which way is up stays");
    // What merely looks like it, without the name, is a picture's own bytes.
    let name = first - 12 - b"Exif\0\0".len() + 2;
    before[name] = b'x';
    let (after, cleaned) = blanked(&before);
    assert_eq!((after, cleaned.found), (before, vec![]));
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 2000, ..ProptestConfig::default() })]

    #[test]
    fn broken_pictures_never_panic_and_change_only_what_is_said(
        kind in 0usize..5,
        cut in any::<prop::sample::Index>(),
        truncate in any::<bool>(),
        writes in prop::collection::vec((any::<prop::sample::Index>(), prop::sample::select(vec![0u8, 1, 2, 8, 0x25, 0x69, 0x7f, 0x80, 0xd8, 0xd9, 0xda, 0xe1, 0xff])), 0..12),
    ) {
        let mut before = with_exif(kind);
        for (at, byte) in &writes {
            let at = at.index(before.len());
            before[at] = *byte;
        }
        if truncate {
            before.truncate(cut.index(before.len()));
        }
        let mut after = before.clone();
        match blank_location(&mut after) {
            Err(_) => prop_assert_eq!(after, before),
            Ok(cleaned) => {
                prop_assert_eq!(after.len(), before.len());
                for at in 0..before.len() {
                    let inside = cleaned.changed.iter().any(|range| range.contains(&at));
                    prop_assert!(before[at] == after[at] || inside, "byte {}", at);
                }
                let again = blank_location(&mut after.clone()).unwrap();
                prop_assert!(writes.is_empty() || again.changed.len() <= cleaned.changed.len() + 8);
            }
        }
    }

    #[test]
    fn noise_behind_a_magic_number_never_panics(kind in 0usize..5, noise in prop::collection::vec(any::<u8>(), 0..600)) {
        let mut bytes = [&with_exif(kind)[..16], &noise].concat();
        let _ = blank_location(&mut bytes);
    }
}
