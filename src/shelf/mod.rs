//! The shelf: circuits that are kept for the next time, and how two shelves become one.
//!
//! - [`mod@file`]: the format `loomwalk/shelf`, and one circuit on the shelf.
//! - [`read`]: from bytes to a sound shelf, or why not.
//! - [`find`]: what fits some words, and what to offer to a job that begins.
//! - [`take`]: a circuit from the shelf for a job, and for a sister vehicle.
//! - [`learned`]: what a job has found to be otherwise than the shelf said.
//!
//! A shelf is a set of circuits by id, and a set of ids that were taken off. Merging keeps the newest of each id; what
//! was taken off anywhere stays off. So it does not matter in which order, or how often, two shelves are merged.

pub mod file;
pub mod find;
pub mod learned;
pub mod read;
pub mod take;

use std::cmp::Reverse;
use std::collections::{BTreeMap, BTreeSet};

use file::ShelfFile;
pub use file::{FORMAT, Shelved, VERSION};

use crate::gather::{Gather as _, Order as _};
use crate::ids::ShelvedId;

/// Circuits that are kept, and what was taken off.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Shelf {
    entries: BTreeMap<ShelvedId, Shelved>,
    taken_off: BTreeSet<ShelvedId>,
}

/// What a merge brings.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Brought {
    /// Circuits that were not here.
    pub new: usize,
    /// Circuits of which a newer one came.
    pub newer: usize,
    /// Circuits that were here and go.
    pub off: usize,
}

impl Shelf {
    /// A shelf of these circuits, in whatever order they come, without those that were taken off.
    pub fn of(entries: impl IntoIterator<Item = Shelved>, taken_off: impl IntoIterator<Item = ShelvedId>) -> Self {
        let mut shelf = Self { entries: BTreeMap::new(), taken_off: taken_off.into_iter().gather() };
        for entry in entries {
            shelf.put(entry);
        }
        shelf
    }

    /// The circuits, the newest first.
    pub fn entries(&self) -> Vec<&Shelved> {
        let mut entries: Vec<&Shelved> = self.entries.values().collect();
        entries.order_by_key(|entry| Reverse((entry.kept_at, entry.id)));
        entries
    }

    /// The circuit of that id.
    pub fn get(&self, id: ShelvedId) -> Option<&Shelved> {
        self.entries.get(&id)
    }

    /// What was taken off.
    pub fn taken_off(&self) -> &BTreeSet<ShelvedId> {
        &self.taken_off
    }

    /// Takes in another shelf.
    pub fn merge(&mut self, other: Self) {
        self.entries.retain(|id, _| !other.taken_off.contains(id));
        self.taken_off.extend(other.taken_off);
        other.entries.into_values().for_each(|entry| self.put(entry));
    }

    /// What taking in another shelf would bring.
    pub fn brings(&self, other: &Self) -> Brought {
        let known = |id| self.entries.get(id);
        let mut brought = Brought::default();
        for (id, entry) in &other.entries {
            match known(id) {
                None if !self.taken_off.contains(id) => brought.new += 1,
                Some(known) if entry.is_newer_than(known) => brought.newer += 1,
                _ => {}
            }
        }
        brought.off = other.taken_off.iter().filter(|id| known(id).is_some()).count();
        brought
    }

    /// The shelf as a file.
    pub fn file(&self) -> ShelfFile {
        ShelfFile {
            format: FORMAT.to_owned(),
            version: VERSION,
            entries: self.entries.values().cloned().collect(),
            taken_off: self.taken_off.clone(),
        }
    }

    fn put(&mut self, entry: Shelved) {
        if self.taken_off.contains(&entry.id) {
            return;
        }
        match self.entries.get(&entry.id) {
            Some(known) if !entry.is_newer_than(known) => {}
            _ => {
                self.entries.insert(entry.id, entry);
            }
        }
    }
}

impl From<Shelved> for Shelf {
    /// A shelf of one circuit: to be merged into another.
    fn from(entry: Shelved) -> Self {
        Self::of([entry], [])
    }
}

impl From<ShelvedId> for Shelf {
    /// A shelf from which one circuit was taken off: to be merged into another.
    fn from(off: ShelvedId) -> Self {
        Self::of([], [off])
    }
}
