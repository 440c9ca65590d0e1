//! What was observed, put in one order? So that it says the same whatever order it came in.
//!
//! Two phones may bring the same observations in different orders: here they are counted up by what
//! they say, and only sums and sets are left.

use std::collections::{BTreeMap, BTreeSet, HashMap};

use crate::circuit::meter::Shown;
use crate::circuit::unplug::Unplugged;
use crate::gather::Order as _;
use crate::ids::{Condition, PointId};
use crate::search::electrics::{Electrics, Plug, Showed};
use crate::search::evidence::{Heat, Motion, Observation, Seen};
use crate::units::Ohms;

/// The conditions that hold, as far as they matter to the circuit.
pub type State = BTreeSet<Condition>;

/// What the vehicle was doing.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Situation {
    /// What held.
    pub state: State,
    /// How it moved.
    pub motion: Motion,
    /// How warm it was.
    pub heat: Heat,
}

/// Looks at one point. The same way of looking misses the same things: a repeated look counts once.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Looks {
    /// It looked sound.
    pub sound: bool,
    /// The worst damage seen.
    pub damage: Option<Seen>,
}

/// Presses at one point.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Presses {
    /// The number of presses of each try at which the fuse opened, and what held then.
    pub opened: Vec<(u32, State)>,
    /// Presses at which it held, by what held meanwhile, in order.
    pub held: Vec<(State, u32)>,
}

/// All observations, counted up.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Sorted {
    /// How often the fuse opened in each situation.
    pub blows: BTreeMap<Situation, u32>,
    /// How many minutes it survived in each, in order.
    pub held: Vec<(Situation, f64)>,
    /// What was unplugged while it opened all the same.
    pub blew_without: BTreeSet<Plug>,
    /// What was unplugged while it survived, in which state, for how many minutes; in order.
    pub held_without: Vec<((Plug, State), f64)>,
    /// Looks, by place of the point in the list.
    pub looks: BTreeMap<usize, Looks>,
    /// Presses, by place of the point in the list.
    pub presses: BTreeMap<usize, Presses>,
    /// What an ohmmeter told, by what was unplugged and what held.
    pub meter: Vec<(Vec<Unplugged>, State, Showed)>,
    /// What could not be used, in words.
    pub notes: Vec<String>,
}

/// No stretch of time longer than this is believed, in minutes: about two years.
const LONGEST_MINUTES: f64 = 1e6;

/// Counts up observations. Points are found by `places`.
pub fn sort(evidence: &[Observation], electrics: &Electrics, places: &HashMap<PointId, usize>) -> Sorted {
    let mut sorter = Sorter { electrics, sorted: Sorted::default(), notes: BTreeSet::new() };
    let (mut held, mut held_without) = (Vec::new(), Vec::new());
    for item in evidence {
        match item {
            Observation::Blow { state, motion, heat } => {
                let situation = Situation { state: sorter.state(state), motion: *motion, heat: *heat };
                *sorter.sorted.blows.entry(situation).or_default() += 1;
            }
            Observation::Held { state, motion, heat, minutes } => {
                let situation = Situation { state: sorter.state(state), motion: *motion, heat: *heat };
                held.push((situation, *minutes));
            }
            Observation::Unplugged { node, load, blew, state, minutes } => {
                let plug = node.as_ref().and_then(|node| electrics.plug_at_node(node));
                match plug.or_else(|| electrics.plug_of_load(load.as_ref()?)) {
                    Some(plug) if *blew => {
                        sorter.sorted.blew_without.insert(plug);
                    }
                    Some(plug) => {
                        let state = sorter.state(state);
                        held_without.push(((plug, state), *minutes));
                    }
                    None => sorter.unknown("something that was unplugged"),
                }
            }
            Observation::Look { point, seen } => match places.get(point) {
                Some(place) => sorter.look(*place, *seen),
                None => sorter.unknown(&format!("a look at {point}")),
            },
            Observation::Press { point, opened, presses, state } => match places.get(point) {
                Some(place) => sorter.press(*place, *opened, *presses, state),
                None => sorter.unknown(&format!("a press at {point}")),
            },
            Observation::Meter { ohms, unplugged, state } => sorter.meter(*ohms, unplugged, state),
        }
    }
    let Sorter { mut sorted, notes, .. } = sorter;
    sorted.held = sums(held);
    sorted.held_without = sums(held_without);
    for presses in sorted.presses.values_mut() {
        presses.held.order_by(Ord::cmp);
    }
    sorted.meter.order_by(|one, other| (&one.0, &one.1).cmp(&(&other.0, &other.1)));
    sorted.notes = notes.into_iter().collect();
    sorted
}

/// Adds up the minutes of each, from the smallest, so that their order does not matter to the last digit.
fn sums<K: Ord>(mut minutes: Vec<(K, f64)>) -> Vec<(K, f64)> {
    minutes.order_by(|(one, short), (other, long)| one.cmp(other).then(short.total_cmp(long)));
    let mut sums: Vec<(K, f64)> = Vec::new();
    for (what, minutes) in minutes {
        // What is no time at all counts as none.
        let minutes = minutes.max(0.0);
        match sums.last_mut() {
            Some((known, sum)) if *known == what => *sum = (*sum + minutes).min(LONGEST_MINUTES),
            _ => sums.push((what, minutes.min(LONGEST_MINUTES))),
        }
    }
    sums
}

struct Sorter<'a> {
    electrics: &'a Electrics,
    sorted: Sorted,
    notes: BTreeSet<String>,
}

impl Sorter<'_> {
    /// The state as far as it matters. Where nothing at all was noted but nothing would be live either, what held
    /// was evidently not noted: everything is taken to be on.
    fn state(&mut self, noted: &[Condition]) -> State {
        let state = self.electrics.relevant(noted);
        if noted.is_empty() && !self.electrics.in_state(&state).any_live() {
            self.notes.insert(
                "An observation does not say what was switched on, and with everything off this circuit is dead: \
                 everything is taken to have been on. Note what was on to make the search sharper."
                    .to_owned(),
            );
            return self.electrics.everything_on();
        }
        state
    }

    fn unknown(&mut self, what: &str) {
        self.notes.insert(format!(
            "This circuit has no place for {what}: it is kept, but does not count. Was it noted before the circuit \
             was changed?"
        ));
    }

    fn look(&mut self, place: usize, seen: Seen) {
        if seen == Seen::NotSeen {
            return;
        }
        let looks = self.sorted.looks.entry(place).or_default();
        match seen {
            Seen::Sound => looks.sound = true,
            damage => looks.damage = looks.damage.max(Some(damage)),
        }
    }

    fn meter(&mut self, ohms: Option<f64>, unplugged: &[Unplugged], state: &[Condition]) {
        let state = self.electrics.relevant(state);
        let mut unplugged = unplugged.to_vec();
        unplugged.order_by(Ord::cmp);
        unplugged.dedup();
        let shown = ohms.map_or(Shown::Open, |ohms| Shown::Ohms(Ohms(ohms)));
        if let Some(showed) = self.electrics.shows(shown, &unplugged, &state) {
            // A touch that comes and goes was there once: that says more than that it was away another time.
            let same = |(out, on, _): &&mut (Vec<Unplugged>, State, Showed)| *out == unplugged && *on == state;
            match self.sorted.meter.iter_mut().find(same) {
                Some((.., known)) => *known = (*known).max(showed),
                None => self.sorted.meter.push((unplugged, state, showed)),
            }
        }
    }

    fn press(&mut self, place: usize, opened: bool, presses: u32, state: &[Condition]) {
        // That it opened while something was on that nobody noted is no reason to think that the wire was dead.
        let state = if opened && state.is_empty() { self.electrics.everything_on() } else { self.state(state) };
        let here = self.sorted.presses.entry(place).or_default();
        if opened {
            here.opened.push((presses, state));
        } else {
            match here.held.iter_mut().find(|(known, _)| *known == state) {
                Some((_, held)) => *held = held.saturating_add(presses),
                None => here.held.push((state, presses)),
            }
        }
    }
}
