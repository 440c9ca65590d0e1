//! From text that someone else wrote to loads of this circuit.
//!
//! - [`paste`]: a list copied from anywhere, one load a line.
//! - [`table`]: a CSV file, once it is known which column is what.
//!
//! Both give [`Entry`]s: what was understood, how sure that is, and which words were not. Nothing is dropped without
//! a word, and nothing goes on the circuit before someone has said yes.

mod parts;
pub mod paste;
pub mod table;
mod tokens;
mod told;

use super::kind::Kind;
use super::recognise::Found;
use crate::circuit::colour::WireColour;
use crate::circuit::file::{Load, LoadKind, OwnWire, Side};
use crate::circuit::wire::area_of_awg;
use crate::ids::{LoadId, ZoneId};

/// No more loads than these come of one line.
pub const MOST_OF_ONE: u32 = 12;

/// What was understood of a line or row about one kind of load.
#[derive(Debug, Clone, PartialEq)]
pub struct Entry {
    /// The words that name it, as written.
    pub name: String,
    /// What that is in the catalogue.
    pub found: Found,
    /// On which side it is said to be.
    pub sides: Sides,
    /// How many there are said to be.
    pub count: Option<u32>,
    /// Lamp category of UN R37, as the regulation writes it.
    pub lamp: Option<&'static str>,
    /// How big it is said to be.
    pub size: Option<Stated>,
    /// The voltage at which that is said, V.
    pub rated_volts: Option<f64>,
    /// It is said to be made of light-emitting diodes.
    pub led: bool,
    /// The colour of its wire.
    pub colour: Option<WireColour>,
    /// The size of its wire.
    pub gauge: Option<Gauge>,
    /// The length of its wire, m. A load cannot keep it: a wire of stated length is a run of its own.
    pub length_m: Option<f64>,
    /// Where it is said to be.
    pub zone: Option<ZoneId>,
    /// What was not understood, as written.
    pub left_over: Vec<String>,
}

/// On which side a load is said to be.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Sides {
    /// Nothing was said. Of a thing that comes in pairs, both are proposed.
    #[default]
    NotSaid,
    /// One of them.
    One(Side),
    /// Left and right.
    Both,
}

/// How big a load is said to be.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Stated {
    /// W.
    Watts(f64),
    /// A.
    Amps(f64),
    /// Ω.
    Ohms(f64),
}

/// The size of a wire.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Gauge {
    /// Cross-section, mm².
    AreaMm2(f64),
    /// American wire gauge.
    Awg(f64),
}

impl Gauge {
    /// Cross-section, mm².
    pub fn area_mm2(self) -> f64 {
        match self {
            Self::AreaMm2(area) => area,
            Self::Awg(gauge) => area_of_awg(gauge).0,
        }
    }
}

impl Entry {
    /// The loads to put on the circuit: left and right of a pair, as many as were counted. `id` gives each its own.
    pub fn loads(&self, mut id: impl FnMut() -> LoadId) -> Vec<Load> {
        let count = self.count.unwrap_or(1).clamp(1, MOST_OF_ONE);
        let sides: Vec<Option<Side>> = match (self.sides, self.found.kind()) {
            (Sides::One(side), Some(Kind::Pair { .. }) | None) => vec![Some(side)],
            (Sides::Both, None) | (Sides::Both | Sides::NotSaid, Some(Kind::Pair { .. })) => {
                vec![Some(Side::Left), Some(Side::Right)]
            }
            (_, Some(Kind::One(_))) | (Sides::NotSaid, None) => vec![None],
        };
        // Left first, so that of three two are there. Of one whose side is not said, either side is proposed.
        let on_each = |at: usize| match sides.len() {
            2 => (count + 1 - at as u32).div_euclid(2).max(1),
            _ => count,
        };
        let numbered = on_each(0) > 1;
        let all = sides.iter().enumerate().flat_map(|(at, side)| (1..=on_each(at)).map(move |number| (*side, number)));
        all.map(|(side, number)| self.load(id(), side, numbered.then_some(number))).collect()
    }

    fn load(&self, id: LoadId, side: Option<Side>, number: Option<u32>) -> Load {
        let item = self.found.kind().map(|kind| kind.on(side.unwrap_or_default()));
        let exact = match self.found {
            Found::Exact(kind) => Some(kind.label()),
            _ => None,
        };
        let mut label = exact.unwrap_or(&self.name).to_owned();
        match side {
            Some(Side::Left) => label.push_str(", left"),
            Some(Side::Right) => label.push_str(", right"),
            None => {}
        }
        if let Some(number) = number {
            label.push_str(&format!(" {number}"));
        }
        let (mut watts, mut amps, mut ohms) = (None, None, None);
        match self.size {
            Some(Stated::Watts(value)) => watts = Some(value),
            Some(Stated::Amps(value)) => amps = Some(value),
            Some(Stated::Ohms(value)) => ohms = Some(value),
            None => {}
        }
        let is_lamp = item.is_none_or(|item| matches!(item.kind, LoadKind::FilamentLamp | LoadKind::LedLamp));
        let kind = (self.led && is_lamp).then_some(LoadKind::LedLamp);
        let colour = self.colour.map(|colour| colour.to_string());
        let area_mm2 = self.gauge.map(Gauge::area_mm2);
        let wire = OwnWire { colour, area_mm2 };
        Load {
            id,
            label,
            kind,
            item: item.map(|item| item.id.clone()),
            ohms,
            watts,
            amps,
            rated_volts: self.rated_volts.filter(|_| ohms.is_none() && self.size.is_some()),
            zone: self.zone.clone(),
            feed: None,
            return_: None,
            via: Vec::new(),
            wire: (wire != OwnWire::default()).then_some(wire),
            option: item.and_then(|item| item.option.clone()),
            live_when: Vec::new(),
        }
    }
}
