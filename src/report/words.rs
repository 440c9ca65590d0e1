//! How are the terms of a job said on paper?

use chrono::{DateTime, Utc};

use crate::circuit::colour::WireColour;
use crate::circuit::file::{FuseStyle, Load, LoadKind, OptionState};
use crate::ids::Condition;
use crate::job::act::{FreshFuse, HandOverWay, Stage};
use crate::search::evidence::{Heat, Motion, Seen};

/// What the word means, for a reader who is not of the trade.
pub(super) fn seen_meaning(seen: Seen) -> &'static str {
    match seen {
        Seen::Sound => "nothing wrong",
        Seen::Marked => "covering rubbed or dented, insulation whole",
        Seen::Thinned => "insulation thinner, no metal seen",
        Seen::Bare => "metal of the wire seen",
        Seen::Severed => "wire parted",
        Seen::NotSeen => "the place could not be seen",
    }
}

pub(super) fn stage(stage: Stage) -> &'static str {
    match stage {
        Stage::Lie => "As it lies, before it was touched",
        Stage::Lifted => "Lifted",
        Stage::Close => "Close, with something for scale",
        Stage::Repaired => "After the repair",
        Stage::Other => "Photograph",
    }
}

/// What was tried, and what it showed.
pub(super) fn fresh_fuse(fresh: FreshFuse, style: FuseStyle) -> Option<(&'static str, &'static str)> {
    let tried = if style.resets() { "With the breaker closed" } else { "With a fresh fuse" };
    let showed = match fresh {
        FreshFuse::NotTried => return None,
        FreshFuse::Holds if style.resets() => "It stays closed: the short comes and goes.",
        FreshFuse::OpensAtOnce if style.resets() => {
            "It trips at once, again and again: the short was there when the work began."
        }
        FreshFuse::Holds => "A fresh fuse holds: the short comes and goes.",
        FreshFuse::OpensAtOnce => "A fresh fuse opens at once: the short was there when the work began.",
    };
    Some((tried, showed))
}

pub(super) fn motion(motion: Motion) -> &'static str {
    match motion {
        Motion::Still => "standing",
        Motion::Smooth => "smooth road",
        Motion::Rough => "rough road",
        Motion::Turning => "turning",
        Motion::DoorMoved => "a door or lid was moved",
    }
}

pub(super) fn heat(heat: Heat) -> &'static str {
    match heat {
        Heat::Cold => "cold",
        Heat::Warm => "warm",
        Heat::Hot => "hot",
    }
}

pub(super) fn state(state: &[Condition]) -> String {
    match state {
        [] => "nothing switched on".to_owned(),
        some => some.iter().map(|condition| condition.as_str().replace('_', " ")).collect::<Vec<_>>().join(", "),
    }
}

pub(super) fn way(way: HandOverWay) -> &'static str {
    match way {
        HandOverWay::File => "as a file",
        HandOverWay::Print => "printed",
        HandOverWay::Desk => "to the desk",
    }
}

pub(super) fn option(state: OptionState) -> &'static str {
    match state {
        OptionState::Fitted => "fitted",
        OptionState::Absent => "not on this vehicle",
        OptionState::RemovedWiringLeft => "removed, wiring left",
    }
}

pub(super) fn load_kind(kind: LoadKind) -> &'static str {
    match kind {
        LoadKind::FilamentLamp => "filament lamp",
        LoadKind::LedLamp => "LED lamp",
        LoadKind::Motor => "motor",
        LoadKind::Heater => "heater",
        LoadKind::RelayCoil => "relay coil",
        LoadKind::Solenoid => "solenoid",
        LoadKind::Module => "control unit",
        LoadKind::Sensor => "sensor",
        LoadKind::Sounder => "sounder",
        LoadKind::Socket => "socket",
        LoadKind::Resistor => "resistor",
    }
}

/// What a load was stated to take. Empty: nothing was stated.
pub(super) fn load_size(load: &Load) -> String {
    let at = load.rated_volts.map(|volts| format!(" at {volts}\u{a0}V")).unwrap_or_default();
    match (load.watts, load.amps, load.ohms) {
        (Some(watts), _, _) => format!("{watts}\u{a0}W{at}"),
        (_, Some(amps), _) => format!("{amps}\u{a0}A{at}"),
        (_, _, Some(ohms)) => format!("{ohms}\u{a0}Ω"),
        _ => String::new(),
    }
}

/// A wire's colour as its code and in words: `BK/YE, black with yellow`. Unknown codes stay as they are.
pub(super) fn colour(code: &str) -> String {
    match WireColour::from_code(code) {
        Some(colour) => format!("{code}, {}", colour.words()),
        None => code.to_owned(),
    }
}

pub(super) fn day(at: DateTime<Utc>) -> String {
    at.format("%-d %B %Y").to_string()
}

pub(super) fn moment(at: DateTime<Utc>) -> String {
    at.format("%-d %b %Y, %H:%M").to_string()
}

/// `1 look`, `2 looks`.
pub(super) fn count(number: usize, one: &str, more: &str) -> String {
    format!("{number} {}", if number == 1 { one } else { more })
}
