//! What is understood of a list that someone copied from somewhere, and is anything dropped without a word?
use std::collections::BTreeSet;
use std::fmt::Write as _;

use expect_test::{expect, expect_file};
use loomwalk::catalogue::Kind;
use loomwalk::catalogue::entry::paste::{Content, MOST_BYTES, MOST_LINES, read};
use loomwalk::catalogue::entry::{Entry, Gauge, MOST_OF_ONE, Sides, Stated};
use loomwalk::catalogue::recognise::Found;
use loomwalk::circuit::file::{Load, Side};
use loomwalk::circuit::{check, file};
use loomwalk::ids::LoadId;
use proptest::prelude::*;

const MESSY: &str = include_str!("cases/pasted/messy.txt");

fn ids() -> impl FnMut() -> LoadId {
    let mut number = 0;
    move || {
        number += 1;
        LoadId(format!("l{number}"))
    }
}

/// One entry as a technician would read it aloud.
fn told(entry: &Entry) -> String {
    let mut out = match &entry.found {
        Found::Exact(kind) => format!("is {}", kind.label()),
        Found::Likely(kind, others) => {
            let others: Vec<_> = others.iter().map(|kind| kind.label()).collect();
            let or = if others.is_empty() { String::new() } else { format!(" (or {})", others.join(", ")) };
            format!("likely {}{or}", kind.label())
        }
        Found::ByHand => "by hand".to_owned(),
    };
    write!(out, " «{}»", entry.name).unwrap();
    match entry.sides {
        Sides::NotSaid => {}
        Sides::One(side) => write!(out, ", {side:?}").unwrap(),
        Sides::Both => out.push_str(", Both"),
    }
    if let Some(count) = entry.count {
        write!(out, ", {count} of them").unwrap();
    }
    match entry.size {
        Some(Stated::Watts(value)) => write!(out, ", {value} W").unwrap(),
        Some(Stated::Amps(value)) => write!(out, ", {value} A").unwrap(),
        Some(Stated::Ohms(value)) => write!(out, ", {value} Ω").unwrap(),
        None => {}
    }
    if let Some(volts) = entry.rated_volts {
        write!(out, " at {volts} V").unwrap();
    }
    if let Some(lamp) = entry.lamp {
        write!(out, ", {lamp}").unwrap();
    }
    if let Some(colour) = entry.colour {
        write!(out, ", {colour}").unwrap();
    }
    match entry.gauge {
        Some(Gauge::AreaMm2(area)) => write!(out, ", {area} mm²").unwrap(),
        Some(Gauge::Awg(gauge)) => write!(out, ", {gauge} AWG").unwrap(),
        None => {}
    }
    if let Some(metres) = entry.length_m {
        write!(out, ", {metres} m").unwrap();
    }
    if !entry.left_over.is_empty() {
        write!(out, "; not understood: {}", entry.left_over.join(" | ")).unwrap();
    }
    let labels: Vec<_> = entry.loads(ids()).into_iter().map(|load| load.label).collect();
    write!(out, "\n       → {}", labels.join(" + ")).unwrap();
    out
}

#[test]
fn a_messy_list_is_understood_line_by_line() {
    let mut out = String::new();
    for line in read(MESSY, Side::Right).lines {
        writeln!(out, "{:>3}  {}", line.number, line.text.replace('\t', "→")).unwrap();
        match line.content {
            Content::Blank => {}
            Content::Remark => out.push_str("     remark\n"),
            Content::TooLong => out.push_str("     too long\n"),
            Content::Named { fuse, loads } => {
                if let Some(fuse) = fuse {
                    writeln!(out, "     fuse {:?} {:?}", fuse.label, fuse.rating_a).unwrap();
                }
                loads.iter().for_each(|entry| writeln!(out, "     {}", told(entry)).unwrap());
            }
        }
    }
    expect_file!["cases/pasted/messy.understood.txt"].assert_eq(&out);
}

/// The only entry of a line.
fn only(line: &str) -> Entry {
    let entries: Vec<Entry> = read(line, Side::Left).entries().map(|(_, entry)| entry.clone()).collect();
    let [entry] = <[Entry; 1]>::try_from(entries).unwrap_or_else(|all| panic!("{line}: {all:?}"));
    entry
}

#[test]
fn however_a_pair_is_written_both_sides_come_of_it() {
    for line in [
        "both reversing lamps",
        "2 x reversing lamp",
        "2x reversing lamp",
        "2 reversing lamps",
        "reversing lamps x2",
        "pair of reversing lamps",
        "Reversing lamps LH/RH",
        "left & right reversing lamp",
        "reversing lamp (L+R)",
        "backup lights",
    ] {
        let loads = only(line).loads(ids());
        let items: Vec<_> = loads.iter().map(|load| load.item.clone().unwrap().0).collect();
        assert_eq!(items, ["reversing_lamp_left", "reversing_lamp_right"], "{line}");
        assert_eq!(loads[0].label, "Reversing lamp, left");
    }
}

#[test]
fn the_near_side_is_the_one_without_the_driver() {
    let sides = |line: &str, driver| read(line, driver).entries().map(|(_, entry)| entry.sides).collect::<Vec<_>>();
    for line in
        ["nearside tail lamp", "tail lamp N/S", "N/S/R tail lamp", "NSR tail lamp", "passenger's side tail lamp"]
    {
        assert_eq!(sides(line, Side::Left), [Sides::One(Side::Right)], "{line}");
        assert_eq!(sides(line, Side::Right), [Sides::One(Side::Left)], "{line}");
    }
    assert_eq!(sides("left-hand tail lamp", Side::Right), [Sides::One(Side::Left)]);
}

#[test]
fn size_colour_and_wire_are_read_in_any_order_and_decoration() {
    let expected = only("Horn 5 A BK/YE 0.75 mm²");
    assert_eq!((expected.size, expected.gauge), (Some(Stated::Amps(5.0)), Some(Gauge::AreaMm2(0.75))));
    assert_eq!(expected.colour.unwrap().to_string(), "BK/YE");
    for line in [
        "5A, 0,75mm², black/yellow: horn",
        "• bk-ye 0.75 HORN 5amps.",
        "17) Horn ; 5,0 A ; BK YE ; 0.75 mm2",
        "horn\t0.75mm2\t5A\tblack with yellow",
        "[x] Horn | 5A | BKYE | 0,75 qmm ...",
    ] {
        let entry = only(line);
        assert_eq!((entry.size, entry.gauge, entry.colour), (expected.size, expected.gauge, expected.colour), "{line}");
        assert!(matches!(entry.found, Found::Exact(kind) if kind.label() == "Horn"), "{line}");
        assert!(entry.left_over.is_empty(), "{line}: {:?}", entry.left_over);
    }
}

#[test]
fn a_lamps_category_gives_its_power_and_tells_which_headlamp() {
    let h1 = only("headlight H1");
    assert_eq!((h1.lamp, h1.size), (Some("H1"), Some(Stated::Watts(55.0))));
    assert_eq!(h1.found.kind().unwrap().label(), "Headlamp, main beam");
    assert_eq!(only("headlight H7").found.kind().unwrap().label(), "Headlamp, dipped beam");
    // A stated size is believed.
    assert_eq!(only("side repeater W5W 4.5 W").size, Some(Stated::Watts(4.5)));
}

#[test]
fn a_lamp_that_is_said_to_be_an_led_is_one() {
    let kind = |line: &str| only(line).loads(ids())[0].kind;
    assert_eq!(kind("left tail lamp LED 2W"), Some(file::LoadKind::LedLamp));
    assert_eq!(kind("LED high-level brake lamp"), Some(file::LoadKind::LedLamp));
    assert_eq!((kind("left tail lamp"), kind("radio, LED display")), (None, None));
    assert!(matches!(only("tail lamp (LED)").found, Found::Exact(_)) && only("tail lamp (LED)").left_over.is_empty());
}

#[test]
fn every_name_of_the_catalogue_is_recognised() {
    for kind in loomwalk::catalogue::kinds() {
        let entry = only(kind.label());
        assert_eq!(entry.found, Found::Exact(*kind), "{}", kind.label());
        assert_eq!((entry.left_over.len(), entry.sides), (0, Sides::NotSaid));
        for item in kind.items() {
            let entry = only(&item.label);
            assert_eq!(entry.found, Found::Exact(*kind), "{}", item.label);
            let side = item.side.map_or(Sides::NotSaid, Sides::One);
            assert_eq!(entry.sides, side, "{}", item.label);
            // Another name may be that of several things: then all are told.
            for also in &item.also {
                let found = only(also).found;
                let told = match &found {
                    Found::Exact(kind) => vec![*kind],
                    Found::Likely(kind, others) => [&[*kind], others.as_slice()].concat(),
                    Found::ByHand => Vec::new(),
                };
                assert!(told.contains(kind), "{also}: {found:?}");
            }
        }
    }
}

#[test]
fn fuse_headings_are_proposals_and_never_loads() {
    let mut told = String::new();
    for line in [
        "Fuse 23 – 15A",
        "FUSE F7 (7.5 A)",
        "fuse no. 4: 20 amp",
        "F 12",
        "f99c 5A horn",
        "Fuse 15 A",
        "30A fuse",
        "fuse box lamp",
        "F150 tailgate",
        "Fuse 3 9999 A",
    ] {
        let list = read(line, Side::Left);
        let fuses: Vec<_> = list.fuses().map(|(_, fuse)| format!("{:?} {:?}", fuse.label, fuse.rating_a)).collect();
        let loads: Vec<_> = list.entries().map(|(_, entry)| entry.name.as_str()).collect();
        writeln!(told, "{line} → fuses {fuses:?}, loads {loads:?}").unwrap();
    }
    expect![[r#"
        Fuse 23 – 15A → fuses ["\"F23\" Some(15.0)"], loads []
        FUSE F7 (7.5 A) → fuses ["\"F7\" Some(7.5)"], loads []
        fuse no. 4: 20 amp → fuses ["\"F4\" Some(20.0)"], loads []
        F 12 → fuses ["\"F12\" None"], loads []
        f99c 5A horn → fuses ["\"F99C\" Some(5.0)"], loads ["horn"]
        Fuse 15 A → fuses ["\"\" Some(15.0)"], loads []
        30A fuse → fuses ["\"\" Some(30.0)"], loads []
        fuse box lamp → fuses [], loads ["fuse box lamp"]
        F150 tailgate → fuses ["\"F150\" None"], loads ["tailgate"]
        Fuse 3 9999 A → fuses ["\"F3\" None"], loads ["9999 A"]
    "#]]
    .assert_eq(&told);
}

#[test]
fn a_list_beyond_the_bounds_is_kept_where_it_is_not_read() {
    let long = "lamp ".repeat(MOST_BYTES);
    let text = format!("{long}\n{}", "horn\r\n".repeat(MOST_LINES + 7));
    let list = read(&text, Side::Left);
    assert_eq!(list.lines.len(), MOST_LINES);
    assert_eq!((&list.lines[0].content, list.lines[0].text.as_str()), (&Content::TooLong, long.as_str()));
    assert_eq!(list.unread, "horn\r\n".repeat(8));
}

#[test]
fn what_comes_of_a_list_is_a_sound_circuit() {
    let list = read(MESSY, Side::Right);
    let mut id = ids();
    let loads: Vec<Load> = list.entries().flat_map(|(_, entry)| entry.loads(&mut id)).collect();
    assert!(loads.len() > 50);
    let mut circuit = check::read(
        br#"{"format": "loomwalk/circuit", "version": 1, "fuse": {"rating_a": 15}, "loads": [{"id": "x", "amps": 1}]}"#,
    )
    .unwrap();
    circuit.loads = loads;
    let text = serde_json::to_vec(&circuit).unwrap();
    assert_eq!(check::read(&text).unwrap(), circuit);
    assert_eq!(circuit.vehicle.drive_side, file::Side::Left);
}

/// Bits of lists, so that random text meets the grammar now and then.
fn bits() -> impl Strategy<Value = String> {
    let bit = prop_oneof![
        "\\PC{0,6}",
        prop::sample::select(vec![
            "2x",
            "21W",
            "BK/YE",
            "0,75",
            "mm²",
            "LH",
            "both",
            "reversing",
            "lamps",
            "F23",
            "fuse",
            "15A",
            "-",
            ";",
            ",",
            "\n",
            "\t",
            "P21/5W",
            "AWG",
            "18",
            "O/S/F",
            "with",
            "and",
            "Ω",
            "×",
            "(",
            "[x]",
            "1.",
            "…",
            "left",
            "/",
            "12 V",
        ])
        .prop_map(str::to_owned),
    ];
    prop::collection::vec(bit, 0..24).prop_map(|bits| bits.join(" "))
}

proptest! {
    #[test]
    fn whatever_is_pasted_every_line_is_answered_and_no_word_is_lost(text in prop_oneof![bits(), "(?s).{0,200}"]) {
        let list = read(&text, Side::Left);
        let kept: String = list.lines.iter().map(|line| line.text.as_str()).chain([list.unread.as_str()]).collect();
        prop_assert_eq!(kept, text.replace(['\n', '\r'], ""));
        for (_, entry) in list.entries() {
            let loads = entry.loads(ids());
            prop_assert!((1..=MOST_OF_ONE as usize + 1).contains(&loads.len()));
            let distinct: BTreeSet<_> = loads.iter().map(|load| &load.label).collect();
            prop_assert_eq!(distinct.len(), loads.len());
            let paired = matches!(entry.found.kind(), Some(Kind::Pair { .. }));
            prop_assert!(!paired || loads.iter().all(|load| load.item.is_some()));
        }
    }
}
