//! What is there in metal? The circuit with every wire, where it runs, and what was assumed.
//!
//! Expansion makes it from a checked circuit and a zone map. Electrical solving and the list of
//! points both read it, so that a place to look and a current computed there always mean the same wire.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use std::collections::BTreeSet;

use crate::circuit::file::{LoadKind, MarkKind};
use crate::gather::Gather as _;
use crate::ids::{Condition, JointId, LoadId, MarkId, NodeId, PassageId, RunId, SwitchId, ZoneId};
use crate::units::{Metres, Ohms, SquareMillimetres};

/// Index of a node in [`Harness::nodes`]. `NodeIx(0)` is ground, `NodeIx(1)` the load side of the fuse.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct NodeIx(pub usize);

impl NodeIx {
    /// The vehicle's body and everything bolted to it.
    pub const GROUND: Self = Self(0);
    /// The load side of the fuse.
    pub const FUSE: Self = Self(1);
}

/// A circuit with all its wires.
#[derive(Debug, Clone, PartialEq)]
pub struct Harness {
    /// Electrical nodes; the first two are ground and fuse.
    pub nodes: Vec<Node>,
    /// Wires.
    pub runs: Vec<HarnessRun>,
    /// Switches.
    pub switches: Vec<HarnessSwitch>,
    /// Loads that are fitted.
    pub loads: Vec<HarnessLoad>,
    /// Marks on runs of this harness.
    pub marks: Vec<HarnessMark>,
    /// Marks at passages and all over zones.
    pub area_marks: Vec<AreaMark>,
    /// The source with the fuse in series.
    pub source: Source,
    /// Where the fuse box is.
    pub fuse_zone: ZoneId,
    /// What was assumed, in words for the technician, in a stable order.
    pub assumptions: Vec<String>,
    /// Loads whose place is unknown: their share of the chance goes to "not listed".
    pub unplaced: Vec<LoadId>,
}

/// The source and the fuse, in series.
#[derive(Debug, Clone, PartialEq)]
pub struct Source {
    /// Open-circuit volts.
    pub volts: f64,
    /// Inner resistance of battery and feed.
    pub supply_ohms: Ohms,
    /// Cold resistance of the fuse.
    pub fuse_ohms: Ohms,
    /// Conditions that must all hold for the fuse to be fed.
    pub live_when: Vec<Condition>,
}

/// An electrical node.
#[derive(Debug, Clone, PartialEq)]
pub struct Node {
    /// Its name.
    pub id: NodeId,
    /// Where it is, if known.
    pub zone: Option<ZoneId>,
    /// What is there to see.
    pub kind: NodeKind,
    /// Words for people.
    pub label: String,
}

/// What a node is.
#[derive(Debug, Clone, PartialEq)]
pub enum NodeKind {
    /// The body.
    Ground,
    /// The load side of the fuse.
    Fuse,
    /// A joint from the file or an assumed branching of the loom.
    Joint(Option<JointId>),
    /// Something that can be unplugged: a connector joint, or the plug at a load.
    Connector(Option<JointId>),
    /// A terminal of a load.
    Terminal(LoadId),
}

/// One wire.
#[derive(Debug, Clone, PartialEq)]
pub struct HarnessRun {
    /// Its id; assumed ones start with `assumed:`.
    pub id: RunId,
    /// One end; of an assumed wire the one nearer the fuse.
    pub from: NodeIx,
    /// The other end.
    pub to: NodeIx,
    /// Resistance at the stated temperature.
    pub ohms: Ohms,
    /// Length.
    pub length: Metres,
    /// Cross-section.
    pub area: SquareMillimetres,
    /// IEC 60757 codes, if known.
    pub colour: Option<String>,
    /// Where it goes, from `from` to `to`. Passages lie between stretches.
    pub path: Vec<Stretch>,
    /// Nothing about this wire was stated: it was assumed.
    pub assumed: bool,
    /// Its cross-section was not stated: it is what is usual for its current.
    pub area_assumed: bool,
    /// Its ends are one electrical node: the file says that a terminal is wired straight to a node in
    /// another zone, so there must be a wire to look at, but it adds no resistance. Where both are at one place, or a
    /// place is not known, the lead only ties the terminal to the node: it has no length and no path.
    pub lead: bool,
}

/// Part of a run's way: inside a zone, or through a passage.
#[derive(Debug, Clone, PartialEq)]
pub struct Stretch {
    /// Where.
    pub place: Place,
    /// Metres of the run there.
    pub metres: Metres,
}

impl Harness {
    /// Conditions on which anything here depends; with all of them everything is on.
    pub fn conditions(&self) -> BTreeSet<Condition> {
        let switches = self.switches.iter().flat_map(|switch| &switch.closed_when);
        let fed = self.loads.iter().flat_map(|load| &load.live_when);
        self.source.live_when.iter().chain(switches).chain(fed).cloned().gather()
    }
}

/// Lengths of no greater difference are one length that was added up in two ways, m.
const SAME_LENGTH: f64 = 1e-6;

impl HarnessRun {
    /// A wire of which nothing was stated but its ends; its size and resistance come last, when it is known what hangs on it.
    pub(super) fn assumed(id: RunId, from: NodeIx, to: NodeIx, length: Metres, path: Vec<Stretch>) -> Self {
        let (ohms, area) = (Ohms(0.0), SquareMillimetres(0.0));
        let (assumed, area_assumed) = (true, true);
        Self { id, from, to, ohms, length, area, colour: None, path, assumed, area_assumed, lead: false }
    }

    /// Metres of its way: what its stretches sum up to.
    pub fn way(&self) -> Metres {
        Metres(self.path.iter().map(|stretch| stretch.metres.0).sum())
    }

    /// How far along its stretches a place is, so many metres of its length from `from`: they say where the wire goes,
    /// and are scaled to its length, should they not sum up to it.
    pub fn along_way(&self, at: Metres) -> Metres {
        let (way, length) = (self.way().0, self.length.0);
        if length <= 0.0 || (way - length).abs() <= SAME_LENGTH { at } else { Metres(at.0 * way / length) }
    }

    /// Where on its way a place is, so many metres from `from`. `None`: beyond its end, or the way is not known.
    pub fn place_at(&self, at: Metres) -> Option<&Place> {
        if at.0 < 0.0 || at.0 > self.length.0 || self.way().0 <= 0.0 {
            return None;
        }
        let mut left = self.along_way(at).0;
        for stretch in &self.path {
            if left <= stretch.metres.0 {
                return Some(&stretch.place);
            }
            left -= stretch.metres.0;
        }
        self.path.last().map(|stretch| &stretch.place)
    }
}

/// Where a part of a run lies.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Place {
    /// In a zone. One that the zone map does not know keeps the name it has in the file.
    Zone(ZoneId),
    /// In a passage between two zones.
    Passage(PassageId),
}

/// A switch with its ends.
#[derive(Debug, Clone, PartialEq)]
pub struct HarnessSwitch {
    /// Its id; assumed ones start with `assumed:`.
    pub id: SwitchId,
    /// One end.
    pub from: NodeIx,
    /// The other end.
    pub to: NodeIx,
    /// Conditions that must all hold for it to be closed.
    pub closed_when: Vec<Condition>,
    /// Contact resistance.
    pub ohms: Ohms,
    /// Where it is.
    pub zone: Option<ZoneId>,
    /// Not stated but assumed.
    pub assumed: bool,
}

/// A load with its terminals.
#[derive(Debug, Clone, PartialEq)]
pub struct HarnessLoad {
    /// Its id.
    pub id: LoadId,
    /// Words for people.
    pub label: String,
    /// Electrical class.
    pub kind: LoadKind,
    /// Feed terminal.
    pub feed: NodeIx,
    /// Return terminal.
    pub return_: NodeIx,
    /// Running resistance.
    pub ohms: Ohms,
    /// Resistance at rest, where its class alone does not tell it.
    pub at_rest: Option<Ohms>,
    /// Where it is.
    pub zone: Option<ZoneId>,
    /// Conditions that must all hold for it to take current, where no switch in the harness says so.
    pub live_when: Vec<Condition>,
}

/// A mark with the run it is on.
#[derive(Debug, Clone, PartialEq)]
pub struct HarnessMark {
    /// Its id.
    pub id: MarkId,
    /// Index in [`Harness::runs`].
    pub run: usize,
    /// Metres from the run's `from` end.
    pub at: Metres,
    /// What was noticed.
    pub kind: MarkKind,
    /// In words.
    pub note: String,
}

/// A mark at a passage or all over a zone.
#[derive(Debug, Clone, PartialEq)]
pub struct AreaMark {
    /// Its id.
    pub id: MarkId,
    /// The passage or the zone.
    pub place: Place,
    /// What was noticed.
    pub kind: MarkKind,
}
