//! Which wires are live in a state, how surely does a touch on them open the fuse, and what is behind a plug?
//!
//! Live here means: tied to the load side of the fuse through wires and closed switches, with no load in
//! between. Behind a load the load itself limits the current: a short there makes it run and opens nothing.

use std::collections::{BTreeMap, BTreeSet, HashMap};
use std::sync::{Arc, Mutex, PoisonError};

use crate::circuit::fault::{EndEffect, effects};
use crate::circuit::file::Fuse;
use crate::circuit::fuse::{Curve, TouchModel};
use crate::circuit::harness::{Harness, HarnessSwitch, NodeIx};
use crate::circuit::live::live_runs;
use crate::circuit::meter::{MeterOhms, Shown, connected, is_a_short};
use crate::circuit::unplug::{Unplugged, without};
use crate::gather::Gather as _;
use crate::ids::{Condition, LoadId, NodeId};
use crate::search::likelihood::tables;

/// Something that was unplugged.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Plug {
    /// The nodes at which the wires are now apart.
    pub cut: BTreeSet<NodeIx>,
    /// In words.
    pub label: String,
}

fn or_id(label: &str, id: &dyn std::fmt::Display) -> String {
    if label.is_empty() { id.to_string() } else { label.to_owned() }
}

/// What an ohmmeter at the open fuse tells.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Showed {
    /// All that leads to ground is what should.
    AsExpected,
    /// Something leads to ground beyond that.
    Less,
}

/// What a short to ground does along one run, in one state.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct RunFacts {
    /// It carries the fuse's voltage.
    pub live: bool,
    /// Chance that a touch at its `from` end opens the fuse, 0..1.
    pub near: f64,
    /// Chance that a touch at its `to` end does.
    pub far: f64,
}

impl RunFacts {
    /// Chance that a touch opens the fuse, at a fraction 0..1 of the run from its `from` end. Between the ends
    /// the current falls steadily in a radial circuit, and the chance is taken to do so as well.
    pub fn opens(self, at: f64) -> f64 {
        if self.live { self.near + (self.far - self.near) * at } else { 0.0 }
    }
}

/// What is true of all runs in one state.
#[derive(Debug, Clone, PartialEq)]
pub struct StateFacts {
    /// By place in [`Harness::runs`].
    pub runs: Vec<RunFacts>,
    /// Why the currents could not be computed, in words.
    pub trouble: Option<String>,
}

impl StateFacts {
    /// Whether anything carries the fuse's voltage.
    pub fn any_live(&self) -> bool {
        self.runs.iter().any(|run| run.live)
    }
}

/// A circuit that answers for any state, and remembers what it has answered.
///
/// Clones share the memory: it only holds what follows from the harness, the fuse and the touches.
#[derive(Debug, Clone)]
pub struct Electrics {
    harness: Arc<Harness>,
    fuse: Fuse,
    touches: TouchModel,
    nodes: HashMap<NodeId, NodeIx>,
    /// Loads by id, with what people call them.
    loads: HashMap<LoadId, String>,
    /// Conditions on which anything here depends: all others change nothing.
    named: BTreeSet<Condition>,
    known: Arc<Mutex<BTreeMap<BTreeSet<Condition>, Arc<StateFacts>>>>,
    readings: Arc<Mutex<Vec<Expected>>>,
}

/// What an ohmmeter should show at the open fuse.
#[derive(Debug)]
struct Expected {
    /// What is unplugged.
    unplugged: Vec<Unplugged>,
    state: BTreeSet<Condition>,
    /// Nothing: it cannot be computed. Within: an open circuit.
    shows: Option<Option<MeterOhms>>,
}

impl Electrics {
    /// For a harness and its fuse, and wires that rub on it with such touches.
    pub fn new(harness: &Harness, fuse: &Fuse, touches: TouchModel) -> Self {
        let unplaced = harness.unplaced.iter().map(|id| (id.clone(), String::new()));
        let loads = harness.loads.iter().map(|load| (load.id.clone(), load.label.clone()));
        Self {
            nodes: harness.nodes.iter().enumerate().map(|(place, node)| (node.id.clone(), NodeIx(place))).collect(),
            loads: unplaced.chain(loads).collect(),
            harness: Arc::new(harness.clone()),
            fuse: fuse.clone(),
            touches,
            named: harness.conditions(),
            known: Arc::default(),
            readings: Arc::default(),
        }
    }

    /// The circuit that it answers for.
    pub fn harness(&self) -> &Harness {
        &self.harness
    }

    /// The plug at a node. `None`: this circuit has no such node.
    pub fn plug_at_node(&self, id: &NodeId) -> Option<Plug> {
        let node = *self.nodes.get(id)?;
        Some(Plug { cut: BTreeSet::from([node]), label: or_id(&self.harness.nodes[node.0].label, id) })
    }

    /// The plug of a load: whatever is wired on from the load's own terminals hangs behind it; a splice that feeds
    /// the load does not. `None`: this circuit has no such load.
    pub fn plug_of_load(&self, id: &LoadId) -> Option<Plug> {
        let terminals = ["feed", "return"].map(|end| NodeId(format!("{id}.{end}")));
        let cut: BTreeSet<NodeIx> = terminals.iter().filter_map(|terminal| self.nodes.get(terminal)).copied().gather();
        let label = self.loads.get(id);
        if cut.is_empty() && label.is_none() {
            return None;
        }
        Some(Plug { cut, label: or_id(label.map_or("", String::as_str), id) })
    }

    /// The state in which every condition that matters here holds.
    pub fn everything_on(&self) -> BTreeSet<Condition> {
        self.named.clone()
    }

    /// The part of a state that matters here.
    pub fn relevant(&self, state: &[Condition]) -> BTreeSet<Condition> {
        state.iter().filter(|condition| self.named.contains(*condition)).cloned().gather()
    }

    /// What holds in a state, as [`Self::relevant`] gives it.
    pub fn in_state(&self, state: &BTreeSet<Condition>) -> Arc<StateFacts> {
        let mut known = self.known.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(facts) = known.get(state) {
            return Arc::clone(facts);
        }
        let facts = Arc::new(self.solve(state));
        known.insert(state.clone(), Arc::clone(&facts));
        facts
    }

    /// Which runs are tied to the load side of the fuse in a state, with those things apart: what an ohmmeter there can
    /// tell of. Whether the fuse is fed does not matter to it. Things that this circuit does not have are passed over.
    pub fn tied_without(&self, unplugged: &[Unplugged], state: &BTreeSet<Condition>) -> Vec<bool> {
        let plug = |what: &Unplugged| match what {
            Unplugged::Node(id) => self.plug_at_node(id),
            Unplugged::Load(id) => self.plug_of_load(id),
        };
        let cut: BTreeSet<NodeIx> = unplugged.iter().filter_map(plug).flat_map(|plug| plug.cut).gather();
        let closed = |switch: &HarnessSwitch| switch.closed_when.iter().all(|condition| state.contains(condition));
        live_runs(&self.harness, closed, &cut)
    }

    /// What it tells that an ohmmeter shows that at the open fuse. Nothing: neither that something leads to ground nor
    /// that nothing does, as beside cold lamps, with fingers on the probes, or where it shows too much.
    pub fn shows(&self, shown: Shown, unplugged: &[Unplugged], state: &BTreeSet<Condition>) -> Option<Showed> {
        let expected = self.expected(unplugged, state)?;
        let short = is_a_short(expected, shown).ok()??;
        Some(if short { Showed::Less } else { Showed::AsExpected })
    }

    /// What an ohmmeter should show there. Nothing: it cannot be computed.
    fn expected(&self, unplugged: &[Unplugged], state: &BTreeSet<Condition>) -> Option<Option<MeterOhms>> {
        // A job has few readings, and asks for each of them at every plan.
        let mut known = self.readings.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(known) = known.iter().find(|known| known.unplugged == unplugged && known.state == *state) {
            return known.shows;
        }
        let left = unplugged.iter().fold((*self.harness).clone(), |left, what| without(&left, what).unwrap_or(left));
        let conditions: Vec<Condition> = state.iter().cloned().collect();
        let shows = connected(&left, &conditions).ok();
        known.push(Expected { unplugged: unplugged.to_vec(), state: state.clone(), shows });
        shows
    }

    /// Which runs stay live, whatever the switches, with a plug apart.
    pub fn live_without(&self, plug: &Plug) -> Vec<bool> {
        live_runs(&self.harness, |_| true, &plug.cut)
    }

    fn solve(&self, state: &BTreeSet<Condition>) -> StateFacts {
        let holds = |conditions: &[Condition]| conditions.iter().all(|condition| state.contains(condition));
        if !holds(&self.harness.source.live_when) {
            return StateFacts { runs: vec![RunFacts::default(); self.harness.runs.len()], trouble: None };
        }
        let live = live_runs(&self.harness, |switch| holds(&switch.closed_when), &BTreeSet::new());
        let touch = &tables().touch;
        let conditions: Vec<Condition> = state.iter().cloned().collect();
        match effects(&self.harness, &self.fuse, &self.touches, &conditions) {
            Ok(effects) => {
                let curve = Curve::of(self.fuse.style, self.fuse.rating_a);
                // The spread of touches is assumed: only a current that the fuse carries for good rules out.
                let opens = |end: EndEffect| {
                    if curve.holds(end.ratio) { 0.0 } else { end.touch_opens.max(touch.least) }
                };
                let runs = live.into_iter().zip(effects);
                let runs =
                    runs.map(|(live, effect)| RunFacts { live, near: opens(effect.near), far: opens(effect.far) });
                StateFacts { runs: runs.collect(), trouble: None }
            }
            Err(error) => {
                let runs = live.into_iter().map(|live| RunFacts { live, near: touch.assumed, far: touch.assumed });
                let trouble = format!("The currents could not be computed, so every live wire counts alike: {error}.");
                StateFacts { runs: runs.collect(), trouble: Some(trouble) }
            }
        }
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::circuit::{check, expand::expand};
    use crate::units::Ohms;
    use crate::vehicle::body;

    #[test]
    fn what_an_ohmmeter_should_show_is_computed_once_for_all_that_was_read() {
        let text = br#"{ "format": "loomwalk/circuit", "version": 1, "fuse": { "rating_a": 10 },
            "loads": [{ "id": "one", "kind": "resistor", "ohms": 6 }, { "id": "two", "kind": "resistor", "ohms": 12 }] }"#;
        let file = check::read(text).unwrap();
        let harness = expand(&file, &body::fit(&file.vehicle));
        let electrics = Electrics::new(&harness, &file.fuse, TouchModel::stated());
        let (all, none) = (Vec::new(), BTreeSet::new());
        let one = vec![Unplugged::Load("one".into())];
        // 6 Ω beside 12 Ω are 4 Ω.
        for (ohms, unplugged, told) in [
            (4.0, &all, Some(Showed::AsExpected)),
            (1.0, &all, Some(Showed::Less)),
            (20.0, &all, None),
            (4.0, &one, Some(Showed::Less)),
            (12.0, &one, Some(Showed::AsExpected)),
        ] {
            // A clone has the same memory: each plan has one.
            assert_eq!(
                electrics.clone().shows(Shown::Ohms(Ohms(ohms)), unplugged, &none),
                told,
                "{ohms} {unplugged:?}"
            );
        }
        assert_eq!(electrics.readings.lock().unwrap().len(), 2);
    }
}
