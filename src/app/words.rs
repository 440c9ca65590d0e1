//! How are things called on screen?

use chrono::{DateTime, Datelike, Local, Timelike, Utc};

use crate::app::house::{House, WordKind};
use crate::circuit::file::{Body, EnginePlace, FuseStyle, OptionState, Side, SizeClass};
use crate::ids::Condition;
use crate::job::event::{Act, FreshFuse, Stage};
use crate::job::road::RoadMark;
use crate::search::evidence::{Heat, Motion, Seen};
use crate::search::plan::Step;
pub use crate::search::said::chance;

/// What stands where the desk's state is asked for, while it does not know this phone.
pub const UNPAIRED: &str =
    "There is a desk at this address, but this phone is not paired with it: it gets nothing from here.";

/// Conditions that are offered to tick, with what people call them.
pub const CONDITIONS: [(&str, &str); 10] = [
    ("key_on", "Key on"),
    ("engine_running", "Engine running"),
    ("lamps_on", "Lamps on"),
    ("brake", "Brake pressed"),
    ("reverse", "Reverse engaged"),
    ("wipers", "Wipers on"),
    ("turn_left", "Indicator left"),
    ("turn_right", "Indicator right"),
    ("door_open", "Door open"),
    ("accessory", "Accessory on"),
];

/// Ratings that are offered, A: not every style comes in all of them.
pub const RATINGS: [f64; 17] =
    [1.0, 2.0, 3.0, 4.0, 5.0, 7.5, 10.0, 15.0, 20.0, 25.0, 30.0, 35.0, 40.0, 50.0, 60.0, 70.0, 80.0];

/// What is often written at a place, to be tapped instead of typed. Common practice, no source.
pub const PHRASES: [&str; 8] = [
    "Clip missing",
    "Grommet torn",
    "Rubbed through to copper",
    "Rests on a sharp edge",
    "Tape come loose",
    "Green corrosion",
    "Pinched",
    "Repaired here before",
];

/// `translate` for a note: what was typed stays as it was typed, what was tapped is said in the reader's language.
pub fn own(note: &str) -> Option<&'static str> {
    (!PHRASES.contains(&note)).then_some("no")
}

/// All outcomes of a look, in the order in which they are offered.
pub const OUTCOMES: [Seen; 6] = [Seen::Sound, Seen::Marked, Seen::Thinned, Seen::Bare, Seen::Severed, Seen::NotSeen];

/// What a look showed, in a word or two.
pub fn seen(seen: Seen) -> &'static str {
    match seen {
        Seen::Sound => "Sound",
        Seen::Marked => "Marked",
        Seen::Thinned => "Thinned",
        Seen::Bare => "Bare",
        Seen::Severed => "Severed",
        Seen::NotSeen => "Not seen",
    }
}

/// What that means.
pub fn seen_means(seen: Seen) -> &'static str {
    match seen {
        Seen::Sound => "nothing wrong",
        Seen::Marked => "rubbed, insulation whole",
        Seen::Thinned => "insulation thin, no copper",
        Seen::Bare => "copper shows",
        Seen::Severed => "wire parted",
        Seen::NotSeen => "could not see the place",
    }
}

/// How the vehicle moved.
pub fn motion(motion: Motion) -> &'static str {
    match motion {
        Motion::Still => "Standing still",
        Motion::Smooth => "Smooth road",
        Motion::Rough => "Rough road",
        Motion::Turning => "In a turn",
        Motion::DoorMoved => "A door or lid moved",
    }
}

/// How warm it was.
pub fn heat(heat: Heat) -> &'static str {
    match heat {
        Heat::Cold => "Cold",
        Heat::Warm => "Warm",
        Heat::Hot => "Hot",
    }
}

/// A condition; one that nobody has named is shown with its underscores as spaces.
pub fn condition(condition: &Condition) -> String {
    let known = CONDITIONS.iter().find(|(id, _)| *id == condition.as_str());
    known.map_or_else(|| capital(&condition.as_str().replace('_', " ")), |(_, label)| (*label).to_owned())
}

/// With a capital letter in front.
fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// Conditions in one line.
pub fn state(state: &[Condition]) -> String {
    if state.is_empty() {
        return "nothing switched on".to_owned();
    }
    state.iter().map(condition).collect::<Vec<_>>().join(", ")
}

/// A body style.
pub fn body(body: Body) -> &'static str {
    body.name()
}

/// All body styles, in the order in which they are offered.
pub const BODIES: [Body; 6] =
    [Body::Hatchback, Body::Saloon, Body::Estate, Body::PanelVan, Body::Pickup, Body::Convertible];

/// Where the engine sits.
pub fn engine_place(place: EnginePlace) -> &'static str {
    match place {
        EnginePlace::Front => "In front",
        EnginePlace::Mid => "Under or behind the front seats",
        EnginePlace::Rear => "At the rear",
    }
}

/// How long a vehicle is among those of its body style.
pub fn size_class(size: SizeClass) -> &'static str {
    match size {
        SizeClass::Short => "Short",
        SizeClass::Medium => "Usual, or only one",
        SizeClass::Long => "Long",
    }
}

/// All size classes, the shortest first.
pub const SIZES: [SizeClass; 3] = [SizeClass::Short, SizeClass::Medium, SizeClass::Long];

/// Whether the vehicle has something.
pub fn option_state(state: OptionState) -> &'static str {
    match state {
        OptionState::Fitted => "On this vehicle",
        OptionState::Absent => "Not on this vehicle",
        OptionState::RemovedWiringLeft => "Removed, wiring left",
    }
}

/// What a photograph shows.
pub fn stage(stage: Stage) -> &'static str {
    match stage {
        Stage::Lie => "As it lies",
        Stage::Lifted => "Lifted",
        Stage::Close => "Close, with scale",
        Stage::Repaired => "After the repair",
        Stage::Other => "Other",
    }
}

/// How a fuse is built.
pub fn fuse_style(style: FuseStyle) -> &'static str {
    match style {
        FuseStyle::Blade => "Blade",
        FuseStyle::Mini => "Mini blade",
        FuseStyle::Maxi => "Maxi blade",
        FuseStyle::Cartridge => "Slow cartridge",
        FuseStyle::Breaker => "Breaker, resets by itself",
    }
}

/// Whether a fresh fuse holds, or a breaker stays closed.
pub fn fresh_fuse(fresh: FreshFuse, style: FuseStyle) -> &'static str {
    match fresh {
        FreshFuse::NotTried => "Not tried yet",
        FreshFuse::Holds if style.resets() => "It stays closed",
        FreshFuse::Holds => "It holds",
        FreshFuse::OpensAtOnce if style.resets() => "It trips at once, again and again",
        FreshFuse::OpensAtOnce => "It opens at once",
    }
}

/// Reads a quantity as people type it: a decimal comma is as good as a point. Above 0.
pub fn number(text: &str) -> Option<f64> {
    figure(text).filter(|value| *value > 0.0)
}

/// Minutes as people read them.
pub fn minutes(minutes: f64) -> String {
    if minutes < 1.0 {
        "under 1 min".to_owned()
    } else if minutes < 10.0 {
        let text = format!("{minutes:.1}");
        format!("{} min", text.strip_suffix(".0").unwrap_or(&text))
    } else if minutes < 90.0 {
        format!("{minutes:.0} min")
    } else {
        // Rounded as a whole, so that no hour has 60 minutes.
        let whole = minutes.round();
        format!("{:.0} h {:02.0} min", (whole / 60.0).floor(), whole % 60.0)
    }
}

/// Which of a pair.
pub fn sides(side: Option<Side>) -> &'static str {
    match side {
        None => "Both",
        Some(Side::Left) => "Left",
        Some(Side::Right) => "Right",
    }
}

/// A figure as people type it: a decimal comma is as good as a point.
pub fn figure(text: &str) -> Option<f64> {
    text.trim().replace(',', ".").parse().ok().filter(|value: &f64| value.is_finite())
}

/// A figure from 0 up, or nothing. Of anything else the user is told, and what was kept stays.
pub fn figure_or_none(house: House, text: &str) -> Option<Option<f64>> {
    let figure = figure(text).filter(|figure| *figure >= 0.0);
    if figure.is_none() && !text.trim().is_empty() {
        house.say(WordKind::Trouble, format!("“{text}” is no number from 0 up. What was kept before stays."));
        return None;
    }
    Some(figure)
}

/// So many photographs and recordings of a job are neither at the desk nor here.
pub fn not_here(number: usize) -> String {
    format!("The desk has all of it, but for photographs and recordings that are not here either: {number}.")
}

/// How many of something.
pub fn count(number: usize, one: &str, more: &str) -> String {
    format!("{number} {}", if number == 1 { one } else { more })
}

/// An error's words as a sentence: they begin small, so that they can follow others.
pub fn sentence(text: &str) -> String {
    let end = if text.ends_with(['.', '!', '?']) { "" } else { "." };
    format!("{}{end}", capital(text))
}

/// Bytes as people read them.
pub fn size(bytes: f64) -> String {
    const KB: f64 = 1000.0;
    if bytes < 1000.0 * KB {
        format!("{:.0} kB", bytes / KB)
    } else if bytes < 1000.0 * KB * KB {
        format!("{:.1} MB", bytes / KB / KB)
    } else {
        format!("{:.1} GB", bytes / KB / KB / KB)
    }
}

/// A time of day where the user is: `14:03:07`.
pub fn clock(at: DateTime<Utc>) -> String {
    let here = at.with_timezone(&Local);
    format!("{:02}:{:02}:{:02}", here.hour(), here.minute(), here.second())
}

/// Written out: chrono's own formatter would weigh more than all of this file.
const MONTHS: [&str; 12] = [
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
];

/// A day where the user is: `3 March 2026`.
pub fn day(at: DateTime<Utc>) -> String {
    let here = at.with_timezone(&Local);
    let month = MONTHS.get(here.month0() as usize).copied().unwrap_or_default();
    format!("{} {month} {}", here.day(), here.year())
}

/// The next step in one line, for lists.
pub fn step(step: &Step) -> String {
    format!("{} · {}", step.title, minutes(step.minutes))
}

/// What is tapped on a test drive.
pub fn road_mark(what: RoadMark) -> &'static str {
    match what {
        RoadMark::Bump => "Bump",
        RoadMark::Turn => "Bend",
    }
}

/// An act in a few words, for "take back".
pub fn act(act: &Act) -> String {
    match act {
        Act::JobOpened { .. } => "job opened".to_owned(),
        Act::Concern(_) => "concern".to_owned(),
        Act::Vehicle(_) => "vehicle".to_owned(),
        Act::Fuse { .. } => "fuse".to_owned(),
        Act::Circuit { .. } => "circuit taken over".to_owned(),
        Act::Shop(_) => "what the shop has learned".to_owned(),
        Act::Load(load) => format!("load “{}”", load.label),
        Act::LoadRemoved { load } => format!("load {load} removed"),
        Act::Option { why, .. } if !why.is_empty() => format!("“{why}”"),
        Act::Option { state, .. } => format!("“{}”", option_state(*state).to_lowercase()),
        Act::Mark(mark) => format!("mark “{}”", crate::job::marking::short(mark.kind)),
        Act::MarkRemoved { .. } => "mark taken off".to_owned(),
        Act::Touch { .. } => "how long a touch lasts".to_owned(),
        Act::Blow { .. } => "it opened".to_owned(),
        Act::Held { .. } => "it held".to_owned(),
        Act::Unplugged { .. } => "unplugged".to_owned(),
        Act::Tried { what, dead: true, .. } => format!("“{what}” is dead"),
        Act::Tried { what, dead: false, .. } => format!("“{what}” works"),
        Act::Look { seen: outcome, .. } => format!("look: {}", seen(*outcome).to_lowercase()),
        Act::Press { opened: true, .. } => "press: it opened".to_owned(),
        Act::Press { opened: false, .. } => "press: it held".to_owned(),
        Act::Meter { .. } => "what the ohmmeter showed".to_owned(),
        Act::Telltale { lit, .. } => if *lit { "the telltale came back" } else { "the telltale went out" }.to_owned(),
        Act::Lift { .. } => "lifted".to_owned(),
        Act::LieWaived { .. } => "went on without a photograph".to_owned(),
        Act::Photo(photo) if photo.is_recording() => "recording".to_owned(),
        Act::Drawn { .. } => "what was drawn last".to_owned(),
        Act::RoadBegan { .. } => "the test drive began".to_owned(),
        Act::RoadMark { what } => road_mark(*what).to_lowercase(),
        Act::RoadEnded {} => "the test drive ended".to_owned(),
        Act::Photo(photo) => format!("photograph “{}”", stage(photo.stage).to_lowercase()),
        Act::Note { .. } => "note".to_owned(),
        Act::Worked { works: true, .. } => "it works".to_owned(),
        Act::Worked { works: false, .. } => "it does not work".to_owned(),
        Act::Access { open: true, .. } => "opened".to_owned(),
        Act::Access { open: false, .. } => "closed again".to_owned(),
        Act::CannotReach { .. } => "can't get there".to_owned(),
        Act::DoFirst { .. } => "do this first".to_owned(),
        Act::TakenBack { .. } => "taken back".to_owned(),
        Act::Finding(_) => "finding".to_owned(),
        Act::Repair { .. } => "repair".to_owned(),
        Act::Release { .. } => "release check".to_owned(),
        Act::HandedOver { .. } => "hand-over".to_owned(),
    }
}
