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
    /// What is known already, as text; empty where that is nothing.
    pub known: String,
}

/// What is known then, as text. None: the job teaches nothing, or what is known cannot be read, and must not be lost.
pub fn learned(closed: &Closed) -> Option<String> {
    let map = fit(&closed.circuit.vehicle);
    let search = Search::of_circuit(&closed.circuit, &expand(&closed.circuit, &map), &map.map);
    let lesson = search.lesson(closed.job, &closed.evidence, &closed.found)?;
    let mut known = match closed.known.as_str() {
        "" => LearnedFile::default(),
        known => LearnedFile::read(known)?,
    };
    known.put(lesson);
    serde_json::to_string(&known).ok()
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    fn closed(known: &str) -> Closed {
        let circuit: CircuitFile = serde_json::from_str(include_str!("../../assets/demo/van.circuit.json")).unwrap();
        let map = fit(&circuit.vehicle);
        let search = Search::of_circuit(&circuit, &expand(&circuit, &map), &map.map);
        Closed {
            job: "01900000-0000-7000-8000-000000000001".parse().unwrap(),
            found: vec![search.points()[3].id.clone()],
            circuit,
            evidence: Vec::new(),
            known: known.to_owned(),
        }
    }

    #[test]
    fn what_a_newer_version_wrote_is_not_overwritten() {
        let first = learned(&closed("")).unwrap();
        assert_eq!(LearnedFile::read(&first).unwrap().lessons.len(), 1);
        assert_eq!(learned(&closed(&first)).unwrap(), first, "a job teaches once");
        let newer = first.replace("\"version\":1", "\"version\":2");
        assert_ne!(newer, first);
        for unreadable in [newer.as_str(), "{", "[]"] {
            assert_eq!(learned(&closed(unreadable)), None);
        }
    }

    #[test]
    fn a_job_without_a_finding_teaches_nothing() {
        assert_eq!(learned(&Closed { found: Vec::new(), ..closed("") }), None);
    }
}
