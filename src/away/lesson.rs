//! What does a closed job teach? Put beside what is known already.

use serde::{Deserialize, Serialize};

use crate::circuit::expand::expand;
use crate::circuit::file::CircuitFile;
use crate::ids::{JobId, PointId};
use crate::search::evidence::Observation;
use crate::search::lessons::LearnedFile;
use crate::search::plan::Search;
use crate::vehicle::body::fit;

/// A closed job.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct Closed {
    /// Which.
    pub job: JobId,
    /// Its circuit, found sound.
    pub circuit: CircuitFile,
    /// What was observed.
    pub evidence: Vec<Observation>,
    /// Where its faults were found.
    pub found: Vec<PointId>,
    /// What is known already, as text. What cannot be read counts as nothing.
    pub known: String,
}

/// What is known then, as text, if the job teaches anything.
pub fn learned(closed: &Closed) -> Option<String> {
    let map = fit(&closed.circuit.vehicle);
    let search = Search::of_circuit(&closed.circuit, &expand(&closed.circuit, &map), &map.map);
    let lesson = search.lesson(closed.job, &closed.evidence, &closed.found)?;
    let mut known: LearnedFile = serde_json::from_str(&closed.known).unwrap_or_default();
    known.put(lesson);
    serde_json::to_string(&known).ok()
}
