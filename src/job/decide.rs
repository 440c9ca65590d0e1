//! Does an act make sense now? If not, why, in words for the one who is about to do it.
//!
//! A pure decision before an event is made. A log that was merged from two phones may hold acts that neither
//! would have allowed: the fold takes what it finds.

use crate::circuit::check;
use crate::circuit::file::CircuitFile;
use crate::ids::{EventId, LoadId, MarkId, PointId, RunId};
use crate::job::act::{Act, FreshFuse, Material};
use crate::job::drawing::{self, Stroke};
use crate::job::edit::has_run;
use crate::job::state::Job;

/// Why an act is not done.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum Refusal {
    /// The harness would be moved before it was photographed.
    #[error(
        "Take a photo of the harness as it lies, before you lift it. Once moved, the chance to show it is gone. If no photo is possible, say why."
    )]
    LiftBeforeLiePhoto,
    /// A reason is wanted and there is none.
    #[error("Say why there will be no photo of the harness as it lies: the report shows the reason.")]
    NoReason,
    /// Not a point.
    #[error("{0} is not the name of a point. Choose a place on the walk.")]
    NotAPoint(PointId),
    /// Nothing of that id.
    #[error("There is no load {0} on the list. It may have been taken off on another phone.")]
    NoSuchLoad(LoadId),
    /// Nothing of that id.
    #[error("There is no mark {0}. It may have been taken off on another phone.")]
    NoSuchMark(MarkId),
    /// Nothing of that id.
    #[error("There is no wire {0} in the circuit to set a mark on. Enter the wire first.")]
    NoSuchRun(RunId),
    /// Nothing of that id.
    #[error("There is nothing to take back: event {0} is not in this job.")]
    NoSuchEvent(EventId),
    /// It no longer counts.
    #[error("That was taken back already.")]
    AlreadyTakenBack,
    /// A duration that says nothing.
    #[error("Say for how many minutes: a number above 0.")]
    NoMinutes,
    /// A quantity that says nothing.
    #[error("Say how much of \"{0}\": a number above 0, at most {MOST_OF_A_MATERIAL}.")]
    Quantity(String),
    /// A press without presses.
    #[error("Count at least one press.")]
    NoPresses,
    /// A resistance that cannot be.
    #[error("Write what the meter showed in ohms: 0 or more.")]
    NoOhms,
    /// Neither or both of node and load.
    #[error("Say what was unplugged: one load, or one connector.")]
    UnpluggedWhat,
    /// A test with a fresh fuse, where a fresh fuse opens at once.
    #[error(
        "By the concern a fresh fuse opens, or the breaker trips, at once: it cannot hold for minutes. Correct the concern if it holds by now."
    )]
    OpensAtOnce,
    /// Lengths of touches that cannot be.
    #[error("Say how long a touch lasts, the shortest and the longest: numbers above 0, the longest at most 600 s.")]
    TouchLengths,
    /// Nothing to draw on.
    #[error("There is no such photograph to draw on: it may have been taken back on another phone.")]
    NoSuchPhoto,
    /// A drawing that cannot be.
    #[error("Give the known length in millimetres: above 0, at most {}.", drawing::MOST_MM)]
    Drawing,
    /// A step of a drive that is not on.
    #[error("No test drive is on: begin it first.")]
    NoRoad,
    /// Empty words.
    #[error("Write something first: an empty {0} would say nothing in the report.")]
    NoWords(&'static str),
}

/// More of one material than any repair of a harness takes, whatever its unit.
pub const MOST_OF_A_MATERIAL: f64 = 10_000.0;

/// Whether an act makes sense on this job now.
///
/// # Errors
/// The first reason against it.
pub fn may(job: &Job, act: &Act) -> Result<(), Refusal> {
    if let Some(point) = act.point().filter(|point| !point.as_str().starts_with("point:")) {
        return Err(Refusal::NotAPoint(point.clone()));
    }
    match act {
        Act::Lift { point } if !job.points.get(point).is_some_and(|known| known.may_lift()) => {
            Err(Refusal::LiftBeforeLiePhoto)
        }
        Act::LieWaived { why, .. } if why.trim().is_empty() => Err(Refusal::NoReason),
        Act::LoadRemoved { load } | Act::Worked { load, .. }
            if !has(job, |circuit| circuit.loads.iter().any(|known| known.id == *load)) =>
        {
            Err(Refusal::NoSuchLoad(load.clone()))
        }
        Act::Mark(mark) => match mark.run().filter(|run| !has(job, |circuit| has_run(circuit, run))) {
            Some(run) => Err(Refusal::NoSuchRun(run.clone())),
            None => Ok(()),
        },
        Act::MarkRemoved { mark } if !job.marks().any(|known| known.id == *mark) => {
            Err(Refusal::NoSuchMark(mark.clone()))
        }
        Act::TakenBack { event } if job.taken_back.contains(event) => Err(Refusal::AlreadyTakenBack),
        Act::TakenBack { event } if job.events.binary_search(event).is_err() => Err(Refusal::NoSuchEvent(*event)),
        Act::Held { minutes, .. } if !(minutes.is_finite() && *minutes > 0.0) => Err(Refusal::NoMinutes),
        Act::Held { .. } if job.concern.fresh_fuse == FreshFuse::OpensAtOnce => Err(Refusal::OpensAtOnce),
        Act::Unplugged { node, load, .. } if node.is_some() == load.is_some() => Err(Refusal::UnpluggedWhat),
        // It may open at once; that it held for no time says nothing.
        Act::Unplugged { minutes, blew, .. }
            if !(minutes.is_finite() && (*minutes > 0.0 || *blew && *minutes == 0.0)) =>
        {
            Err(Refusal::NoMinutes)
        }
        Act::Touch { touch: Some(touch) } if check::touch(*touch).is_err() => Err(Refusal::TouchLengths),
        Act::Press { presses: 0, .. } => Err(Refusal::NoPresses),
        Act::Meter { ohms: Some(ohms), .. } if !(ohms.is_finite() && *ohms >= 0.0) => Err(Refusal::NoOhms),
        Act::Drawn { photo, .. } if !job.photos.iter().any(|(event, kept)| event == photo && !kept.is_recording()) => {
            Err(Refusal::NoSuchPhoto)
        }
        Act::Drawn { strokes, .. } if !strokes.iter().all(Stroke::is_sound) => Err(Refusal::Drawing),
        Act::RoadMark { .. } | Act::RoadEnded {} if job.road.is_none() => Err(Refusal::NoRoad),
        Act::Note { text, .. } if text.trim().is_empty() => Err(Refusal::NoWords("note")),
        Act::Tried { what, .. } if what.trim().is_empty() => Err(Refusal::NoWords("name")),
        Act::Repair { what, .. } if what.trim().is_empty() => Err(Refusal::NoWords("repair")),
        // 0: work at no charge, or a drive of which nobody says how long it was.
        Act::Repair { minutes: Some(minutes), .. } | Act::Release { minutes: Some(minutes), .. }
            if !(minutes.is_finite() && *minutes >= 0.0) =>
        {
            Err(Refusal::NoMinutes)
        }
        Act::Repair { materials, .. } => materials.iter().try_for_each(sound),
        _ => Ok(()),
    }
}

/// Whether there is some of a material, and not too much.
fn sound(material: &Material) -> Result<(), Refusal> {
    if material.name.trim().is_empty() {
        return Err(Refusal::NoWords("material"));
    }
    if material.quantity > 0.0 && material.quantity <= MOST_OF_A_MATERIAL {
        Ok(())
    } else {
        Err(Refusal::Quantity(material.name.clone()))
    }
}

fn has(job: &Job, holds: impl Fn(&CircuitFile) -> bool) -> bool {
    job.circuit.as_ref().is_some_and(holds)
}
