//! What on the shelf fits some words, and what should be offered to a job that begins?

use super::file::VinStart;
use super::{Shelf, Shelved};
use crate::catalogue::{self, Phrase};
use crate::circuit::file::{Load, Vehicle};
use crate::gather::Order as _;
use crate::ids::JobId;

/// A circuit that fits a job, and why.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Offer<'a> {
    /// The circuit.
    pub shelved: &'a Shelved,
    /// Why it fits.
    pub fit: Fit,
}

/// How well a circuit fits a job, best first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Fit {
    /// Kept under this vehicle's label.
    SameVehicle,
    /// The identification numbers begin alike.
    SameLine,
    /// The same body, and a fuse of the same name.
    SameBodyAndFuse,
}

/// How a load is called: by its own label, by its catalogue entry's, or by its id.
pub fn load_name(load: &Load) -> &str {
    match load.item.as_ref().and_then(catalogue::item) {
        _ if !load.label.is_empty() => &load.label,
        Some(item) => &item.label,
        None => load.id.as_str(),
    }
}

impl Shelf {
    /// Circuits that fit all of the words: in their label, fuse, body or loads. The newest first; all for no words.
    pub fn find(&self, typed: &str) -> Vec<&Shelved> {
        let typed = Phrase::new(typed);
        self.entries().into_iter().filter(|entry| Phrase::new(&spoken(entry)).has_words(&typed)).collect()
    }

    /// Circuits to offer to a job with this vehicle and fuse, best first; of equal ones the newest. What was kept from
    /// that very job is not offered to it.
    ///
    /// A circuit is one fuse's: where both fuses have a name and the names differ, it fits nothing.
    pub fn offers(&self, job: JobId, vehicle: &Vehicle, fuse: &str) -> Vec<Offer<'_>> {
        let vin = vehicle.vin.as_deref().and_then(VinStart::of);
        let fuse = bare(fuse);
        let fit = |entry: &Shelved| {
            let its = bare(&entry.circuit.fuse.label);
            if !fuse.is_empty() && !its.is_empty() && fuse != its {
                return None;
            }
            if !bare(&vehicle.label).is_empty() && bare(&vehicle.label) == bare(&entry.label) {
                return Some(Fit::SameVehicle);
            }
            if vin.is_some() && vin == entry.vin_begins {
                return Some(Fit::SameLine);
            }
            let same = !fuse.is_empty() && fuse == its && vehicle.body == entry.circuit.vehicle.body;
            same.then_some(Fit::SameBodyAndFuse)
        };
        let others = self.entries().into_iter().filter(|entry| entry.from_job != Some(job));
        let mut offers: Vec<Offer> = others.filter_map(|shelved| Some(Offer { shelved, fit: fit(shelved)? })).collect();
        // A stable sort: equal ones stay the newest first.
        offers.order_by_key(|offer| offer.fit);
        offers
    }
}

/// Whether two labels name the same vehicle.
pub fn same_label(one: &str, other: &str) -> bool {
    bare(one) == bare(other)
}

/// Names are compared without blanks, hyphens and upper case: "F 23" is "f23".
pub(super) fn bare(name: &str) -> String {
    name.chars().filter(|sign| sign.is_alphanumeric()).flat_map(char::to_lowercase).collect()
}

/// All that a circuit can be found by.
fn spoken(entry: &Shelved) -> String {
    let circuit = &entry.circuit;
    let mut words = vec![&*entry.label, &*circuit.label, &*circuit.fuse.label, circuit.vehicle.body.name()];
    words.extend(circuit.loads.iter().map(load_name));
    words.join(" ; ")
}
