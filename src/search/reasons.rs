//! Why look here? The strongest reasons for a point, in words, with what each multiplies its chance by.

use std::collections::BTreeMap;

use crate::circuit::file::MarkKind;
use crate::gather::Order as _;
use crate::search::belief::{Clues, Pressed};
use crate::search::electrics::Showed;
use crate::search::evidence::{Heat, Motion, Seen};
use crate::search::lessons::{Count, Shop};
use crate::search::likelihood::tables;
use crate::search::point::{Point, PointKind, mark_words};
use crate::search::sorted::Sorted;
use crate::search::suspects::{Suspect, Suspects};
use crate::vehicle::body::PassageKind;

/// How many reasons are told.
const MOST: usize = 3;
/// A factor nearer to 1 than this is no reason.
const TELLS: f64 = 1.05;

/// The strongest reasons for the point at `place` of the list; at least one. `known` is what is known of its loads, and
/// what the shop's jobs have taught.
pub fn why(
    place: usize,
    point: &Point,
    sorted: &Sorted,
    clues: &Clues,
    (suspects, shop): (&Suspects, &Shop),
) -> Vec<String> {
    let mut reasons = of_the_place(point);
    if let Some(count) = shop.about(point) {
        reasons.push(Reason { factor: count.factor(), what: What::Taught(count, shop.jobs) });
    }
    if let Some((suspect, factor)) = suspects.at(point) {
        reasons.push(Reason { factor, what: What::Suspect(suspect) });
    }
    reasons.extend(of_the_evidence(place, point, sorted, clues));
    reasons.retain(|reason| reason.strength() >= TELLS.ln());
    // A stable sort: reasons of the same strength stay as listed above.
    reasons.order_by(|one, other| other.strength().total_cmp(&one.strength()));
    if reasons.is_empty() {
        return vec!["the wire goes through here; nothing else stands out".to_owned()];
    }
    reasons.iter().take(MOST).map(Reason::in_words).collect()
}

struct Reason<'a> {
    factor: f64,
    what: What<'a>,
}

enum What<'a> {
    Words(&'static str),
    Marked(MarkKind),
    Metres(f64),
    Suspect(&'a Suspect),
    LiveAtBlows(u32),
    BlewWithout(&'a str),
    Pressed(u32),
    Looked(Seen),
    Taught(&'a Count, u32),
}

impl Reason<'_> {
    fn strength(&self) -> f64 {
        self.factor.ln().abs()
    }

    fn in_words(&self) -> String {
        let what = match &self.what {
            What::Words(words) => (*words).to_owned(),
            What::Marked(kind) => format!("marked: {}", mark_words(*kind)),
            What::Metres(metres) => format!("{metres:.1} m of loom"),
            What::Suspect(suspect) => {
                format!("a usual suspect, {}: {}", suspect.label, said_on(&suspect.why))
            }
            What::Taught(count, jobs) => format!("your shop, {}", count.in_words(*jobs)),
            What::LiveAtBlows(1) => "was live at the blow".to_owned(),
            What::LiveAtBlows(2) => "was live at both blows".to_owned(),
            What::LiveAtBlows(blows) => format!("was live at all {blows} blows"),
            What::BlewWithout(plug) => format!("stayed live when it blew with {plug} unplugged"),
            What::Pressed(1) => "pressed once, the fuse held".to_owned(),
            What::Pressed(presses) => format!("pressed {presses} times, the fuse held"),
            What::Looked(Seen::Sound) => "looked sound".to_owned(),
            What::Looked(Seen::Marked) => "looked marked".to_owned(),
            What::Looked(Seen::Thinned) => "insulation looked thinned".to_owned(),
            What::Looked(Seen::Bare) => "bare conductor seen".to_owned(),
            What::Looked(Seen::Severed) => "parted conductor seen".to_owned(),
            What::Looked(Seen::NotSeen) => "could not be seen".to_owned(),
        };
        format!("{what} {}", times(self.factor))
    }
}

/// A sentence, to be read on behind a colon.
fn said_on(sentence: &str) -> String {
    let sentence = sentence.trim_end_matches('.');
    let mut letters = sentence.chars();
    letters.next().map_or_else(String::new, |first| first.to_lowercase().chain(letters).collect())
}

/// A factor as people read it: two digits that count.
pub fn times(factor: f64) -> String {
    match factor {
        f if f >= 9.95 => format!("×{f:.0}"),
        f if f >= 0.1 => format!("×{}", (f * 10.0).round() / 10.0),
        f => format!("×{f:.2}"),
    }
}

fn of_the_place(point: &Point) -> Vec<Reason<'static>> {
    let words = |factor, words| Reason { factor, what: What::Words(words) };
    let marked = |kind: &MarkKind| Reason { factor: tables().mark.of(*kind), what: What::Marked(*kind) };
    let mut reasons = Vec::new();
    match &point.kind {
        PointKind::Mark(kinds) => reasons.extend(kinds.iter().map(marked)),
        PointKind::Zone { metres } if *metres > 1.0 => {
            reasons.push(Reason { factor: tables().base.zone_per_metre * metres, what: What::Metres(*metres) });
        }
        PointKind::Zone { .. } | PointKind::Passage(_) | PointKind::Plug => {}
    }
    reasons.extend(point.marks.iter().map(marked));
    let [heat, movement, vibration, edges, water, disturbance] = tables().exposure.factors(point.exposures);
    reasons.extend([
        words(movement, moves_with(point)),
        words(edges, "edges and bare metal close by"),
        words(disturbance, "people work here and push the loom aside"),
        words(heat, "hot"),
        words(vibration, "shakes"),
        words(water, "wet and dirty"),
    ]);
    reasons
}

/// What the place moves with.
fn moves_with(point: &Point) -> &'static str {
    let zone = point.zone.as_str();
    match point.kind {
        PointKind::Passage(PassageKind::SeatLoop) => "moves with the seat",
        PointKind::Passage(PassageKind::ColumnLoop) => "turns with the steering",
        _ if zone == "rear_closure" => "moves with the rear door or lid",
        _ if point.hinged => "moves with the door",
        _ if zone.starts_with("seat") => "moves with the seat",
        _ if zone.starts_with("engine") => "moves with the engine",
        _ if zone.starts_with("steering") => "turns with the steering",
        _ if zone.starts_with("wheel") => "moves with the wheel",
        _ => "moves in use",
    }
}

fn of_the_evidence<'a>(place: usize, point: &Point, sorted: &'a Sorted, clues: &'a Clues) -> Vec<Reason<'a>> {
    let mut reasons = Vec::new();
    if let Some((blows, factor)) = clues.live_at_blows {
        reasons.push(Reason { factor, what: What::LiveAtBlows(blows) });
    }
    for (plug, live, factor) in &clues.blew_without {
        if point.crossings.iter().any(|crossing| live[crossing.run]) {
            reasons.push(Reason { factor: *factor, what: What::BlewWithout(plug) });
        }
    }
    let mut moved: BTreeMap<Motion, u32> = BTreeMap::new();
    let mut warmed: BTreeMap<Heat, u32> = BTreeMap::new();
    for (situation, blows) in &sorted.blows {
        *moved.entry(situation.motion).or_default() += blows;
        *warmed.entry(situation.heat).or_default() += blows;
    }
    for (motion, blows) in moved {
        let factor = tables().motion.factor(motion, point.exposures, point.hinged).powf(f64::from(blows));
        reasons.push(Reason { factor, what: What::Words(motion_words(motion, factor)) });
    }
    for (heat, blows) in warmed {
        let factor = tables().warmth.factor(heat, point.exposures).powf(f64::from(blows));
        reasons.push(Reason { factor, what: What::Words(heat_words(heat, factor)) });
    }
    let opens = clues.opens[place];
    if opens > 0.0 {
        let words =
            if opens > 1.0 { "a touch here opens the fuse more surely" } else { "a touch here opens it less surely" };
        reasons.push(Reason { factor: opens, what: What::Words(words) });
    }
    if let Some(looks) = sorted.looks.get(&place) {
        let seen = looks.sound.then_some(Seen::Sound).into_iter().chain(looks.damage);
        reasons.extend(
            seen.map(|seen| Reason { factor: tables().seen.factor(seen, point.detect), what: What::Looked(seen) }),
        );
    }
    if let Some((_, pressed)) = clues.pressed.iter().find(|(at, _)| *at == place) {
        reasons.extend(of_presses(pressed));
    }
    for (tied, showed, usual) in &clues.metered {
        let here = point.crossings.iter().any(|crossing| tied[crossing.run]);
        let factor = tables().meter.factor(*showed, here) / usual;
        let words = match (showed, here) {
            (Showed::Less, true) => "the ohmmeter showed a way to ground that may be here",
            (Showed::Less, false) => "the ohmmeter showed a way to ground, and not through here",
            (Showed::AsExpected, true) => "the ohmmeter showed nothing here that leads to ground",
            (Showed::AsExpected, false) => "what the ohmmeter showed leaves this open",
        };
        reasons.push(Reason { factor, what: What::Words(words) });
    }
    reasons.push(Reason { factor: clues.beside[place], what: What::Words("close to the bare place that was found") });
    reasons
}

fn of_presses(pressed: &Pressed) -> Vec<Reason<'static>> {
    let opened = pressed.opened.iter().map(|count| Reason {
        factor: tables().press.factor(true, *count),
        what: What::Words("the fuse opened when pressed here"),
    });
    let held = Reason { factor: tables().press.factor(false, pressed.held), what: What::Pressed(pressed.held) };
    opened.chain([held]).collect()
}

fn motion_words(motion: Motion, factor: f64) -> &'static str {
    let fits = factor >= 1.0;
    match motion {
        Motion::Still if fits => "fits a blow while standing",
        Motion::Still => "a blow while standing speaks against it",
        Motion::Smooth if fits => "fits a blow on a smooth road",
        Motion::Smooth => "a blow on a smooth road speaks against it",
        Motion::Rough if fits => "fits a blow on a rough road",
        Motion::Rough => "a blow on a rough road speaks against it",
        Motion::Turning if fits => "fits a blow in a turn",
        Motion::Turning => "a blow in a turn speaks against it",
        Motion::DoorMoved if fits => "fits a blow as a door moved",
        Motion::DoorMoved => "a blow as a door moved speaks against it",
    }
}

fn heat_words(heat: Heat, factor: f64) -> &'static str {
    match heat {
        Heat::Hot if factor >= 1.0 => "fits a blow when hot",
        Heat::Hot => "a blow when hot speaks against it",
        Heat::Cold if factor >= 1.0 => "fits a blow when cold",
        Heat::Cold => "a blow when cold speaks against it",
        Heat::Warm => "fits a blow when warm",
    }
}

#[cfg(test)]
mod tests {
    use super::times;

    #[test]
    fn factors_read_as_people_say_them() {
        let read: Vec<String> = [4.0, 2.54, 0.3, 0.014, 12.3, 1000.0, 1.06].into_iter().map(times).collect();
        assert_eq!(read, ["×4", "×2.5", "×0.3", "×0.01", "×12", "×1000", "×1.1"]);
    }
}
