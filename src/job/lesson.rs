//! What does a job teach, once it is closed?

use crate::circuit::check;
use crate::circuit::expand::expand;
use crate::gather::Gather as _;
use crate::job::state::Job;
use crate::search::lessons::Lesson;
use crate::search::plan::Search;
use crate::vehicle::body::fit;

/// What it teaches, or why nothing.
///
/// # Errors
/// In words, for whoever asked.
pub fn lesson(job: &Job) -> Result<Lesson, &'static str> {
    if job.practice {
        return Err("it is a practice job");
    }
    let circuit = job.circuit.as_ref().ok_or("it has no circuit")?;
    check::validate(circuit).map_err(|_| "its circuit is not sound")?;
    let map = fit(&circuit.vehicle);
    let search = Search::of_circuit(circuit, &expand(circuit, &map), &map.map);
    let found: Vec<_> = job.findings.keys().cloned().gather();
    search.lesson(job.id, &job.evidence_for(&search), &found).ok_or("no place was found in it")
}
