//! Which wiring is the private one of loads that this vehicle does not have?
//!
//! From the terminals of absent loads on, what leads nowhere else is taken away: an end at which no other load
//! sits and from which at most one way goes on, then the next. Wires that led nowhere from the start, and rings,
//! stay: better a wire too many to look at than one too few.

use std::collections::{BTreeSet, HashMap, HashSet};

use super::super::file::{CircuitFile, OptionState};
use super::load;
use crate::gather::Gather as _;
use crate::ids::{NodeId, RunId, SwitchId};

/// What goes with the absent loads.
#[derive(Debug, Default)]
pub(super) struct Private {
    pub(super) joints: HashSet<NodeId>,
    pub(super) runs: HashSet<RunId>,
    pub(super) switches: HashSet<SwitchId>,
    /// Terminals of absent loads through which others are fed.
    pub(super) left_of_absent: BTreeSet<NodeId>,
    /// Ties of those terminals to the nodes that the absent load was said to be wired to.
    pub(super) left_ties: Vec<(NodeId, NodeId)>,
}

/// What joins two nodes.
#[derive(Debug, Clone, Copy)]
enum Link {
    Run(usize),
    Switch(usize),
    /// A terminal wired straight to a node.
    Tie,
}

/// With more ways than this, an end is not looked at again: so many wires side by side do not serve one load, and a
/// splice with thousands of wires is not read through for each of them.
const MOST_SIDE_BY_SIDE: usize = 8;

/// The circuit as nodes and what joins them, with what cannot be taken away.
#[derive(Default)]
struct Links {
    at: HashMap<NodeId, Vec<(NodeId, Link)>>,
    /// Fuse, ground, and where loads sit that are fitted or have left their wiring.
    kept: HashSet<NodeId>,
}

impl Private {
    pub(super) fn of(file: &CircuitFile) -> Self {
        let mut links = Links::default();
        for (index, run) in file.runs.iter().enumerate() {
            links.join(&run.from, &run.to, Link::Run(index));
        }
        for (index, switch) in file.switches.iter().enumerate() {
            links.join(&switch.from, &switch.to, Link::Switch(index));
        }
        links.kept.extend(["fuse".into(), "ground".into()]);
        let mut absent = Vec::new();
        for one in &file.loads {
            let ends = [(load::feed(&one.id), &one.feed), (load::return_(&one.id), &one.return_)];
            let here = file.state_of(one) != OptionState::Absent;
            for (terminal, stated) in ends {
                if let Some(stated) = stated.as_ref().filter(|stated| **stated != terminal) {
                    links.join(&terminal, stated, Link::Tie);
                    if here {
                        links.kept.insert(stated.clone());
                    }
                }
                if here {
                    links.kept.insert(terminal);
                } else {
                    absent.push(terminal);
                }
            }
        }
        links.private_to(absent, file)
    }
}

impl Links {
    fn join(&mut self, one: &NodeId, other: &NodeId, link: Link) {
        self.at.entry(one.clone()).or_default().push((other.clone(), link));
        self.at.entry(other.clone()).or_default().push((one.clone(), link));
    }

    fn private_to(self, absent: Vec<NodeId>, file: &CircuitFile) -> Private {
        let mut private = Private::default();
        let mut gone: HashSet<NodeId> = HashSet::new();
        let mut links_left: HashMap<&NodeId, usize> = self.at.iter().map(|(node, links)| (node, links.len())).collect();
        let mut ends = absent.clone();
        while let Some(end) = ends.pop() {
            if self.kept.contains(&end) || gone.contains(&end) {
                continue;
            }
            let links = self.at.get(&end).map_or(&[][..], Vec::as_slice);
            let onward: Vec<_> = links.iter().filter(|(other, _)| !gone.contains(other)).collect();
            let ways: HashSet<&NodeId> = onward.iter().map(|(other, _)| other).collect();
            if ways.len() > 1 {
                continue;
            }
            for (other, link) in onward {
                match link {
                    Link::Run(index) => drop(private.runs.insert(file.runs[*index].id.clone())),
                    Link::Switch(index) => drop(private.switches.insert(file.switches[*index].id.clone())),
                    Link::Tie => {}
                }
                let left = links_left.entry(other).or_default();
                *left = left.saturating_sub(1);
                if *left <= MOST_SIDE_BY_SIDE {
                    ends.push(other.clone());
                }
            }
            gone.insert(end);
        }
        private.left_of_absent =
            absent.into_iter().filter(|node| self.at.contains_key(node) && !gone.contains(node)).gather();
        for terminal in &private.left_of_absent {
            let ties = self.at[terminal].iter().filter(|(_, link)| matches!(link, Link::Tie));
            private.left_ties.extend(ties.map(|(node, _)| (node.clone(), terminal.clone())));
        }
        private.joints = gone;
        private
    }
}
