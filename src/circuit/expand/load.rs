//! What is known of each load, once catalogue and class have supplied what was not stated?

use std::collections::HashSet;
use std::sync::OnceLock;

use serde::Deserialize;

use super::super::file::{Load, LoadKind, OptionState};
use super::super::harness::Place;
use super::{Build, positive};
use crate::catalogue::{self, Item, Size, SwitchedSide};
use crate::ids::{Condition, LoadId, NodeId, ZoneId};
use crate::objects;
use crate::units::{Amps, Ohms, Volts};

/// The voltage at which a size is stated if nothing else is said (03-formats §1).
const RATED_VOLTS: f64 = 12.0;

/// A load whose wiring is in the vehicle.
#[derive(Debug, Clone)]
pub(super) struct KnownLoad {
    pub(super) id: LoadId,
    pub(super) label: String,
    pub(super) kind: LoadKind,
    pub(super) ohms: Ohms,
    /// At rest, where the catalogue says it.
    pub(super) at_rest: Option<Ohms>,
    /// What it takes at 12 V.
    pub(super) amps: Amps,
    pub(super) zone: Option<ZoneId>,
    pub(super) live_when: Vec<Condition>,
    /// What a switch in its feed would wait for, if such a load usually has one there: its conditions, without those
    /// on which the fuse is fed anyway.
    pub(super) feed_switch: Vec<Condition>,
    /// Where that switch usually is.
    pub(super) switch_zone: Option<ZoneId>,
    /// What its feed was said to go through.
    pub(super) via: Vec<Place>,
    /// The load was taken out, its wiring left.
    pub(super) removed: bool,
    /// The nodes of its terminals.
    pub(super) feed: NodeId,
    pub(super) return_: NodeId,
    /// Nothing was said about how the terminal is wired.
    pub(super) assume_feed: bool,
    pub(super) assume_return: bool,
    /// The nodes that it was said to be wired to.
    pub(super) stated_feed: Option<NodeId>,
    pub(super) stated_return: Option<NodeId>,
}

impl KnownLoad {
    /// An assumed switch in its feed makes it live or dead, not the load itself.
    pub(super) fn has_feed_switch(&self) -> bool {
        self.assume_feed && !self.feed_switch.is_empty()
    }
}

/// The name of a load's feed terminal.
pub(super) fn feed(load: &LoadId) -> NodeId {
    NodeId(format!("{load}.feed"))
}

/// The name of a load's return terminal.
pub(super) fn return_(load: &LoadId) -> NodeId {
    NodeId(format!("{load}.return"))
}

fn item(load: &Load) -> Option<&'static Item> {
    load.item.as_ref().and_then(catalogue::item)
}

impl Build<'_> {
    /// The loads whose wiring is in the vehicle, in the order of the file.
    pub(super) fn known_loads(&mut self) -> Vec<KnownLoad> {
        let mut seen = HashSet::new();
        let mut known = Vec::new();
        for load in self.file.loads.iter().filter(|load| seen.insert(&load.id)) {
            let state = self.file.state_of(load);
            let item = load.item.as_ref().and_then(catalogue::item);
            let label = match item {
                _ if !load.label.is_empty() => &load.label,
                Some(item) => &item.label,
                None => load.id.as_str(),
            };
            if state == OptionState::Absent {
                self.notes.push(format!("{label}: not on this vehicle; left out with the wiring of its own."));
                continue;
            }
            if state == OptionState::RemovedWiringLeft {
                self.notes.push(format!("{label}: taken out; its wiring is still there and counts."));
            }
            known.push(self.known_load(load, label, state == OptionState::RemovedWiringLeft));
        }
        known
    }

    fn known_load(&mut self, load: &Load, label: &str, removed: bool) -> KnownLoad {
        let item = item(load);
        let kind = load.kind.or(item.map(|item| item.kind)).unwrap_or(LoadKind::Resistor);
        if load.kind.is_none() && item.is_none() {
            self.notes
                .push(format!("{label}: what kind of load it is was not stated; a plain resistance was assumed."));
        }
        let ohms = self.ohms(load, label, kind, item);
        let vehicle = &self.file.vehicle;
        let from_item = item.filter(|_| load.zone.is_none()).map(|item| item.zone_of(vehicle));
        let zone = load.zone.as_ref().or(from_item.as_ref()).and_then(|zone| self.places.known(zone));
        match (&zone, &from_item) {
            (Some(zone), Some(_)) => {
                let zone = self.places.label(zone);
                self.notes.push(format!("{label}: its place was not stated; such a thing usually sits at {zone}."));
            }
            (Some(_), None) => {}
            (None, _) => self.notes.push(format!(
                "{label}: its place is not known, so nobody can be sent there; its share of the chance goes to \
                 \"not listed\"."
            )),
        }
        let from_item = item.filter(|_| load.live_when.is_empty());
        let live_when = from_item.map_or(&load.live_when, |item| &item.live_when).clone();
        if from_item.is_some() && !live_when.is_empty() {
            let conditions: Vec<_> = live_when.iter().map(Condition::as_str).collect();
            let conditions = conditions.join(", ");
            self.notes
                .push(format!("{label}: when it is live was not stated; such a thing usually is with {conditions}."));
        }
        let in_feed = item.is_some_and(|item| item.switched == SwitchedSide::Feed);
        let fed_anyway = &self.file.fuse.live_when;
        let waits_for = live_when.iter().filter(|condition| in_feed && !fed_anyway.contains(condition));
        let feed_switch = waits_for.cloned().collect();
        let switch_zone = item.and_then(|item| item.switch_zone_of(&self.file.vehicle));
        let switch_zone = switch_zone.and_then(|zone| self.places.known(&zone));
        KnownLoad {
            id: load.id.clone(),
            label: label.to_owned(),
            kind,
            ohms,
            at_rest: item.filter(|item| item.kind == kind).and_then(|item| item.at_rest_by(ohms)),
            amps: Volts(RATED_VOLTS) / ohms,
            zone,
            live_when,
            feed_switch,
            switch_zone,
            via: load.via.clone(),
            removed,
            feed: feed(&load.id),
            return_: return_(&load.id),
            assume_feed: false,
            assume_return: false,
            stated_feed: load.feed.clone(),
            stated_return: load.return_.clone(),
        }
    }

    /// Running resistance: as stated, else by the catalogue, else by the class.
    fn ohms(&mut self, load: &Load, label: &str, kind: LoadKind, item: Option<&Item>) -> Ohms {
        let volts = positive(load.rated_volts).unwrap_or(RATED_VOLTS);
        let stated = positive(load.ohms)
            .or_else(|| positive(load.watts).map(|watts| volts * volts / watts))
            .or_else(|| positive(load.amps).map(|amps| volts / amps));
        if let Some(ohms) = stated {
            return Ohms(ohms);
        }
        // A thing of another class than the catalogue's, such as an LED lamp in place of a filament's, has another size.
        if let Some(item) = item.filter(|item| item.kind == kind) {
            let size = match item.size {
                Size::Watts { watts, at_volts } => format!("{watts} W at {at_volts} V"),
                Size::Amps(amps) => format!("{amps} A"),
                Size::Ohms(ohms) => format!("{ohms} Ω"),
            };
            if let Some(ohms) = positive(Some(item.size.ohms().0)) {
                self.notes
                    .push(format!("{label}: its size was not stated; {size} is in the catalogue ({}).", item.source));
                return Ohms(ohms);
            }
        }
        let class = class(kind);
        let (amps, source) = (class.amps, &class.source);
        self.notes.push(format!("{label}: its size was not stated; {amps} A was assumed for its class ({source})."));
        Ohms(RATED_VOLTS / amps)
    }
}

/// What a load of a class takes at 12 V if nothing else is known.
#[derive(Debug, Deserialize)]
struct Class {
    amps: f64,
    source: String,
}

fn class(kind: LoadKind) -> &'static Class {
    #[derive(Debug, Deserialize)]
    #[serde(deny_unknown_fields)]
    struct Classes {
        filament_lamp: Class,
        led_lamp: Class,
        motor: Class,
        heater: Class,
        relay_coil: Class,
        solenoid: Class,
        module: Class,
        sensor: Class,
        sounder: Class,
        socket: Class,
        resistor: Class,
    }
    static CLASSES: OnceLock<Classes> = OnceLock::new();
    // Built into the program and read by the tests: no user can make it fail.
    #[allow(clippy::expect_used)]
    let classes = CLASSES.get_or_init(|| {
        let text = include_str!(concat!(env!("OUT_DIR"), "/values/load_classes.json"));
        objects::from_str(text).expect("the shipped load classes are sound")
    });
    match kind {
        LoadKind::FilamentLamp => &classes.filament_lamp,
        LoadKind::LedLamp => &classes.led_lamp,
        LoadKind::Motor => &classes.motor,
        LoadKind::Heater => &classes.heater,
        LoadKind::RelayCoil => &classes.relay_coil,
        LoadKind::Solenoid => &classes.solenoid,
        LoadKind::Module => &classes.module,
        LoadKind::Sensor => &classes.sensor,
        LoadKind::Sounder => &classes.sounder,
        LoadKind::Socket => &classes.socket,
        LoadKind::Resistor => &classes.resistor,
    }
}
