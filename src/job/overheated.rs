//! May the short have made the wires at a place too hot from end to end? Then it is not enough to mend where they rubbed.

use crate::circuit::electrical::values;
use crate::circuit::fault::default_fault_ohms;
use crate::circuit::heat::{RunHeat, Strain, heating};
use crate::circuit::isolate::Suspect;
use crate::circuit::said;
use crate::gather::Order as _;
use crate::ids::{Condition, RunId};
use crate::job::corner::suspect_label;
use crate::job::session::Ready;
use crate::job::state::Job;
use crate::search::evidence::Observation;
use crate::search::point::Point;

/// What is to be examined, in words, in the states in which it opened. `None`: no wire there may have become too hot before it
/// opened, or nothing of it can be computed. Of a wire whose size nobody stated nothing is said.
pub fn overheated(job: &Job, ready: &Ready, point: &Point) -> Option<String> {
    let mut hot: Vec<RunId> = Vec::new();
    for state in states(job) {
        let fuse = &ready.file.fuse;
        let heats = heating(&ready.harness, fuse.rating_a, fuse.style, &state, default_fault_ohms()).ok()?;
        let too_hot =
            |heat: &RunHeat| !heat.area_assumed && matches!(heat.strain, Some(Strain::BeforeOpening | Strain::Lasting));
        hot.extend(heats.into_iter().filter(|heat| too_hot(heat) && point.runs.contains(&heat.id)).map(|heat| heat.id));
    }
    hot.order_by(Ord::cmp);
    hot.dedup();
    let wires: Vec<String> = hot.into_iter().map(|run| suspect_label(&ready.harness, &Suspect::Run(run))).collect();
    let style = ready.file.fuse.style;
    let opened = if style.resets() { "tripped for the first time" } else { "opened" };
    (!wires.is_empty()).then(|| {
        format!(
            "A hard short may have heated {} beyond {:.0} °C before the {} must have {opened}: examine from end to end, not \
             only where it rubbed.",
            wires.join(", "),
            values().wire_heating.limit_c.value,
            said::noun(style),
        )
    })
}

/// Each state in which it opened, once; where none was noted, the usual one.
fn states(job: &Job) -> Vec<Vec<Condition>> {
    let of = |observation: &Observation| match observation {
        Observation::Blow { state, .. } => Some(state.clone()),
        Observation::Press { state, opened: true, .. } => Some(state.clone()),
        _ => None,
    };
    let mut states: Vec<Vec<Condition>> =
        job.observations.iter().filter_map(|(_, observation)| of(observation)).collect();
    if states.is_empty() {
        states.push(job.last_blow());
    }
    states.order_by(Ord::cmp);
    states.dedup();
    states
}
