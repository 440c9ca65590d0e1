//! Does any shelf bring down what merges it, looks into it, or takes from it?

use loomwalk::circuit::check;
use loomwalk::ids::JobId;
use loomwalk::shelf::learned::{learned, take_over};
use loomwalk::shelf::read::{self, ShelfError};
use loomwalk::shelf::take::{for_job, for_sister};
use loomwalk::shelf::{Shelf, Shelved};

use super::{is_pointer, small_van, told};

/// A job that nothing on a shelf was kept from.
const NO_JOB: &str = "01890a5d-ac96-774b-bcce-b302099a8057";

/// Whether it was read.
pub fn read(bytes: &[u8]) -> bool {
    let shelf = match read::read(bytes) {
        Ok(shelf) => shelf,
        Err(error) => {
            if let ShelfError::Field { pointer, .. } = &error {
                assert!(is_pointer(pointer), "{pointer}");
            }
            told(error);
            return false;
        }
    };
    let written = serde_json::to_vec(&shelf.file()).expect("it can be written");
    assert_eq!(read::read(&written).as_ref(), Ok(&shelf));
    merges(&shelf);
    shelf.entries().into_iter().for_each(one);
    assert_eq!(shelf.find("").len(), shelf.entries().len());
    true
}

/// Order and number of merges do not matter.
fn merges(shelf: &Shelf) {
    let merged = |one: &Shelf, other: &Shelf| {
        let mut both = one.clone();
        both.merge(other.clone());
        both
    };
    assert_eq!(merged(shelf, shelf), *shelf);
    assert_eq!(shelf.brings(shelf), Default::default());
    let off = shelf.entries().first().map_or_else(Shelf::default, |entry| Shelf::from(entry.id));
    let (one, other) = (merged(shelf, &off), merged(&off, shelf));
    assert_eq!(one, other);
    assert_eq!(merged(&one, shelf), one, "what was taken off stays off");
}

/// A circuit of the shelf can be used.
fn one(entry: &Shelved) {
    assert_eq!(read::one(&entry.text()).as_ref(), Ok(entry));
    assert!(entry.circuit.vehicle.vin.is_none());
    let sister = for_sister(&entry.circuit, "Sister");
    assert_eq!(check::validate(&sister.circuit), Ok(()), "for a sister");
    let van = small_van();
    for entered in [None, Some(&van)] {
        let taken = for_job(entry, entered);
        assert_eq!(check::validate(&taken.circuit), Ok(()), "for a job");
    }
    assert_eq!(learned(&entry.circuit, &entry.circuit), Vec::new());
    let told = learned(&van, &entry.circuit);
    assert!(told.iter().all(|correction| !correction.words.is_empty()));
    // With all of them or the last alone: sound, or refused in words.
    for some in [&told[..], &told[told.len().saturating_sub(1)..]] {
        if let Err(error) = take_over(&van, some) {
            super::told(error);
        }
    }
    let shelf = Shelf::from(entry.clone());
    let offers =
        shelf.offers(NO_JOB.parse::<JobId>().expect("it is an id"), &entry.circuit.vehicle, &entry.circuit.fuse.label);
    assert!(offers.len() <= 1);
}
