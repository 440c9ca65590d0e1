//! Is every colour and every terminal of the standards known, however someone writes it?
use std::fmt::Write as _;

use expect_test::expect;
use loomwalk::circuit::colour::{Colour, ColourError, WireColour, same};
use loomwalk::circuit::terminal;
use proptest::prelude::*;

/// IEC 60757:1983 letter codes, as read in a secondary copy.
const IEC_60757: [(&str, &str); 14] = [
    ("BK", "black"),
    ("BN", "brown"),
    ("RD", "red"),
    ("OG", "orange"),
    ("YE", "yellow"),
    ("GN", "green"),
    ("BU", "blue"),
    ("VT", "violet"),
    ("GY", "grey"),
    ("WH", "white"),
    ("PK", "pink"),
    ("GD", "gold"),
    ("TQ", "turquoise"),
    ("SR", "silver"),
];

fn code(text: &str) -> Result<String, ColourError> {
    WireColour::parse(text).map(|colour| colour.to_string())
}

#[test]
fn the_colours_are_those_of_iec_60757_and_no_others() {
    let ours: Vec<_> = Colour::all().map(|colour| (colour.code(), colour.word())).collect();
    assert_eq!(ours, IEC_60757);
}

#[test]
fn every_colour_and_every_pair_is_read_back_from_its_code_its_lower_case_and_its_words() {
    for (base, base_word) in IEC_60757 {
        assert_eq!(code(base).unwrap(), base);
        assert_eq!(code(&base.to_lowercase()).unwrap(), base);
        assert_eq!(code(base_word).unwrap(), base);
        for (stripe, stripe_word) in IEC_60757.into_iter().filter(|(stripe, _)| *stripe != base) {
            let expected = format!("{base}/{stripe}");
            let colour = WireColour::from_code(&expected).unwrap();
            assert_eq!(colour.words(), format!("{base_word} with {stripe_word}"));
            let lower = expected.to_lowercase();
            let ways = [
                expected.clone(),
                lower.replace('/', "-"),
                expected.replace('/', " "),
                format!(" {base} / {stripe} "),
                format!("{base_word}/{stripe_word}"),
                format!("{base_word} with a {stripe_word} stripe"),
                format!("{base_word} and {stripe_word}"),
            ];
            for way in ways {
                assert_eq!(code(&way).unwrap(), expected, "{way}");
                assert!(same(&way, &expected));
            }
            // GNYE is the protective conductor of the standard, every other pair run together is base and stripe.
            let together = code(&expected.replace('/', "")).unwrap();
            assert_eq!(together, if expected == "GN/YE" { "GNYE".to_owned() } else { expected });
        }
    }
}

#[test]
fn american_german_and_spanish_ways_mean_the_same() {
    for (text, expected) in [
        ("BLK/YEL", "BK/YE"),
        ("brn-wht", "BN/WH"),
        ("gray", "GY"),
        ("PPL/ORN", "VT/OG"),
        ("sw/ge", "BK/YE"),
        ("schwarz mit gelb", "BK/YE"),
        ("weiß/grün", "WH/GN"),
        ("rojo/blanco", "RD/WH"),
        ("GNYE", "GNYE"),
        ("gnye", "GNYE"),
    ] {
        assert_eq!(code(text).unwrap(), expected, "{text}");
    }
    assert!(same("GN/YE", "GNYE") && !same("tan", "BN") && same("Tan", "TAN"));
}

#[test]
fn what_is_no_colour_is_told_with_the_way_out() {
    let mut told = String::new();
    for text in ["", " / ", "tan", "gr", "sw/bl", "black/black", "RD/WH/GN", "BK/", "XXYY"] {
        match WireColour::parse(text) {
            Ok(colour) => writeln!(told, "{text:?}: {colour}").unwrap(),
            Err(error) => writeln!(told, "{text:?}: {error}").unwrap(),
        }
    }
    expect![[r#"
        "": no colour is written: write one as in BK/YE or black/yellow
        " / ": no colour is written: write one as in BK/YE or black/yellow
        "tan": "tan" is no colour of IEC 60757: write BK BN RD OG YE GN BU VT GY WH PK GD TQ SR, GNYE or their words
        "gr": "gr" may be grey or green, by who wrote it: write the word out
        "sw/bl": "bl" may be blue or black, by who wrote it: write the word out
        "black/black": base and stripe are both black: write black once, or the stripe's own colour
        "RD/WH/GN": 3 colours are written: a wire has a base and at most one stripe, as in BK/YE
        "BK/": BK
        "XXYY": "XXYY" is no colour of IEC 60757: write BK BN RD OG YE GN BU VT GY WH PK GD TQ SR, GNYE or their words
    "#]]
    .assert_eq(&told);
}

/// DIN 72552 as quoted in the trade.
const DIN_72552: [&str; 24] = [
    "15", "30", "31", "31b", "49", "49a", "50", "53", "53a", "54", "55", "56", "56a", "56b", "57a", "58L", "58R", "61",
    "85", "86", "87", "87a", "L", "R",
];

#[test]
fn the_terminals_are_those_of_din_72552() {
    let mut ours: Vec<_> = terminal::all().iter().map(|terminal| terminal.code.as_str()).collect();
    ours.sort_unstable();
    assert_eq!(ours, DIN_72552);
    assert!(terminal::source().contains("DIN 72552"));
    assert!(terminal::all().iter().all(|terminal| !terminal.means.is_empty()));
}

#[test]
fn a_terminal_is_read_however_it_is_written() {
    for known in DIN_72552 {
        for way in [
            known.to_owned(),
            known.to_lowercase(),
            known.to_uppercase(),
            format!("Kl. {known}"),
            format!("terminal {known}"),
            format!(" ({known}) "),
        ] {
            assert_eq!(terminal::parse(&way).map(|terminal| terminal.code.as_str()), Some(known), "{way}");
        }
    }
    assert_eq!(terminal::parse("Kl31B").unwrap().code, "31b");
    for wrong in ["", "16", "87b", "terminal", "58", "x15", "15 30"] {
        assert_eq!(terminal::parse(wrong), None, "{wrong}");
    }
}

proptest! {
    #[test]
    fn whatever_is_written_a_colour_that_is_read_is_written_in_code_and_read_again(text in "\\PC{0,30}") {
        let _ = terminal::parse(&text);
        if let Ok(colour) = WireColour::parse(&text) {
            prop_assert_eq!(WireColour::parse(&colour.to_string()), Ok(colour));
            prop_assert_eq!(WireColour::from_code(&colour.to_string()), Some(colour));
        }
    }
}
