//! Which zone map is this vehicle's? By body style, engine place, driver's side and size class.

use std::sync::OnceLock;

use super::body::ZoneMap;
use super::engine::EngineMove;
use crate::circuit::file::{Body, EnginePlace, Side, Vehicle};
use crate::objects;

/// A zone map as it is for one vehicle, and what had to stand in for something else.
#[derive(Debug, Clone, PartialEq)]
pub struct FittedMap {
    /// The map, mirrored if the driver sits on the right.
    pub map: ZoneMap,
    /// In words: where usual ids are when the engine is not in front, or that there is no map of such a vehicle. They
    /// are among what a harness in this map assumes.
    pub notes: Vec<String>,
}

/// The zone map for a vehicle.
///
/// With the driver on the right, what follows the driver (steering column, pedals, glove box, the side door at the
/// kerb) changes sides; everything else, such as battery, exhaust, tank and the fuse box at `dash_left`, stays where
/// it is. A body of which there is no map with the engine in that place is taken to have it in front. The size class
/// changes lengths only, neither places nor ways.
pub fn fit(vehicle: &Vehicle) -> FittedMap {
    let plain = built_in(vehicle.body);
    let (map, note) = match (vehicle.engine, engine_move(vehicle.body, vehicle.engine)) {
        (EnginePlace::Front, _) => (plain.clone(), None),
        (_, Some(moved)) => (moved.apply(plain), Some(moved.note.clone())),
        (place, None) => (plain.clone(), Some(no_such_map(plain, place))),
    };
    let mut map = match vehicle.drive_side {
        Side::Left => map,
        Side::Right => map.mirrored(),
    };
    map.size = vehicle.size;
    FittedMap { map, notes: note.into_iter().collect() }
}

/// The zone map for a vehicle of medium size with the engine in front.
pub fn map_for(body: Body, drive_side: Side) -> FittedMap {
    fit(&Vehicle { body, drive_side, ..Vehicle::default() })
}

/// Where the engine can be in a body style, as far as there are maps; in front always.
pub fn engine_places(body: Body) -> Vec<EnginePlace> {
    let behind = [EnginePlace::Mid, EnginePlace::Rear].into_iter();
    let mapped = behind.filter(|place| engine_move(body, *place).is_some());
    std::iter::once(EnginePlace::Front).chain(mapped).collect()
}

/// Whether lengths in a body style differ by size class.
pub fn has_sizes(body: Body) -> bool {
    built_in(body).lengths.is_some()
}

fn no_such_map(plain: &ZoneMap, place: EnginePlace) -> String {
    let place = match place {
        EnginePlace::Front => "front engine",
        EnginePlace::Mid => "mid engine",
        EnginePlace::Rear => "rear engine",
    };
    let (body, article) = (plain.label.to_lowercase(), plain.article());
    format!("There is no map of {article} {body} with a {place}; it is taken to be in front.")
}

/// The map as shipped, read once a body style.
fn built_in(body: Body) -> &'static ZoneMap {
    static HATCHBACK: OnceLock<ZoneMap> = OnceLock::new();
    static SALOON: OnceLock<ZoneMap> = OnceLock::new();
    static ESTATE: OnceLock<ZoneMap> = OnceLock::new();
    static PANEL_VAN: OnceLock<ZoneMap> = OnceLock::new();
    static PICKUP: OnceLock<ZoneMap> = OnceLock::new();
    static CONVERTIBLE: OnceLock<ZoneMap> = OnceLock::new();
    // Built into the program and read by the tests: no user can make it fail.
    #[allow(clippy::expect_used)]
    let read = |text: &str| objects::from_str(text).expect("a shipped zone map is sound");
    match body {
        Body::Hatchback => {
            HATCHBACK.get_or_init(|| read(include_str!(concat!(env!("OUT_DIR"), "/bodies/hatchback.json"))))
        }
        Body::Saloon => SALOON.get_or_init(|| read(include_str!(concat!(env!("OUT_DIR"), "/bodies/saloon.json")))),
        Body::Estate => ESTATE.get_or_init(|| read(include_str!(concat!(env!("OUT_DIR"), "/bodies/estate.json")))),
        Body::PanelVan => {
            PANEL_VAN.get_or_init(|| read(include_str!(concat!(env!("OUT_DIR"), "/bodies/panel_van.json"))))
        }
        Body::Pickup => PICKUP.get_or_init(|| read(include_str!(concat!(env!("OUT_DIR"), "/bodies/pickup.json")))),
        Body::Convertible => {
            CONVERTIBLE.get_or_init(|| read(include_str!(concat!(env!("OUT_DIR"), "/bodies/convertible.json"))))
        }
    }
}

/// The engines that there are maps for, read once.
fn engine_move(body: Body, engine: EnginePlace) -> Option<&'static EngineMove> {
    static MOVES: OnceLock<Vec<EngineMove>> = OnceLock::new();
    const FILES: [&str; 4] = [
        include_str!(concat!(env!("OUT_DIR"), "/engines/hatchback_rear.json")),
        include_str!(concat!(env!("OUT_DIR"), "/engines/saloon_rear.json")),
        include_str!(concat!(env!("OUT_DIR"), "/engines/convertible_mid.json")),
        include_str!(concat!(env!("OUT_DIR"), "/engines/panel_van_mid.json")),
    ];
    // Built into the program and read by the tests: no user can make it fail.
    #[allow(clippy::expect_used)]
    let read = |text: &&str| objects::from_str(text).expect("a shipped engine place is sound");
    let moves = MOVES.get_or_init(|| FILES.iter().map(read).collect());
    moves.iter().find(|moved| (moved.body, moved.engine) == (body, engine))
}
