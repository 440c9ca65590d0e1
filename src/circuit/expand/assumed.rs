//! How is a load fed and grounded if nothing was said? Along the cheapest ways, which share their trunk.

use std::collections::{BTreeMap, HashMap};

use super::super::file::OwnWire;
use super::super::harness::{HarnessRun, HarnessSwitch, NodeIx, NodeKind, Place, Stretch};
use super::load::KnownLoad;
use super::places::{GROUND_METRES, length};
use super::{Build, SWITCH_OHMS, UNKNOWN_METRES, positive};
use crate::gather::Order as _;
use crate::ids::{Condition, NodeId, RunId, SwitchId, ZoneId};
use crate::units::{Metres, Ohms, SquareMillimetres};

/// Something to be fed, and the way to it from where its tree starts: zones and passages in turn.
struct Demand {
    way: Vec<Stretch>,
    end: End,
}

/// What hangs from one node: what shares trunks, and what has a wire of its own from there to its end.
#[derive(Default)]
struct Tree {
    shared: Vec<Demand>,
    own: Vec<Demand>,
}

impl Tree {
    /// Of a wire of which the way was said nobody knows what it shares; nor of one that goes by an unknown way.
    fn add(&mut self, demand: Demand, said: bool) {
        if said || demand.way.is_empty() { self.own.push(demand) } else { self.shared.push(demand) }
    }
}

/// What a feed ends at.
#[derive(Clone)]
enum End {
    /// The plug of a load.
    Load(LoadEnd),
    /// A switch that serves all loads of a group.
    Group { run: RunId, to: NodeIx },
}

/// The plug of a load, with the switch before it if it has one of its own.
#[derive(Clone)]
struct LoadEnd {
    load: String,
    feed: NodeIx,
    zone: Option<ZoneId>,
    switch: Option<Vec<Condition>>,
}

/// A switch on the way of several loads: where it is and when it is closed.
type Group = (ZoneId, Vec<Condition>);

impl Build<'_> {
    /// Feeds every load about whose feed nothing was said.
    pub(super) fn assumed_feeds(&mut self, loads: &[KnownLoad]) {
        let mut in_order: Vec<&KnownLoad> = loads.iter().filter(|load| load.assume_feed).collect();
        // What is made must not depend on the order in which loads were entered.
        in_order.order_by(|one, other| one.id.cmp(&other.id));
        let mut direct = Tree::default();
        let mut behind_switches: BTreeMap<Group, Tree> = BTreeMap::new();
        for load in in_order {
            let Some(&feed) = self.by_name.get(&load.feed) else { continue };
            self.nodes[feed.0].kind = NodeKind::Connector(None);
            self.nodes[feed.0].label = format!("plug of {}", load.label);
            let mut end = LoadEnd { load: load.id.0.clone(), feed, zone: load.zone.clone(), switch: None };
            if let Some((zone, way)) = self.way_behind_switch(load) {
                let said = self.said_way(load, &zone);
                let way = said.clone().unwrap_or(way);
                self.notes.push(self.feed_note(load, &way, Some(&zone), said.is_some()));
                let tree = behind_switches.entry((zone, sorted(&load.feed_switch))).or_default();
                tree.add(Demand { way, end: End::Load(end) }, said.is_some());
                continue;
            }
            end.switch = load.has_feed_switch().then(|| load.feed_switch.clone());
            let fuse = self.fuse_zone.clone();
            let said = self.said_way(load, &fuse);
            let way = said.clone().unwrap_or_else(|| self.way_from_fuse(load.zone.as_ref()));
            self.notes.push(self.feed_note(load, &way, None, said.is_some()));
            direct.add(Demand { way, end: End::Load(end) }, said.is_some());
        }
        let mut trees = Vec::new();
        for ((zone, conditions), tree) in behind_switches {
            let way = self.way_from_fuse(Some(&zone));
            let (run, to, root) = self.shared_switch(zone, conditions);
            direct.add(Demand { way, end: End::Group { run, to } }, false);
            trees.push((root, tree));
        }
        self.grow(NodeIx::FUSE, direct, "");
        for ((root, name), tree) in trees {
            self.grow(root, tree, &name);
        }
    }

    fn grow(&mut self, root: NodeIx, Tree { shared, own }: Tree, name: &str) {
        self.branch(root, Vec::new(), 0, shared, name);
        for Demand { way, end } in own {
            self.end(root, way, end);
        }
    }

    /// The way from a zone to a load through what its feed was said to go through, if this body has such a way.
    fn said_way(&mut self, load: &KnownLoad, from: &ZoneId) -> Option<Vec<Stretch>> {
        let to = load.zone.as_ref().filter(|_| !load.via.is_empty())?;
        let way = self.places.way_via(from, &load.via, to);
        if way.is_none() {
            let through = load.via.iter().map(|place| self.places.name(place)).collect::<Vec<_>>().join(", ");
            self.notes.push(format!(
                "{}: its feed was said to go through {through}, but in this body no way leads there; that was passed over.",
                load.label
            ));
        }
        way
    }

    /// The zone of a load's switch and the way from there, if fuse, switch and load are at known places.
    ///
    /// The feed goes to its switch even where that is a detour: the wire to a switch is there to be rubbed through, and
    /// the wire behind it is dead while it is open.
    pub(super) fn way_behind_switch(&mut self, load: &KnownLoad) -> Option<(ZoneId, Vec<Stretch>)> {
        let zone = load.switch_zone.as_ref().filter(|_| load.has_feed_switch())?;
        let way = self.places.way(zone, load.zone.as_ref()?)?;
        (!self.way_from_fuse(Some(zone)).is_empty()).then(|| (zone.clone(), way))
    }

    /// The way from the fuse to a zone; empty where one of the two is not known.
    pub(super) fn way_from_fuse(&mut self, zone: Option<&ZoneId>) -> Vec<Stretch> {
        let fuse = self.fuse_zone.clone();
        zone.and_then(|zone| self.places.way(&fuse, zone)).unwrap_or_default()
    }

    fn feed_note(&self, load: &KnownLoad, way: &[Stretch], switch: Option<&ZoneId>, said: bool) -> String {
        let by = match way {
            [] => "by an unknown way".to_owned(),
            _ if said => format!("by {} (as was said)", self.places.in_words(way)),
            _ => format!("by {}", self.places.in_words(way)),
        };
        let wire = match switch {
            Some(zone) => format!(
                "a wire from the fuse to a switch at {} (closed: {}), and from there {by}, was assumed",
                self.places.label(zone),
                words(&load.feed_switch)
            ),
            None if load.has_feed_switch() => {
                format!(
                    "a wire from the fuse {by}, with a switch at its end (closed: {}), was assumed",
                    words(&load.feed_switch)
                )
            }
            None => format!("a wire from the fuse {by} was assumed"),
        };
        format!("{}: how it is fed was not stated; {wire}.", load.label)
    }

    /// A switch that several loads share: the wire to it and the node where that ends, then the node behind it and
    /// what names of wires there end in.
    fn shared_switch(&mut self, zone: ZoneId, closed_when: Vec<Condition>) -> (RunId, NodeIx, (NodeIx, String)) {
        let joined: Vec<&str> = closed_when.iter().map(Condition::as_str).collect();
        let name = format!("{}@{zone}", joined.join("+"));
        let label = format!("switch at {} ({})", self.places.label(&zone), words(&closed_when));
        let id = format!("assumed:switch:{name}");
        let behind = NodeId(format!("assumed:switched:{name}"));
        let from = self.node(NodeId(id.clone()), Some(zone.clone()), NodeKind::Joint(None), label.clone());
        let to = self.node(behind, Some(zone.clone()), NodeKind::Joint(None), label);
        let (id, ohms, zone) = (SwitchId(id), Ohms(SWITCH_OHMS), Some(zone));
        self.switches.push(HarnessSwitch { id, from, to, closed_when, ohms, zone, assumed: true });
        (RunId(format!("assumed:trunk:switch:{name}")), from, (to, format!(":{name}")))
    }

    /// Runs wires from a node to all demands, whose ways agree before `at`; `walked` is the part of them since the
    /// node. Where they part, or one of them ends, they get a splice.
    fn branch(&mut self, node: NodeIx, mut walked: Vec<Stretch>, at: usize, demands: Vec<Demand>, name: &str) {
        let Some(first) = demands.first() else { return };
        let here = first.way[at].place.clone();
        let (ends, onward): (Vec<_>, Vec<_>) = demands.into_iter().partition(|demand| demand.way.len() == at + 1);
        let mut groups: BTreeMap<Place, Vec<Demand>> = BTreeMap::new();
        for demand in onward {
            groups.entry(demand.way[at + 1].place.clone()).or_default().push(demand);
        }
        let mut node = node;
        let mut used = 0.0;
        if ends.len() + groups.len() > 1 {
            // Half-way along the shortest of them.
            let all = ends.iter().chain(groups.values().flatten());
            used = all.map(|demand| demand.way[at].metres.0 / 2.0).fold(f64::INFINITY, f64::min);
            walked.push(Stretch { place: here.clone(), metres: Metres(used) });
            node = self.splice(node, std::mem::take(&mut walked), &here, name);
        }
        let rest = |demand: &Demand| {
            let mut way = walked.clone();
            way.push(Stretch { place: here.clone(), metres: Metres(demand.way[at].metres.0 - used) });
            way
        };
        for demand in ends {
            let way = rest(&demand);
            self.end(node, way, demand.end);
        }
        for group in groups.into_values() {
            let way = group.first().map(rest).unwrap_or_default();
            self.branch(node, way, at + 1, group, name);
        }
    }

    /// A trunk to a splice where ways part.
    fn splice(&mut self, from: NodeIx, path: Vec<Stretch>, here: &Place, name: &str) -> NodeIx {
        let (place, zone) = match here {
            Place::Zone(zone) => (zone.as_str(), Some(zone.clone())),
            Place::Passage(passage) => (passage.as_str(), None),
        };
        let label = match &zone {
            Some(zone) => format!("assumed splice at {}", self.places.label(zone)),
            None => "assumed splice".to_owned(),
        };
        let to = self.node(NodeId(format!("assumed:splice:{place}{name}")), zone, NodeKind::Joint(None), label);
        self.wire(RunId(format!("assumed:trunk:{place}{name}")), from, to, path);
        to
    }

    /// The last wire to a demand.
    fn end(&mut self, from: NodeIx, mut path: Vec<Stretch>, end: End) {
        let LoadEnd { load, feed, zone, switch } = match end {
            End::Load(end) => end,
            End::Group { run, to } => return self.wire(run, from, to, path),
        };
        if path.is_empty() {
            path.extend(zone.clone().map(|zone| Stretch { place: Place::Zone(zone), metres: Metres(UNKNOWN_METRES) }));
        }
        let to = match switch {
            None => feed,
            Some(closed_when) => {
                let id = format!("assumed:switch:{load}");
                let label = format!("switch before {}", self.label_of(feed));
                let before = self.node(NodeId(id.clone()), zone.clone(), NodeKind::Joint(None), label);
                let (id, ohms) = (SwitchId(id), Ohms(SWITCH_OHMS));
                self.switches.push(HarnessSwitch {
                    id,
                    from: before,
                    to: feed,
                    closed_when,
                    ohms,
                    zone,
                    assumed: true,
                });
                before
            }
        };
        self.wire(RunId(format!("assumed:{load}.feed")), from, to, path);
    }

    /// Grounds every load about whose return nothing was said.
    pub(super) fn assumed_returns(&mut self, loads: &[KnownLoad]) {
        let mut in_order: Vec<&KnownLoad> = loads.iter().filter(|load| load.assume_return).collect();
        in_order.order_by(|one, other| one.id.cmp(&other.id));
        for load in in_order {
            let Some(&from) = self.by_name.get(&load.return_) else { continue };
            let way = load.zone.as_ref().and_then(|zone| self.places.way_to_ground(zone)).unwrap_or_default();
            let by = match way.last() {
                Some(Stretch { place: Place::Zone(zone), .. }) => {
                    format!("the ground point at {}", self.places.label(zone))
                }
                _ => format!("a ground point {GROUND_METRES} m away"),
            };
            self.notes.push(format!("{}: how it is grounded was not stated; a wire to {by} was assumed.", load.label));
            self.wire(RunId(format!("assumed:{}.return", load.id)), from, NodeIx::GROUND, way);
            if let Some(run) = self.runs.last_mut().filter(|run| run.path.is_empty()) {
                run.length = Metres(GROUND_METRES);
            }
        }
    }

    /// What was said of a load's own wire belongs to the one that was assumed for it.
    pub(super) fn own_wires(&mut self) {
        let said = self
            .file
            .loads
            .iter()
            .filter_map(|load| Some((RunId(format!("assumed:{}.feed", load.id)), load.wire.as_ref()?)));
        let said: HashMap<RunId, &OwnWire> = said.collect();
        for run in self.runs.iter_mut().filter(|run| run.assumed) {
            let Some(wire) = said.get(&run.id) else { continue };
            run.colour = wire.colour.clone();
            let area = positive(wire.area_mm2).map(SquareMillimetres);
            run.area_assumed = area.is_none();
            run.area = area.unwrap_or_default();
        }
    }

    /// An assumed wire.
    fn wire(&mut self, id: RunId, from: NodeIx, to: NodeIx, path: Vec<Stretch>) {
        let length = Metres(if path.is_empty() { UNKNOWN_METRES } else { length(&path) });
        self.runs.push(HarnessRun::assumed(id, from, to, length, path));
    }
}

fn sorted(conditions: &[Condition]) -> Vec<Condition> {
    let mut sorted = conditions.to_vec();
    sorted.order_by(Ord::cmp);
    sorted
}

fn words(conditions: &[Condition]) -> String {
    conditions.iter().map(Condition::as_str).collect::<Vec<_>>().join(", ")
}
