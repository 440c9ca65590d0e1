//! What was taken back at a place, and can be brought back with one tap?
//!
//! A harness lies as it lay only once: a photograph of that, taken back by mistake, cannot be taken again. A taking back
//! counts for good, on every phone ([`fold`](crate::job::fold)); what is brought back is said anew.

use crate::ids::{EventId, PointId};
use crate::job::act::{Act, Photo};
use crate::job::log::Log;
use crate::job::state::Job;

/// What can be brought back.
#[derive(Debug, Clone, PartialEq)]
pub enum TakenBack {
    /// A photograph or a recording.
    Photo(Photo),
    /// A note, at its point.
    Note(PointId, String),
}

impl TakenBack {
    /// Saying it anew.
    pub fn anew(self) -> Act {
        match self {
            Self::Photo(photo) => Act::Photo(photo),
            Self::Note(point, text) => Act::Note { point: Some(point), text },
        }
    }

    /// Whether the same counts by now.
    pub fn counts(&self, job: &Job) -> bool {
        match self {
            Self::Photo(photo) => job.photos.iter().any(|(_, kept)| kept == photo),
            Self::Note(point, text) => {
                let state = job.points.get(point);
                state.is_some_and(|state| state.notes.iter().any(|(_, kept)| kept == text))
            }
        }
    }
}

/// Photographs, recordings and notes that were taken back at a point and were not brought back since, in order.
pub fn taken_back_at(job: &Job, log: &Log, point: &PointId) -> Vec<(EventId, TakenBack)> {
    let mut found: Vec<(EventId, TakenBack)> = Vec::new();
    // Other acts are not read: a whole circuit takes long.
    let kept = job.taken_back.iter().filter_map(|id| log.get(*id));
    for event in kept.filter(|event| matches!(event.kind.as_str(), "photo" | "note")) {
        let taken_back = match event.act() {
            Ok(act) if act.point() != Some(point) => continue,
            Ok(Act::Photo(photo)) => TakenBack::Photo(photo),
            Ok(Act::Note { text, .. }) => TakenBack::Note(point.clone(), text),
            Ok(_) | Err(_) => continue,
        };
        if !taken_back.counts(job) {
            let known = found.iter().position(|(_, known)| *known == taken_back);
            // Of the same one the newest on which something was drawn, or wiped off again; else any.
            match known.and_then(|at| found.get_mut(at)) {
                Some((known, _)) if job.drawings.contains_key(&event.id) => *known = event.id,
                Some(_) => {}
                None => found.push((event.id, taken_back)),
            }
        }
    }
    found
}
