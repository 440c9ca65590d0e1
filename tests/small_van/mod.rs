//! A small invented van with a circuit of seven wires.
//!
//! ```text
//! fuse ─r1─ s1 ─r2─ c2 ─sw1─ g1 ─r5─ g2 ─r6─ reversing lamp (rear door)
//!            └─r3─ c1 ─r4─ tail lamp ─r7─ ground
//! ```
use loomwalk::circuit::file::{Fuse, FuseStyle, LoadKind, MarkKind};
use loomwalk::circuit::harness::{
    Harness, HarnessLoad, HarnessMark, HarnessRun, HarnessSwitch, Node, NodeIx, NodeKind, Place, Source, Stretch,
};
use loomwalk::search::plan::Search;
use loomwalk::units::{Metres, Ohms, SquareMillimetres};
use loomwalk::vehicle::body::ZoneMap;

/// The fuse.
pub const FUSE: Fuse = Fuse {
    label: String::new(),
    rating_a: 15.0,
    style: FuseStyle::Blade,
    zone: None,
    ohms: None,
    live_when: Vec::new(),
};

/// The zone map of the small van.
pub fn map() -> ZoneMap {
    serde_json::from_str(include_str!("../cases/plans/small.body.json")).unwrap()
}

fn node(id: &str, kind: NodeKind) -> Node {
    Node { id: id.into(), zone: None, kind, label: String::new() }
}

/// A wire of 0.75 mm² through places: `zone`, or `>passage`, each with its metres.
fn run(id: &str, from: usize, to: usize, colour: &str, way: &[(&str, f64)]) -> HarnessRun {
    let stretch = |(place, metres): &(&str, f64)| {
        let place = match place.strip_prefix('>') {
            Some(passage) => Place::Passage(passage.into()),
            None => Place::Zone((*place).into()),
        };
        Stretch { place, metres: Metres(*metres) }
    };
    let length: f64 = way.iter().map(|(_, metres)| metres).sum();
    HarnessRun {
        id: id.into(),
        from: NodeIx(from),
        to: NodeIx(to),
        ohms: Ohms(length * 0.017241 / 0.75),
        length: Metres(length),
        area: SquareMillimetres(0.75),
        colour: Some(colour.to_owned()),
        path: way.iter().map(stretch).collect(),
        assumed: false,
        area_assumed: false,
        lead: false,
    }
}

/// The circuit.
pub fn harness() -> Harness {
    let terminal = |id: &str, load: &str| node(id, NodeKind::Terminal(load.into()));
    let load = |id: &str, feed, return_, zone: &str| HarnessLoad {
        id: id.into(),
        label: String::new(),
        kind: LoadKind::FilamentLamp,
        feed: NodeIx(feed),
        return_: NodeIx(return_),
        ohms: Ohms(6.9),
        at_rest: None,
        zone: Some(zone.into()),
        live_when: Vec::new(),
    };
    Harness {
        nodes: vec![
            node("ground", NodeKind::Ground),
            node("fuse", NodeKind::Fuse),
            node("s1", NodeKind::Joint(Some("s1".into()))),
            node("c1", NodeKind::Connector(Some("c1".into()))),
            Node { zone: Some("gearbox_top".into()), ..node("c2", NodeKind::Connector(Some("c2".into()))) },
            node("g1", NodeKind::Joint(None)),
            node("g2", NodeKind::Joint(None)),
            terminal("l1.feed", "l1"),
            terminal("l1.return", "l1"),
            terminal("l2.feed", "l2"),
        ],
        runs: vec![
            run("r1", 1, 2, "BK/YE", &[("dash_left", 0.6), (">dash_to_sill", 0.1), ("sill_left", 0.4)]),
            run(
                "r2",
                2,
                4,
                "GN",
                &[("sill_left", 0.3), (">floor_grommet", 0.1), ("underbody_tunnel", 0.9), (">tunnel_to_gearbox", 0.1)],
            ),
            run("r3", 2, 3, "BK/YE", &[("sill_left", 0.8)]),
            run("r4", 3, 7, "BK/YE", &[(">sill_to_tail", 0.2), ("tail_left", 0.4)]),
            run("r5", 5, 6, "GN", &[("gearbox_top", 0.5), ("tail_left", 0.5)]),
            run("r6", 6, 9, "GN", &[(">rear_boot", 0.3), ("rear_closure", 0.6)]),
            run("r7", 8, 0, "BN", &[("tail_left", 0.3)]),
        ],
        switches: vec![HarnessSwitch {
            id: "sw1".into(),
            from: NodeIx(4),
            to: NodeIx(5),
            closed_when: vec!["reverse".into()],
            ohms: Ohms(0.005),
            zone: Some("gearbox_top".into()),
            assumed: false,
        }],
        loads: vec![load("l1", 7, 8, "tail_left"), load("l2", 9, 0, "rear_closure")],
        marks: vec![HarnessMark {
            id: "m1".into(),
            run: 1,
            at: Metres(0.6),
            kind: MarkKind::NoGrommet,
            note: String::new(),
        }],
        area_marks: Vec::new(),
        source: Source {
            volts: 12.6,
            supply_ohms: Ohms(0.02),
            fuse_ohms: Ohms(0.005),
            live_when: vec!["key_on".into()],
        },
        fuse_zone: "dash_left".into(),
        assumptions: Vec::new(),
        unplaced: Vec::new(),
    }
}

/// The search on it.
pub fn small() -> Search {
    Search::new(&harness(), &map(), &FUSE)
}
