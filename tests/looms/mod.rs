//! Invented looms for tests and benches: the same seed gives the same loom.

#![allow(dead_code, reason = "each test uses its part")]

pub mod ngspice;

pub use crate::dice::Dice;
use loomwalk::circuit::file::LoadKind;
use loomwalk::circuit::harness::{
    Harness, HarnessLoad, HarnessRun, HarnessSwitch, Node, NodeIx, NodeKind, Place, Source, Stretch,
};
use loomwalk::circuit::wire;
use loomwalk::ids::{Condition, LoadId, ZoneId};
use loomwalk::units::{Metres, Ohms, SquareMillimetres};

/// The conditions that invented switches and loads ask for.
pub const CONDITIONS: [&str; 3] = ["key_on", "reverse", "lamps_on"];

/// Conditions by name.
pub fn state(names: &[&str]) -> Vec<Condition> {
    names.iter().map(|name| Condition::from(*name)).collect()
}

/// Every state that matters to an invented loom.
pub fn states() -> Vec<Vec<Condition>> {
    (0..1 << CONDITIONS.len())
        .map(|bits: usize| {
            let holding = CONDITIONS.iter().enumerate().filter(|(at, _)| bits & (1 << at) != 0);
            holding.map(|(_, name)| Condition::from(*name)).collect()
        })
        .collect()
}

impl Dice {
    pub fn chance(&mut self, of: f64) -> bool {
        self.share() < of
    }

    fn condition(&mut self) -> Vec<Condition> {
        vec![Condition::from(CONDITIONS[self.below(CONDITIONS.len())])]
    }
}

/// A harness with ground and the fuse and nothing else, on 12.6 V behind 20 mΩ and a fuse of 4.8 mΩ.
pub fn bare() -> Harness {
    let node = |name: &str, kind| Node { id: name.into(), zone: None, kind, label: String::new() };
    Harness {
        nodes: vec![node("ground", NodeKind::Ground), node("fuse", NodeKind::Fuse)],
        runs: Vec::new(),
        switches: Vec::new(),
        loads: Vec::new(),
        marks: Vec::new(),
        area_marks: Vec::new(),
        source: Source { volts: 12.6, supply_ohms: Ohms(0.02), fuse_ohms: Ohms(0.0048), live_when: Vec::new() },
        fuse_zone: ZoneId::from("dash_left"),
        assumptions: Vec::new(),
        unplaced: Vec::new(),
    }
}

/// Adds to a harness, piece by piece.
pub trait Build {
    fn joint(&mut self) -> NodeIx;
    fn run(&mut self, from: NodeIx, to: NodeIx, ohms: f64) -> usize;
    fn wire(&mut self, from: NodeIx, to: NodeIx, metres: f64, area_mm2: f64) -> usize;
    fn lead(&mut self, from: NodeIx, to: NodeIx);
    fn switch(&mut self, from: NodeIx, to: NodeIx, closed_when: Vec<Condition>, ohms: f64);
    /// The terminals of a new load: feed, return.
    fn load(&mut self, ohms: f64, live_when: Vec<Condition>) -> (NodeIx, NodeIx);
}

impl Build for Harness {
    fn joint(&mut self) -> NodeIx {
        let ix = NodeIx(self.nodes.len());
        let id = format!("j{}", ix.0).as_str().into();
        self.nodes.push(Node { id, zone: None, kind: NodeKind::Joint(None), label: String::new() });
        ix
    }

    fn run(&mut self, from: NodeIx, to: NodeIx, ohms: f64) -> usize {
        let at = self.runs.len();
        let (length, zone) = (Metres(1.0), Place::Zone(ZoneId::from("dash_left")));
        self.runs.push(HarnessRun {
            id: format!("r{at}").as_str().into(),
            from,
            to,
            ohms: Ohms(ohms),
            length,
            area: SquareMillimetres(1.0),
            colour: None,
            path: vec![Stretch { place: zone, metres: length }],
            assumed: false,
            area_assumed: false,
            lead: false,
        });
        at
    }

    fn wire(&mut self, from: NodeIx, to: NodeIx, metres: f64, area_mm2: f64) -> usize {
        let (length, area) = (Metres(metres), SquareMillimetres(area_mm2));
        let at = self.run(from, to, wire::resistance(length, area, 20.0).0);
        (self.runs[at].length, self.runs[at].area) = (length, area);
        at
    }

    fn lead(&mut self, from: NodeIx, to: NodeIx) {
        // A resistance that must not count.
        let at = self.run(from, to, 7.0);
        self.runs[at].lead = true;
    }

    fn switch(&mut self, from: NodeIx, to: NodeIx, closed_when: Vec<Condition>, ohms: f64) {
        let id = format!("sw{}", self.switches.len()).as_str().into();
        self.switches.push(HarnessSwitch { id, from, to, closed_when, ohms: Ohms(ohms), zone: None, assumed: false });
    }

    fn load(&mut self, ohms: f64, live_when: Vec<Condition>) -> (NodeIx, NodeIx) {
        let id = LoadId(format!("l{}", self.loads.len()));
        let terminal = |harness: &mut Harness, side: &str| {
            let ix = harness.joint();
            harness.nodes[ix.0].id = format!("{id}.{side}").as_str().into();
            harness.nodes[ix.0].kind = NodeKind::Terminal(id.clone());
            ix
        };
        let (feed, return_) = (terminal(self, "feed"), terminal(self, "return"));
        let (label, kind) = (String::new(), LoadKind::Resistor);
        self.loads.push(HarnessLoad {
            id,
            label,
            kind,
            feed,
            return_,
            ohms: Ohms(ohms),
            at_rest: None,
            zone: None,
            live_when,
        });
        (feed, return_)
    }
}

/// A loom whose nodes hang on the fuse like a tree: fuse, splices, loads, each load returned to ground by its own
/// wire. Every run's `from` is the end nearer the fuse on the feed side.
pub fn radial(seed: u64, loads: usize) -> Harness {
    let mut dice = Dice(seed);
    let mut loom = bare();
    let mut joints = vec![NodeIx::FUSE];
    for _ in 0..loads {
        if dice.chance(0.6) {
            let from = joints[dice.below(joints.len())];
            let joint = loom.joint();
            loom.run(from, joint, dice.spread(0.001, 0.3));
            joints.push(joint);
        }
        let from = joints[dice.below(joints.len())];
        let (feed, return_) = loom.load(dice.spread(0.5, 500.0), Vec::new());
        loom.run(from, feed, dice.spread(0.001, 0.3));
        loom.run(return_, NodeIx::GROUND, dice.spread(0.001, 0.1));
    }
    loom
}

/// A loom with everything: a tree with switches in both sides, common returns, leads, dead ends, and `cross` runs
/// that close loops.
pub fn tangled(seed: u64, loads: usize, cross: usize) -> Harness {
    let mut dice = Dice(seed ^ 0x5eed);
    let mut loom = bare();
    if dice.chance(0.3) {
        loom.source.live_when = vec![Condition::from("key_on")];
    }
    let mut feeds = vec![NodeIx::FUSE];
    let mut returns = vec![NodeIx::GROUND];
    for _ in 0..loads {
        let from = feeds[dice.below(feeds.len())];
        if dice.chance(0.5) {
            let joint = loom.joint();
            match dice.below(4) {
                0 => loom.switch(from, joint, dice.condition(), dice.spread(0.002, 0.02)),
                1 => loom.lead(from, joint),
                _ => {
                    loom.run(from, joint, dice.spread(0.001, 0.3));
                }
            }
            feeds.push(joint);
        }
        if dice.chance(0.2) {
            let (from, joint) = (returns[dice.below(returns.len())], loom.joint());
            loom.run(joint, from, dice.spread(0.001, 0.1));
            returns.push(joint);
        }
        let live_when = if dice.chance(0.2) { dice.condition() } else { Vec::new() };
        let (feed, return_) = loom.load(dice.spread(0.5, 500.0), live_when);
        let (from, to) = (feeds[dice.below(feeds.len())], returns[dice.below(returns.len())]);
        loom.run(from, feed, dice.spread(0.001, 0.3));
        if dice.chance(0.3) {
            loom.switch(return_, to, dice.condition(), dice.spread(0.002, 0.02));
        } else {
            loom.run(return_, to, dice.spread(0.001, 0.1));
        }
        if dice.chance(0.1) {
            let end = loom.joint();
            loom.run(feed, end, dice.spread(0.001, 0.3));
        }
    }
    for _ in 0..cross {
        let (a, b) = (feeds[dice.below(feeds.len())], feeds[dice.below(feeds.len())]);
        if a != b {
            loom.run(a, b, dice.spread(0.01, 0.3));
        }
    }
    loom
}
