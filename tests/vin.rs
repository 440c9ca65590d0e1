//! What does a technician read when a VIN was typed, and is a slip of the finger noticed?
use std::fmt::Write as _;

use expect_test::expect;
use loomwalk::vehicle::vin::{CheckDigit, ModelYear, Problem, Region, among, read};
use proptest::prelude::*;

/// The example of 49 CFR 565.15 (sum 411, check digit 4), and that of an agency's outline (sum 314, 6).
const PUBLISHED: [&str; 2] = ["1G4AH59H45G118341", "1J9RP1A36A1644345"];

const ALPHABET: &str = "ABCDEFGHJKLMNPRSTUVWXYZ0123456789";

/// Transliteration of 49 CFR 565.15(c) table IV, written out letter by letter (ALPHABET's order).
const VALUES: [u32; 33] =
    [1, 2, 3, 4, 5, 6, 7, 8, 1, 2, 3, 4, 5, 7, 9, 2, 3, 4, 5, 6, 7, 8, 9, 0, 1, 2, 3, 4, 5, 6, 7, 8, 9];
/// Weights of 49 CFR 565.15(c) table V.
const WEIGHTS: [u32; 17] = [8, 7, 6, 5, 4, 3, 2, 10, 0, 9, 8, 7, 6, 5, 4, 3, 2];

fn value(letter: char) -> u32 {
    VALUES[ALPHABET.find(letter).unwrap()]
}

fn with(vin: &str, at: usize, letter: char) -> String {
    vin.chars().enumerate().map(|(here, old)| if here == at { letter } else { old }).collect()
}

/// Sixteen characters with the check digit that the tables ask for.
fn valid(mut letters: Vec<char>) -> String {
    letters.insert(8, '0');
    let sum: u32 = letters.iter().zip(WEIGHTS).map(|(letter, weight)| value(*letter) * weight).sum();
    letters[8] = if sum % 11 == 10 { 'X' } else { char::from_digit(sum % 11, 10).unwrap() };
    letters.into_iter().collect()
}

#[test]
fn the_published_samples_are_read_without_a_word_and_with_the_published_sums() {
    for (vin, sum) in PUBLISHED.into_iter().zip([411, 314]) {
        let ours: u32 = vin.chars().zip(WEIGHTS).map(|(letter, weight)| value(letter) * weight).sum();
        assert_eq!(ours, sum);
        let read = read(vin);
        assert_eq!((read.written.as_str(), read.problems.as_slice()), (vin, &[][..]));
        let facts = read.facts.unwrap();
        assert_eq!((facts.region, facts.check), (Region::NorthAmerica, CheckDigit::Fits));
    }
}

#[test]
fn case_spaces_and_dashes_do_not_matter() {
    for typed in ["1g4ah59h45g118341", " 1G4 AH59H4 5G118341\n", "1G4-AH59H4-5-G-118341", "*1G4AH59H45G118341*"] {
        assert_eq!(read(typed), read(PUBLISHED[0]), "{typed}");
    }
    assert_eq!((read(" ").problems, read("").facts), (Vec::new(), None));
}

#[test]
fn everything_that_can_be_said_is_said_in_plain_words() {
    let mut told = String::new();
    for typed in [
        "1G4AH59H45G118341",
        "1J9RP1A36A1644345",
        "1G4AH59H55G118341",
        "1G4OH59H45G1I8Q41",
        "1G4AH59H45G11834",
        "1G4AH59H45G1183411",
        "1G4AH59?45Ğ118341",
        "WXXZZZ7HZD8000123",
        "AAAZZZ0ZZ00000123",
        "HXXABBHK0PN000123",
        "6XXAAAJGSWU000123",
        "7AXAAAJGSWK000123",
        "7FXAAAJG5PK000123",
        "9XXAAAJGSW8000123",
    ] {
        let read = read(typed);
        writeln!(told, "{typed}").unwrap();
        for problem in &read.problems {
            writeln!(told, "  ! {problem}").unwrap();
        }
        if let Some(facts) = read.facts {
            writeln!(told, "  {}; {}; {}", facts.region, facts.check, facts.model_year).unwrap();
        }
    }
    expect![[r#"
        1G4AH59H45G118341
          North America; the check digit fits; model year 2005 for a car or light truck; a heavier vehicle may be 2035
        1J9RP1A36A1644345
          North America; the check digit fits; model year 2010 for a car or light truck; a heavier vehicle may be 1980
        1G4AH59H55G118341
          ! position 9 is 5, and the other sixteen characters ask for 4: at least one was misread; compare it with the plate or the registration paper
          North America; the check digit does not fit; model year 2005 for a car or light truck; a heavier vehicle may be 2035
        1G4OH59H45G1I8Q41
          ! position 4 is the letter O, which a VIN never has: probably the digit 0
          ! position 13 is the letter I, which a VIN never has: probably the digit 1
          ! position 15 is the letter Q, which a VIN never has: probably the digit 0
        1G4AH59H45G11834
          ! it has 16 characters and a VIN has 17: 1 missing (vehicles from before 1981 may have a shorter one)
        1G4AH59H45G1183411
          ! it has 18 characters and a VIN has 17: 1 too many
        1G4AH59?45Ğ118341
          ! position 8 is '?', and a VIN has only letters from A to Z and digits: read it again
          ! position 11 is 'Ğ', and a VIN has only letters from A to Z and digits: read it again
        WXXZZZ7HZD8000123
          Europe; no check digit to verify here; if the maker writes a model year, 1983 or 2013
        AAAZZZ0ZZ00000123
          Africa; no check digit to verify here; no model year in it
        HXXABBHK0PN000123
          Asia; no check digit to verify here; if the maker writes a model year, 1993 or 2023
        6XXAAAJGSWU000123
          Oceania; no check digit to verify here; if the maker writes a model year, 1998 or 2028
        7AXAAAJGSWK000123
          Oceania; no check digit to verify here; if the maker writes a model year, 1998 or 2028
        7FXAAAJG5PK000123
          ! position 9 is 5, and the other sixteen characters ask for 0: at least one was misread; compare it with the plate or the registration paper
          North America; the check digit does not fit; model year 2023 for a car or light truck; a heavier vehicle may be 1993
        9XXAAAJGSW8000123
          South America; no check digit to verify here; if the maker writes a model year, 1998 or 2028
    "#]].assert_eq(&told);
}

#[test]
fn the_letters_that_look_like_digits_are_told_by_position() {
    for (letter, digit) in [('I', '1'), ('O', '0'), ('Q', '0')] {
        for at in 0..17 {
            let problems = read(&with(PUBLISHED[0], at, letter)).problems;
            assert_eq!(problems, [Problem::LooksLike { position: at + 1, letter, digit }]);
        }
    }
}

/// A change of value d at weight w moves the sum by w·d. 11 is prime, and neither w (2 to 10) nor d (1 to 9) has it as
/// a factor, so the remainder moves unless d = 0: what is missed is exactly what the tables give the same number.
#[test]
fn one_changed_character_is_noticed_exactly_where_its_number_changes() {
    for vin in PUBLISHED {
        for at in 0..17 {
            let old = vin.chars().nth(at).unwrap();
            for letter in ALPHABET.chars().filter(|letter| *letter != old) {
                let facts = read(&with(vin, at, letter)).facts.unwrap();
                let expected = if at == 0 && !('1'..='5').contains(&letter) {
                    // Not a North American number any more: except 7, where the second character decides.
                    if letter == '7' { CheckDigit::Differs } else { CheckDigit::NotAskedFor }
                } else if at != 8 && value(letter) == value(old) {
                    CheckDigit::Fits
                } else {
                    CheckDigit::Differs
                };
                assert_eq!(facts.check, expected, "{vin} position {} {letter}", at + 1);
            }
        }
    }
}

#[test]
fn the_model_year_goes_round_every_thirty_years_and_the_seventh_position_tells_which() {
    // 49 CFR 565.15(d), table VII: A 1980/2010, Y 2000/2030, 1 2001/2031, 9 2009/2039.
    let year =
        |seventh: char, tenth: char| read(&with(&with(PUBLISHED[0], 6, seventh), 9, tenth)).facts.unwrap().model_year;
    for (tenth, early) in [('A', 1980), ('H', 1987), ('J', 1988), ('N', 1992), ('P', 1993), ('R', 1994), ('T', 1996)]
        .into_iter()
        .chain([('V', 1997), ('Y', 2000), ('1', 2001), ('9', 2009)])
    {
        assert_eq!(year('9', tenth), ModelYear::Tells { car: early, other: early + 30 }, "{tenth}");
        assert_eq!(year('A', tenth), ModelYear::Tells { car: early + 30, other: early }, "{tenth}");
        let elsewhere = read(&format!("WXXZZZ7HZ{tenth}8000123")).facts.unwrap().model_year;
        assert_eq!(elsewhere, ModelYear::Perhaps { earlier: early, later: early + 30 });
    }
    for tenth in ['U', 'Z', '0'] {
        assert_eq!(year('A', tenth), ModelYear::None);
    }
}

/// ISO 3780 by the first character, from memory.
#[test]
fn every_first_character_has_its_region() {
    let region = |first: char| read(&with(PUBLISHED[0], 0, first)).facts.unwrap().region;
    for (firsts, expected) in [
        ("ABCDEFG", Region::Africa),
        ("HJKLMNPR", Region::Asia),
        ("STUVWXYZ", Region::Europe),
        ("12345", Region::NorthAmerica),
        ("6", Region::Oceania),
        ("890", Region::SouthAmerica),
    ] {
        assert!(firsts.chars().all(|first| region(first) == expected), "{firsts}");
    }
}

proptest! {
    #[test]
    fn any_sixteen_characters_with_their_check_digit_fit_and_two_neighbours_exchanged_do_not(
        letters in prop::collection::vec(prop::sample::select(ALPHABET.chars().collect::<Vec<_>>()), 16),
        first in prop::sample::select(vec!['1', '2', '3', '4', '5']),
        at in 1_usize..16,
    ) {
        let mut letters = letters;
        letters[0] = first;
        let vin = valid(letters);
        prop_assert_eq!(read(&vin).facts.unwrap().check, CheckDigit::Fits);
        let mut swapped: Vec<char> = vin.chars().collect();
        swapped.swap(at, at + 1);
        // Neighbours differ in weight, so the sum moves unless their numbers are the same. The check digit's own
        // neighbours may by chance fit again.
        if !(7..=8).contains(&at) && value(swapped[at]) != value(swapped[at + 1]) {
            let swapped: String = swapped.into_iter().collect();
            prop_assert_eq!(read(&swapped).facts.unwrap().check, CheckDigit::Differs);
        }
    }

    #[test]
    fn whatever_is_typed_nothing_of_it_is_lost_but_what_stands_between(typed in "\\PC{0,40}") {
        let read = read(&typed);
        let kept: String = typed.chars().filter(|letter| letter.is_ascii_alphanumeric()).collect();
        let own: String = read.written.chars().filter(|letter| letter.is_ascii_alphanumeric()).collect();
        prop_assert_eq!(own, kept.to_ascii_uppercase());
        let right = read.problems.iter().all(|problem| matches!(problem, Problem::CheckDigit { .. }));
        prop_assert_eq!(read.facts.is_some(), right && !read.written.is_empty());
    }
}

#[test]
fn among_codes_that_say_other_things_the_vin_is_found_and_the_sound_one_first() {
    let [vin, other] = PUBLISHED;
    let codes = |codes: &[&str]| codes.iter().map(|code| (*code).to_owned()).collect::<Vec<_>>();
    let found = |all: &[&str]| among(&codes(all)).map(|read| read.written);
    assert_eq!(found(&["4711", &format!("I{vin}")]).as_deref(), Some(vin));
    assert_eq!(found(&[&format!("V={other};C=white")]).as_deref(), Some(other));
    assert_eq!(found(&[&with(vin, 16, '7'), vin]).as_deref(), Some(vin));
    assert_eq!(found(&["4711", "white van", ""]), None);
}
