//! Does anything that is typed into a field bring down what makes sense of it?

use loomwalk::circuit::colour::{self, WireColour};
use loomwalk::circuit::terminal;
use loomwalk::job::amperes::amperes_in;
use loomwalk::shelf::file::VinStart;
use loomwalk::vehicle::vin;

use super::told;

/// Whether it was read: it is text.
pub fn read(bytes: &[u8]) -> bool {
    let Ok(text) = std::str::from_utf8(bytes) else { return false };
    number_of_vehicle(text);
    wire(text);
    if let Some(found) = terminal::parse(text) {
        assert_eq!(terminal::parse(&found.code).map(|again| &again.code), Some(&found.code));
    }
    assert!(amperes_in(text).is_none_or(f64::is_finite));
    true
}

fn number_of_vehicle(text: &str) {
    let reading = vin::read(text);
    assert_eq!(vin::read(&reading.written), reading, "as written");
    reading.problems.iter().for_each(told);
    assert!(reading.problems.len() <= 2 * 17, "{} problems", reading.problems.len());
    if let Some(facts) = &reading.facts {
        assert_eq!(reading.written.len(), 17);
        assert!(!facts.check.to_string().is_empty() && !facts.model_year.to_string().is_empty());
    }
    if let Some(start) = VinStart::of(text) {
        let start = String::from(start);
        assert!(reading.written.starts_with(&start));
        assert!(VinStart::try_from(start).is_ok());
    }
    if let Some(among) = vin::among(&[text.to_owned()]) {
        assert!(among.facts.is_some() && text.to_ascii_uppercase().contains(&among.written));
    }
}

fn wire(text: &str) {
    match WireColour::parse(text) {
        Ok(colour) => {
            assert_eq!(WireColour::from_code(&colour.to_string()), Some(colour), "as in files");
            assert_eq!(WireColour::parse(&colour.to_string()), Ok(colour));
            assert!(colour::same(&colour.words(), &colour.to_string()), "in words");
        }
        Err(error) => told(error),
    }
    assert!(colour::same(text, text));
    assert_eq!(colour::same(text, "BK/YE"), colour::same("BK/YE", text));
}
