//! Do the parts fit together? Ids are unique, ends exist, marks lie on runs, and the fuse reaches everything.

use std::collections::{HashMap, HashSet};

use super::problem::{Problems, quoted};
use super::values::LEAST_ABOVE_ZERO;
use crate::circuit::file::{CircuitFile, Joint, MarkPlace};
use crate::circuit::mark::load_of_wire;
use crate::gather::Gather as _;
use crate::ids::JointId;

const GROUND: usize = 0;
const FUSE: usize = 1;
const NODE_HELP: &str = "name `fuse`, `ground`, a joint's id, or `<load id>.feed` or `<load id>.return`";

/// Checks what no entry can say by itself.
pub(super) fn check(file: &CircuitFile, problems: &mut Problems) {
    let before = problems.count();
    let nodes = Nodes::list(file, problems);
    unique(file.switches.iter().map(|switch| switch.id.as_str()), "/switches", "switch", problems);
    unique(file.runs.iter().map(|run| run.id.as_str()), "/runs", "run", problems);
    unique(file.marks.iter().map(|mark| mark.id.as_str()), "/marks", "mark", problems);
    let edges = nodes.edges(file, problems);
    marks(file, problems);
    if problems.count() == before {
        // With an unknown or doubtful node, what hangs behind it would be reported as well, to no use.
        unreached(file, &nodes, &edges, problems);
    }
}

/// The electrical nodes by name, as 03-formats §1 lists them.
struct Nodes<'a> {
    by_name: HashMap<&'a str, usize>,
    /// Terminals, as `(feed, return)` in the order of the loads.
    terminals: Vec<(usize, usize)>,
    count: usize,
    /// Names of terminals, which no text in the file holds.
    terminal_names: HashMap<String, usize>,
}

impl<'a> Nodes<'a> {
    fn list(file: &'a CircuitFile, problems: &mut Problems) -> Self {
        let mut terminal_names = HashMap::new();
        let mut terminals = Vec::with_capacity(file.loads.len());
        let mut count = 2;
        let mut loads = HashMap::new();
        for (index, load) in file.loads.iter().enumerate() {
            twice(&mut loads, load.id.as_str(), index, "/loads", "load", problems);
            terminal_names.insert(format!("{}.feed", load.id), count);
            terminal_names.insert(format!("{}.return", load.id), count + 1);
            terminals.push((count, count + 1));
            count += 2;
        }
        let mut by_name = HashMap::from([("ground", GROUND), ("fuse", FUSE)]);
        let mut joints = HashMap::new();
        for (index, joint) in file.joints.iter().enumerate() {
            let id = joint.id.as_str();
            if ["ground", "fuse"].contains(&id) || terminal_names.contains_key(id) {
                let wrong = format!("{} already names a node of every circuit or a load's terminal", quoted(id));
                problems.add(format!("/joints/{index}/id"), wrong, "choose another id");
                continue;
            }
            twice(&mut joints, id, index, "/joints", "joint", problems);
            by_name.entry(id).or_insert(count + index);
        }
        Self { by_name, terminals, count: count + file.joints.len(), terminal_names }
    }

    fn find(&self, name: &str) -> Option<usize> {
        self.by_name.get(name).or_else(|| self.terminal_names.get(name)).copied()
    }

    fn find_or_note(&self, name: &str, pointer: String, problems: &mut Problems) -> Option<usize> {
        let found = self.find(name);
        if found.is_none() {
            let alike = |known: &&&str| known.eq_ignore_ascii_case(name);
            let close = if problems.is_full() { None } else { self.by_name.keys().filter(alike).min() };
            let right = close.map_or(NODE_HELP.to_owned(), |close| format!("did you mean {}?", quoted(close)));
            problems.add(pointer, format!("there is no node {}", quoted(name)), right);
        }
        found
    }

    /// Every pair of nodes that something joins with all switches closed.
    fn edges(&self, file: &CircuitFile, problems: &mut Problems) -> Vec<(usize, usize)> {
        let mut edges = Vec::new();
        let switches = file.switches.iter().map(|switch| (&switch.from, &switch.to)).enumerate();
        let runs = file.runs.iter().map(|run| (&run.from, &run.to)).enumerate();
        for (kind, (index, (from, to))) in switches.map(|one| ("switches", one)).chain(runs.map(|one| ("runs", one))) {
            let from = self.find_or_note(from.as_str(), format!("/{kind}/{index}/from"), problems);
            let to = self.find_or_note(to.as_str(), format!("/{kind}/{index}/to"), problems);
            edges.extend(from.zip(to));
        }
        let mut wired = vec![false; self.count];
        for (from, to) in &edges {
            (wired[*from], wired[*to]) = (true, true);
        }
        for (index, (load, (feed, return_))) in file.loads.iter().zip(&self.terminals).enumerate() {
            edges.push((*feed, *return_));
            let ends = [("feed", &load.feed, *feed, FUSE), ("return", &load.return_, *return_, GROUND)];
            for (field, stated, terminal, assumed) in ends {
                let named = stated
                    .as_ref()
                    .and_then(|node| self.find_or_note(node.as_str(), format!("/loads/{index}/{field}"), problems))
                    .filter(|node| *node != terminal);
                match named {
                    Some(node) => edges.push((node, terminal)),
                    // Expansion wires what nothing was said about.
                    None if !wired[terminal] => edges.push((assumed, terminal)),
                    None => {}
                }
            }
        }
        edges
    }

    /// For each node whether the fuse reaches it. The way does not lead through ground: what hangs on ground alone can
    /// never be live, so a wire to the fuse is missing. It does lead through loads, to their ground side.
    fn reached(&self, edges: &[(usize, usize)]) -> Vec<bool> {
        let mut neighbours = vec![Vec::new(); self.count];
        for (one, other) in edges {
            neighbours[*one].push(*other);
            neighbours[*other].push(*one);
        }
        let mut reached = vec![false; self.count];
        (reached[GROUND], reached[FUSE]) = (true, true);
        let mut next = vec![FUSE];
        while let Some(node) = next.pop() {
            for other in &neighbours[node] {
                if !std::mem::replace(&mut reached[*other], true) {
                    next.push(*other);
                }
            }
        }
        reached
    }
}

/// Joints that the fuse does not reach, of a circuit in which all else is there and every load is reached.
pub(super) fn unreached_joints(file: &CircuitFile) -> Vec<JointId> {
    let mut problems = Problems::default();
    let nodes = Nodes::list(file, &mut problems);
    let edges = nodes.edges(file, &mut problems);
    if problems.count() > 0 {
        return Vec::new();
    }
    let reached = nodes.reached(&edges);
    if nodes.terminals.iter().any(|(feed, _)| !reached[*feed]) {
        return Vec::new();
    }
    let lost = |joint: &&Joint| nodes.find(joint.id.as_str()).is_some_and(|node| !reached[node]);
    file.joints.iter().filter(lost).map(|joint| joint.id.clone()).gather()
}

/// Tells of nodes that the fuse does not reach.
fn unreached(file: &CircuitFile, nodes: &Nodes, edges: &[(usize, usize)], problems: &mut Problems) {
    let reached = nodes.reached(edges);
    let right = "connect it to something that the fuse feeds, or leave it out";
    for (index, joint) in file.joints.iter().enumerate() {
        if nodes.find(joint.id.as_str()).is_some_and(|node| !reached[node]) {
            let wrong =
                format!("no way leads from the fuse to {}, even with every switch closed", quoted(joint.id.as_str()));
            problems.add(format!("/joints/{index}"), wrong, right);
        }
    }
    for (index, (load, (feed, _))) in file.loads.iter().zip(&nodes.terminals).enumerate() {
        if !reached[*feed] {
            let name = quoted(&format!("{}.feed", load.id));
            let wrong = format!("no way leads from the fuse to {name}, even with every switch closed");
            let place = if load.feed.is_some() { format!("/loads/{index}/feed") } else { format!("/loads/{index}") };
            problems.add(place, wrong, right);
        }
    }
}

fn marks(file: &CircuitFile, problems: &mut Problems) {
    let runs: HashMap<&str, _> = file.runs.iter().map(|run| (run.id.as_str(), run)).collect();
    let loads: HashSet<&str> = file.loads.iter().map(|load| load.id.as_str()).collect();
    for (index, mark) in file.marks.iter().enumerate() {
        let MarkPlace::Run { run: on, at_m } = &mark.place else { continue };
        let Some(run) = runs.get(on.as_str()) else {
            // How long an assumed wire is hangs on the zone map: expansion sees to that.
            if !load_of_wire(on).is_some_and(|load| loads.contains(load)) {
                let wrong = format!("there is no run {}", quoted(on.as_str()));
                problems.add(format!("/marks/{index}/run"), wrong, "name the id of a run in this file");
            }
            continue;
        };
        // Parts that are no lengths have been told already, and say nothing of where the run ends.
        let path = || {
            (!run.path.is_empty() && run.path.iter().all(|part| part.m >= 0.0))
                .then(|| run.path.iter().map(|part| part.m).sum())
        };
        if let Some(length) = run.length_m.or_else(path)
            && length >= LEAST_ABOVE_ZERO
            // Room for rounding in sums of a path.
            && *at_m > length + 1e-6
        {
            let wrong = format!("{at_m} m is beyond the end of run {}", quoted(run.id.as_str()));
            let right = format!("the run is {length} m long, measured from {}", quoted(run.from.as_str()));
            problems.add(format!("/marks/{index}/at_m"), wrong, right);
        }
    }
}

fn unique<'a>(ids: impl Iterator<Item = &'a str>, pointer: &str, kind: &str, problems: &mut Problems) {
    let mut seen = HashMap::new();
    for (index, id) in ids.enumerate() {
        twice(&mut seen, id, index, pointer, kind, problems);
    }
}

fn twice<'a>(
    seen: &mut HashMap<&'a str, usize>,
    id: &'a str,
    index: usize,
    pointer: &str,
    kind: &str,
    problems: &mut Problems,
) {
    let first = *seen.entry(id).or_insert(index);
    if first != index {
        let wrong = format!("the id {} is taken by the {kind} at {pointer}/{first}", quoted(id));
        problems.add(format!("{pointer}/{index}/id"), wrong, "give each its own id");
    }
}
