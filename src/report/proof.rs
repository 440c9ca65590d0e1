//! What shows that it was this place? What led there in the order of time, how sure that makes, and what speaks against it.

use std::collections::BTreeMap;

use maud::{Markup, html};

use super::{Page, short, words};
use crate::circuit::colour::same;
use crate::gather::Order as _;
use crate::ids::EventId;
use crate::job::act::{Act, Finding};
use crate::job::event::Event;
use crate::job::state::PointState;
use crate::search::evidence::Observation;
use crate::search::said;

impl Page<'_> {
    /// What shows that it was the place of a finding.
    pub(super) fn proof(&self, finding: &Finding) -> Markup {
        let known = self.ready.and_then(|ready| Some((ready.point(&finding.point)?, ready.chance(&finding.point))));
        let counted = self.ready.map(|ready| self.job.telling_by(&ready.search).count());
        let openings = self.openings();
        let mut led: Vec<(EventId, String)> = self
            .events
            .iter()
            .filter_map(|(id, event)| Some((self.first_said(*id), self.led(event.act().ok()?, *id, finding)?)))
            .collect();
        led.order_by(|(one, _), (other, _)| one.cmp(other));
        let outs = || self.outs.iter().filter(|(at, _)| *at == finding.point);
        html! {
            @if let Some((point, _)) = known { (colour_doubt(finding, &point.colours)) }
            @if let Some(state) = self.job.points.get(&finding.point) { (self.seen_differently(state)) }
            @if !(openings.is_empty() && led.is_empty()) {
                h4 { "What shows it" }
                ul.chain {
                    @if !openings.is_empty() { li { "The fuse opened " (openings) "." } }
                    @for (event, told) in &led { li { (told) " " span.when { (self.when(*event)) } } }
                    @for (_, out) in outs() { li { (out.words()) } }
                }
            }
            @if let Some((_, chance)) = known {
                p {
                    "By all that is in the log the place has a chance of " strong { (said::chance(chance)) } ", against all others on the list and off it."
                }
                @if counted < Some(self.job.observations.len()) {
                    p.aside {
                        @if self.job.repairs.iter().any(|repair| repair.done) {
                            "What held, or was seen or measured sound, after it was found is proof of the repair, and does not count in this."
                        } @else {
                            "What held, or was seen or measured sound, after it was found does not count in this, although no repair is recorded as done."
                        }
                    }
                }
            }
        }
    }

    /// With what switched on the fuse opened, and how often.
    fn openings(&self) -> String {
        let mut openings: BTreeMap<String, usize> = BTreeMap::new();
        for (_, observation) in &self.job.observations {
            if let Observation::Blow { state, .. } = observation {
                *openings.entry(words::state(state)).or_default() += 1;
            }
        }
        openings.iter().map(|(state, times)| format!("{times} × with {state}")).collect::<Vec<_>>().join("; ")
    }

    /// The event that first said what this one says of a photograph: it was taken then, whenever it was brought back.
    pub(super) fn first_said(&self, id: EventId) -> EventId {
        let Some(said) = self.events.get(&id).filter(|event| event.kind == "photo") else { return id };
        let same = |(_, event): &(&EventId, &&Event)| event.kind == said.kind && event.body == said.body;
        self.events.iter().find(same).map_or(id, |(first, _)| *first)
    }

    /// What an act that counts says of the place.
    fn led(&self, act: Act, event: EventId, finding: &Finding) -> Option<String> {
        if self.job.taken_back.contains(&event) || act.point() != Some(&finding.point) {
            return None;
        }
        match act {
            Act::Look { seen, .. } => Some(format!("Looked at: {}, {}.", seen.word(), words::seen_meaning(seen))),
            Act::Press { opened, presses, state, .. } => {
                let presses = words::count(presses as usize, "press", "presses");
                let came = if opened { "the fuse opened" } else { "the fuse held" };
                Some(format!("{presses} with {}: {came}.", words::state(&state)))
            }
            Act::Photo(photo) if !photo.is_recording() => {
                Some(format!("Photographed: {}.", words::stage(photo.stage).to_lowercase()))
            }
            Act::Lift { .. } => Some("The loom was lifted.".to_owned()),
            Act::LieWaived { why, .. } => Some(format!("No photograph as it lay: {why}.")),
            _ => None,
        }
    }

    /// Where two devices looked and their newest looks differ: who, what and when.
    pub(super) fn seen_differently(&self, state: &PointState) -> Markup {
        let newest = state.seen_differently(|id| self.events.get(&id).copied());
        html! {
            @if !newest.is_empty() {
                p.differ {
                    strong { "Seen differently: " }
                    @for (place, (event, seen)) in newest.iter().enumerate() {
                        @if place > 0 { "; " }
                        (seen.word()) " by device " (short(&event.device_id.to_string())) ", " (words::moment(event.at))
                    }
                    "."
                }
            }
        }
    }
}

/// That the wire seen has none of the colours that the circuit has there.
fn colour_doubt(finding: &Finding, colours: &[String]) -> Markup {
    let seen = finding.colour_seen.as_str();
    let differs = !seen.is_empty() && !colours.is_empty() && !colours.iter().any(|known| same(seen, known));
    html! {
        @if !seen.is_empty() && !colours.is_empty() && !differs {
            p { "It is a colour that the circuit has here (" (colours.join(", ")) ")." }
        }
        @if differs {
            p { strong {
                "The circuit has no wire of this colour here, but " (colours.join(", ")) ": either the wire belongs to another "
                "circuit, or the wiring was changed."
            } }
        }
    }
}
