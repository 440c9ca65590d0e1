//! What must hold before the vehicle goes back, what should be read there, and what does what was read mean?
//!
//! By the circuit and the log, and in one set of words for the report and the phone. What nobody did is not done here,
//! whatever else speaks for it.

use crate::circuit::file::{Load, OptionState};
use crate::circuit::live_work::never_live;
use crate::circuit::said;
use crate::circuit::unplug::Unplugged;
use crate::ids::{EventId, PointId};
use crate::job::act::{Act, ReleaseItem};
use crate::job::amperes::{Lies, amperes_in, judged, predicted};
use crate::job::corner::battery_off;
use crate::job::drive::Drive;
use crate::job::event::Event;
use crate::job::session::Ready;
use crate::job::state::{Checked, Job};
use crate::search::evidence::Observation;

/// Every item, in the order of the work.
pub const ITEMS: [ReleaseItem; 7] = [
    ReleaseItem::RightFuse,
    ReleaseItem::PressedAgain,
    ReleaseItem::DrawMeasured,
    ReleaseItem::AllWorked,
    ReleaseItem::ProtectionBack,
    ReleaseItem::CautionsUndone,
    ReleaseItem::RoadTest,
];

/// What an item asks for, in a few words.
pub fn label(item: ReleaseItem) -> &'static str {
    match item {
        ReleaseItem::RightFuse => "The fuse or breaker of the right rating is fitted",
        ReleaseItem::PressedAgain => "Pressed again at the repaired place, and the fuse held",
        ReleaseItem::DrawMeasured => "The current through the fuse was measured",
        ReleaseItem::AllWorked => "Everything on this fuse was worked once",
        ReleaseItem::ProtectionBack => "Edge protection, clips, grommets and covers are back",
        ReleaseItem::CautionsUndone => "Battery, airbag and other precautions are undone as the maker says",
        ReleaseItem::RoadTest => "Driven on the road",
    }
}

/// An item of the release check as it stands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Item {
    /// Which.
    pub item: ReleaseItem,
    /// What it asks for, in a few words.
    pub label: &'static str,
    /// What to read or to do, and what the circuit gives for it. May be empty.
    pub read: String,
    /// Someone said that it was done.
    pub done: bool,
    /// What was read, as it was written down. May be empty.
    pub value: String,
    /// What that means, and what the log has of it. May be empty.
    pub told: String,
    /// Something in what was read or noted speaks against it, done or not: [`Self::told`] says what.
    pub doubt: bool,
}

/// Where wires of other circuits' restraints share the place.
const BESIDE_RESTRAINT: &str = "Airbag or belt-tensioner wires are there, too: press none of them. Where they are not clearly \
                                apart, leave the press, and drive instead.";

/// Of what was done before the fuse opened again.
const OVERTAKEN: &str = "It was done before the fuse opened again: do it anew.";

/// What is asked for, what that was, and whether that speaks against it.
type Told = (String, String, bool);

/// The release check of a job. `ready` is what follows from its circuit, `events` are those of its log.
pub fn release(job: &Job, ready: Option<&Ready>, events: &mut dyn Iterator<Item = &Event>) -> Vec<Item> {
    let worked = Worked::of(job);
    let pressed = Pressed::all(job, events);
    let one = |item| {
        let Checked { done, value, minutes } = job.checked(item);
        let (read, mut told, mut doubt) = match item {
            ReleaseItem::RightFuse => right_fuse(job, &value),
            ReleaseItem::PressedAgain => pressed_again(&pressed, ready),
            ReleaseItem::DrawMeasured => drawn(ready, &value),
            ReleaseItem::AllWorked => (worked.asked(), worked.told(done), !worked.failed.is_empty()),
            ReleaseItem::ProtectionBack => (protection(job, ready), still_open(job, ready), false),
            ReleaseItem::CautionsUndone => (cautions(job, ready), String::new(), false),
            ReleaseItem::RoadTest => road(job, ready, minutes),
        };
        let done = done || (item == ReleaseItem::AllWorked && worked.all());
        if !done && job.is_overtaken(item) {
            told = [OVERTAKEN, &told].join(" ").trim_end().to_owned();
            doubt = true;
        }
        Item { item, label: label(item), read, done, value, told, doubt }
    };
    ITEMS.into_iter().map(one).collect()
}

fn right_fuse(job: &Job, value: &str) -> Told {
    let Some(fuse) = job.circuit.as_ref().map(|circuit| &circuit.fuse).filter(|fuse| fuse.rating_a > 0.0) else {
        return ("Rating and kind as the maker says.".to_owned(), String::new(), false);
    };
    let rating = fuse.rating_a;
    let read = format!("{rating} A {}", said::style(fuse.style));
    let told = match amperes_in(value) {
        Some(amps) if amps != rating => {
            format!(
                "{amps} A was read, and the circuit has {rating} A: one of the two is wrong. Settle it before it goes back."
            )
        }
        _ => String::new(),
    };
    let doubt = !told.is_empty();
    (read, told, doubt)
}

/// Presses at a place where something was found.
struct Pressed {
    point: PointId,
    /// The most presses after which it opened before, 0: never.
    opened_after: u32,
    /// Presses since the finding was written down, or since it last opened there after that.
    held: u32,
    /// It opened there after the finding was written down.
    again: bool,
}

impl Pressed {
    fn all(job: &Job, events: &mut dyn Iterator<Item = &Event>) -> Vec<Self> {
        let mut since: Vec<(PointId, EventId)> = Vec::new();
        for event in events.filter(|event| event.kind == "finding" && !job.taken_back.contains(&event.id)) {
            if let Ok(Act::Finding(finding)) = event.act() {
                match since.iter_mut().find(|(known, _)| *known == finding.point) {
                    Some((_, first)) => *first = event.id.min(*first),
                    None => since.push((finding.point, event.id)),
                }
            }
        }
        job.findings
            .keys()
            .map(|point| Self::at(job, point, since.iter().find(|(known, _)| known == point).map(|(_, event)| *event)))
            .collect()
    }

    fn at(job: &Job, point: &PointId, since: Option<EventId>) -> Self {
        let mut pressed = Self { point: point.clone(), opened_after: 0, held: 0, again: false };
        for (event, observation) in &job.observations {
            let Observation::Press { point: at, opened, presses, .. } = observation else { continue };
            if at != point {
                continue;
            }
            match (since.is_some_and(|since| *event > since), *opened) {
                (true, false) => pressed.held = pressed.held.saturating_add(*presses),
                (true, true) => (pressed.held, pressed.again) = (0, true),
                (false, true) => pressed.opened_after = pressed.opened_after.max(*presses),
                (false, false) => {}
            }
        }
        pressed
    }

    fn asked(&self, place: &str) -> String {
        match self.opened_after {
            0 => format!("At {place}, as before, with the same things switched on."),
            1 => format!(
                "At {place}: more than the 1 press at which it opened before, with the same things switched on."
            ),
            after => {
                format!(
                    "At {place}: more than the {after} presses after which it opened before, with the same things switched on."
                )
            }
        }
    }

    fn told(&self, place: &str) -> String {
        let presses = |number| format!("{number} {}", if number == 1 { "press" } else { "presses" });
        match (self.again, self.held) {
            (true, 0) => format!("At {place} the fuse opened again after the finding, and the log has no press since."),
            (true, held) => {
                format!("At {place} the fuse opened again after the finding; it held for {} since.", presses(held))
            }
            (false, 0) => format!("The log has no press at {place} after the finding."),
            (false, held) => format!("At {place} it held for {} after the finding.", presses(held)),
        }
    }
}

fn pressed_again(pressed: &[Pressed], ready: Option<&Ready>) -> Told {
    if pressed.is_empty() {
        return ("At the place, once it was found.".to_owned(), String::new(), false);
    }
    let mut read = Vec::new();
    let mut told = Vec::new();
    for pressed in pressed {
        let point = ready.and_then(|ready| ready.point(&pressed.point));
        let place = point.map_or(pressed.point.as_str(), |point| point.title.as_str());
        match ready.zip(point).and_then(|(ready, point)| ready.why_no_press(point)) {
            Some(why) => read.push(format!("Not at {place}. {why}")),
            None => {
                read.push(pressed.asked(place));
                if point.is_some_and(|point| point.restraint) {
                    read.push(BESIDE_RESTRAINT.to_owned());
                }
            }
        }
        told.push(pressed.told(place));
    }
    // Pressed until it held after another repair, it may be right: but someone has to say so.
    let doubt = pressed.iter().any(|pressed| pressed.again && pressed.held <= pressed.opened_after);
    (read.join(" "), told.join(" "), doubt)
}

fn drawn(ready: Option<&Ready>, value: &str) -> Told {
    let Some((harness, band)) = ready.and_then(|ready| Some((&ready.harness, predicted(&ready.harness, "")?))) else {
        return ("An ammeter in place of the fuse, everything on.".to_owned(), String::new(), false);
    };
    let mut read = format!("Computed {}.", band.words());
    let rating = ready.map_or(0.0, |ready| ready.file.fuse.rating_a);
    if band.everything && rating > 0.0 && band.amps.value > rating {
        read += &format!(
            " That is more than the {rating} A it is made for: switch on a part, and write down which, as in 2.3 A with key on."
        );
    }
    read += " It shows whether the loads are right, not that a short that comes and goes is gone.";
    match (value.trim().is_empty(), amperes_in(value)) {
        (true, _) => (read, String::new(), false),
        (false, None) => (read, "No current can be read out of this: write it as 2.3 A.".to_owned(), false),
        (false, Some(amps)) => {
            let band = predicted(harness, value).unwrap_or(band);
            (read, judged(amps, &band), band.lies(amps) != Lies::Within)
        }
    }
}

/// Which of the loads that are there were worked.
struct Worked<'a> {
    there: usize,
    untried: Vec<&'a str>,
    failed: Vec<&'a str>,
}

impl<'a> Worked<'a> {
    fn of(job: &'a Job) -> Self {
        let mut worked = Self { there: 0, untried: Vec::new(), failed: Vec::new() };
        let Some(circuit) = &job.circuit else { return worked };
        let fitted = |load: &&Load| circuit.state_of(load) == OptionState::Fitted;
        for load in circuit.loads.iter().filter(fitted) {
            worked.there += 1;
            let name = if load.label.is_empty() { load.id.as_str() } else { &load.label };
            match job.worked(&load.id) {
                Some(true) => {}
                Some(false) => worked.failed.push(name),
                None => worked.untried.push(name),
            }
        }
        worked
    }

    /// Each by itself, and each did what it should.
    fn all(&self) -> bool {
        self.there > 0 && self.untried.is_empty() && self.failed.is_empty()
    }

    fn asked(&self) -> String {
        match self.there {
            0 => "Each load on the fuse, one after another.".to_owned(),
            1 => "The 1 load on the fuse.".to_owned(),
            there => format!("Each of the {there} loads on the fuse, one after another."),
        }
    }

    fn told(&self, as_a_whole: bool) -> String {
        let Self { there, untried, failed } = self;
        let tried = there - untried.len();
        if *there == 0 || (tried == 0 && !as_a_whole) {
            return String::new();
        }
        if tried == 0 {
            return "Noted as a whole, not load by load.".to_owned();
        }
        let mut told = format!("{tried} of {there} worked");
        if !untried.is_empty() {
            told += &format!("; not noted: {}", untried.join(", "));
        }
        told.push('.');
        if !failed.is_empty() {
            told += &format!(" Does not do what it should: {}.", failed.join(", "));
        }
        told
    }
}

fn protection(job: &Job, ready: Option<&Ready>) -> String {
    let mut asked = Vec::new();
    for point in job.findings.keys().filter_map(|id| ready?.point(id)) {
        if let Some(by) = &point.protected_by {
            asked.push(format!("{}: {}", point.title, by.trim_end_matches('.')));
        }
    }
    if asked.is_empty() {
        "What kept the loom from rubbing, at the place and wherever something was opened.".to_owned()
    } else {
        format!("{}. And wherever something was opened.", asked.join(". "))
    }
}

fn still_open(job: &Job, ready: Option<&Ready>) -> String {
    let name = |id| match ready.and_then(|ready| ready.map.map.access(id)) {
        Some(step) => step.label.clone(),
        None => id.to_string(),
    };
    let open: Vec<String> = job.open.iter().map(name).collect();
    if open.is_empty() { String::new() } else { format!("By the log not closed again: {}.", open.join("; ")) }
}

fn cautions(job: &Job, ready: Option<&Ready>) -> String {
    let restraint = ready.is_some_and(|ready| {
        let repaired = job.repairs.iter().filter_map(|repair| repair.point.as_ref());
        let mut places = job.points.keys().chain(job.findings.keys()).chain(repaired);
        let map = &ready.map.map;
        never_live(&ready.file, &ready.harness).forbids_ohmmeter()
            || places.any(|id| ready.point(id).is_some_and(|point| point.restraint))
            || job.opened.iter().any(|id| map.access(id).is_some_and(|step| step.restraint))
            || unplugged(job).iter().any(|what| battery_off(&ready.harness, map, what))
    });
    let mut asked = "What was disconnected is connected again as the maker says.".to_owned();
    if restraint {
        asked += " Airbag or belt-tensioner wires are where the work was: their warning lamp comes on with the key and \
                  goes out as the maker says.";
    }
    asked
}

/// All that was unplugged at some time.
fn unplugged(job: &Job) -> Vec<Unplugged> {
    let one = |observation: &Observation| match observation {
        Observation::Unplugged { node: Some(node), .. } => vec![Unplugged::Node(node.clone())],
        Observation::Unplugged { load: Some(load), .. } => vec![Unplugged::Load(load.clone())],
        Observation::Meter { unplugged, .. } => unplugged.clone(),
        _ => Vec::new(),
    };
    job.observations.iter().flat_map(|(_, observation)| one(observation)).collect()
}

fn road(job: &Job, ready: Option<&Ready>, minutes: Option<f64>) -> Told {
    let drive = ready.and_then(|ready| Drive::of(job, &ready.plan));
    let told = match (drive, minutes) {
        (Some(drive), Some(minutes)) => drive.worth(minutes),
        (None, Some(minutes)) => format!("It held for {minutes} min."),
        (_, None) => String::new(),
    };
    (drive.map(|drive| drive.asked()).unwrap_or_default(), told, false)
}
