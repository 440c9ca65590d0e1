//! Where must nobody press or unplug while the current is on? On the wires of airbags and belt tensioners.
//!
//! Such a wire may feed only the control unit and still be one of theirs: for these circuits the maker's
//! instructions hold, battery off and the wait that they ask for, and nothing here is offered in their place.

use std::collections::{BTreeSet, HashMap};
use std::sync::OnceLock;

use super::file::{CircuitFile, Load};
use super::harness::{Harness, NodeIx};
use super::live::Ties;
use super::unplug::Unplugged;
use crate::catalogue;
use crate::gather::Gather as _;
use crate::ids::{LoadId, NodeId, RunId};
use crate::table::{self, entries};

/// What is said where a press or a plug is not offered.
pub const WHY: &str = "Airbag or belt-tensioner wires are here. They are never pressed or unplugged with the current on, \
    not even gently: a restraint can go off. Battery off, wait as long as the maker says, and work by the maker's \
    instructions.";

/// What is said where fuel vapour may be about.
pub const FUEL: &str = "Fuel vapour may be about here: nothing that sparks. No press and no plug pulled with the current \
    on; fresh air, and work by the maker's instructions.";

/// What is said of a plug that is not on their wires, where such wires are.
pub const BATTERY_OFF: &str = "Airbag or belt-tensioner wires run here, or under what is opened on the way. Battery off, and wait \
    as long as the maker says, before you reach for this plug; pull only this one; battery on again, nobody in the seats, \
    before you read the lamp.";

/// What is said in place of what an ohmmeter should show.
pub const NO_OHMMETER: &str = "Airbag or belt-tensioner wires are on this circuit. No ohmmeter goes on its wires: the \
    meter's own current can set off a restraint. Battery off, wait as long as the maker says, and work by the maker's \
    instructions.";

/// What of a circuit is not touched live.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct NeverLive {
    /// Airbag and belt-tensioner loads of which at least the wiring is there.
    pub loads: BTreeSet<LoadId>,
    /// Every wire on a way from the fuse to one of them, or from there to ground.
    pub runs: BTreeSet<RunId>,
    /// Every node on those ways but fuse and ground.
    pub nodes: BTreeSet<NodeId>,
}

impl NeverLive {
    /// Whether an ohmmeter must stay off the circuit: a restraint hangs on the same fuse, or its wiring does.
    pub fn forbids_ohmmeter(&self) -> bool {
        !self.loads.is_empty()
    }

    /// Whether a place with these wires must not be pressed live: one forbidden wire among them is enough.
    pub fn forbids_press<'a>(&self, runs: impl IntoIterator<Item = &'a RunId>) -> bool {
        runs.into_iter().any(|run| self.runs.contains(run))
    }

    /// Whether this must not be unplugged live.
    pub fn forbids_unplugging(&self, what: &Unplugged) -> bool {
        match what {
            Unplugged::Load(load) => self.loads.contains(load),
            Unplugged::Node(node) => self.nodes.contains(node),
        }
    }
}

/// Whether a load is a part of the airbags or belt tensioners: by its catalogue entry, or by what it is called.
pub fn is_restraint(load: &Load) -> bool {
    let item = load.item.as_ref().and_then(catalogue::item);
    item.is_some_and(|item| item.restraint) || says_restraint(&load.label)
}

/// Words that name a restraint.
struct Words {
    /// Anywhere in a label, whatever stands between its words.
    parts: Vec<String>,
    /// A word of its own.
    words: Vec<String>,
}

entries! { Words { parts, words } }

/// Whether a label names a restraint, whoever wrote it and in which of our languages. Rather one too many.
fn says_restraint(label: &str) -> bool {
    static KNOWN: OnceLock<Words> = OnceLock::new();
    // Built into the program and read by the tests: no user can make it fail.
    #[allow(clippy::expect_used)]
    let known = KNOWN.get_or_init(|| {
        table::read(include_str!(concat!(env!("OUT_DIR"), "/values/restraints.json")))
            .expect("the shipped words are sound")
    });
    let lower = label.to_lowercase();
    let words: Vec<&str> =
        lower.split(|letter: char| !letter.is_alphanumeric()).filter(|word| !word.is_empty()).collect();
    let together = words.concat();
    // A belt tensioner at the engine is none; it is no electrical load either.
    known.parts.iter().any(|part| together.contains(part)) || known.words.iter().any(|word| words.contains(&&**word))
}

/// What of this circuit is not touched live. `harness` is that of `file`.
pub fn never_live(file: &CircuitFile, harness: &Harness) -> NeverLive {
    let by_name: HashMap<&NodeId, usize> = harness.nodes.iter().enumerate().map(|(at, node)| (&node.id, at)).collect();
    let mut loads = BTreeSet::new();
    let mut terminals = BTreeSet::new();
    for load in file.loads.iter().filter(|load| is_restraint(load)) {
        let names = ["feed", "return"].map(|end| NodeId(format!("{}.{end}", load.id)));
        let there: Vec<usize> = names.iter().filter_map(|name| by_name.get(name).copied()).collect();
        // One that this vehicle does not have has neither terminals nor wires there.
        if !there.is_empty() {
            loads.insert(load.id.clone());
            terminals.extend(there);
        }
    }
    if terminals.is_empty() {
        return NeverLive::default();
    }
    let kept = on_the_way(harness, &terminals);
    let ends = |from: NodeIx, to: NodeIx| kept[from.0] && kept[to.0];
    let own = |at: &usize| kept[*at] && ![NodeIx::FUSE.0, NodeIx::GROUND.0].contains(at);
    NeverLive {
        runs: harness.runs.iter().filter(|run| ends(run.from, run.to)).map(|run| run.id.clone()).gather(),
        nodes: (0..kept.len()).filter(own).map(|at| harness.nodes[at].id.clone()).gather(),
        loads,
    }
}

/// By node, whether it may lie between fuse, ground and these terminals: what is left when all loose ends are taken
/// off, one after another. A ring that hangs on such a way is left as well, which errs on the safe side.
fn on_the_way(harness: &Harness, terminals: &BTreeSet<usize>) -> Vec<bool> {
    let ties = Ties::of(harness, |_| true);
    let anchors = [NodeIx::FUSE.0, NodeIx::GROUND.0];
    let mut kept = vec![true; harness.nodes.len()];
    let mut ends: Vec<usize> = (0..kept.len()).map(|at| ties.at(at).len()).collect();
    let loose = |at: usize, ends: &[usize]| ends[at] <= 1 && !anchors.contains(&at) && !terminals.contains(&at);
    let mut next: Vec<usize> = (0..kept.len()).filter(|at| loose(*at, &ends)).collect();
    while let Some(at) = next.pop() {
        if !std::mem::replace(&mut kept[at], false) {
            continue;
        }
        for other in ties.at(at).iter().map(|other| other.0).filter(|other| kept[*other]) {
            ends[other] = ends[other].saturating_sub(1);
            if loose(other, &ends) {
                next.push(other);
            }
        }
    }
    kept
}
