//! The search on paper: when the fuse opened, what was looked at and seen, what is left.

use std::collections::BTreeMap;

use maud::{Markup, PreEscaped, html};

use super::{Page, words};
use crate::circuit::unplug::Unplugged;
use crate::ids::{LoadId, PointId};
use crate::job::state::PointState;
use crate::search::evidence::{Observation, Seen};
use crate::search::plan::StepKind;
use crate::search::said::chance;

impl Page<'_> {
    pub(super) fn happened(&self) -> Markup {
        let told: Vec<_> =
            self.job.observations.iter().filter_map(|(event, what)| Some((event, self.happening(what)?))).collect();
        html! {
            @if !told.is_empty() {
                section {
                    h2 { "When the fuse opened, and when it held" }
                    table {
                        thead { tr { th scope="col" { "What happened" } th scope="col" { "Vehicle" } th scope="col" { "Noted" } } }
                        tbody { @for (event, (what, how)) in &told { tr { td { (what) } td { (how) } td { span.when { (self.when(**event)) } } } } }
                    }
                }
            }
        }
    }

    fn happening(&self, what: &Observation) -> Option<(Markup, String)> {
        match what {
            Observation::Blow { state, motion, heat } => Some((
                html! { strong { "The fuse opened" } },
                format!("{}, {}, {}", words::motion(*motion), words::heat(*heat), words::state(state)),
            )),
            Observation::Held { state, motion, heat, minutes } => Some((
                html! { "It held for " (minutes) " min" },
                format!("{}, {}, {}", words::motion(*motion), words::heat(*heat), words::state(state)),
            )),
            Observation::Unplugged { node, load, blew, state, minutes } => {
                let label = load.as_ref().map(|id| self.load_name(id));
                let what = label.or_else(|| node.as_ref().map(ToString::to_string)).unwrap_or_default();
                Some((
                    html! {
                        @if *blew { strong { "It opened" } " with " (what) " unplugged" }
                        @else { "It held for " (minutes) " min with " (what) " unplugged" }
                    },
                    words::state(state),
                ))
            }
            Observation::Meter { ohms, unplugged, state } => {
                let shown = ohms.map_or_else(|| "an open circuit".to_owned(), |ohms| format!("{ohms} Ω"));
                let name = |what: &Unplugged| match what {
                    Unplugged::Load(id) => self.load_name(id),
                    Unplugged::Node(id) => id.to_string(),
                };
                let out = unplugged.iter().map(name).collect::<Vec<_>>().join(", ");
                Some((
                    html! {
                        "Fuse out, an ohmmeter showed " strong { (shown) }
                        @if !out.is_empty() { " with " (out) " unplugged" }
                    },
                    words::state(state),
                ))
            }
            Observation::Look { .. } | Observation::Press { .. } => None,
        }
    }

    fn load_name(&self, id: &LoadId) -> String {
        let loads = self.bundle.job.circuit.as_ref().map(|circuit| circuit.loads.as_slice()).unwrap_or_default();
        match loads.iter().find(|load| load.id == *id) {
            Some(load) if !load.label.is_empty() => load.label.clone(),
            _ => id.to_string(),
        }
    }

    pub(super) fn looked(&self) -> Markup {
        let mut zones: BTreeMap<String, Vec<(&PointId, String, &PointState)>> = BTreeMap::new();
        for (id, state) in &self.job.points {
            let name = self.names.point(id);
            zones.entry(name.zone).or_default().push((id, name.title, state));
        }
        let shown: Vec<Seen> = ALL_SEEN
            .into_iter()
            .filter(|seen| self.job.points.values().flat_map(|point| &point.looks).any(|(_, look)| look == seen))
            .collect();
        html! {
            section {
                h2 { "What was looked at, and what was seen" }
                @if zones.is_empty() { p { em { "No place was looked at." } } }
                @else {
                    table.looked {
                        thead { tr { th scope="col" { "Place" } th scope="col" { "Seen" } th scope="col" { "Pressed" } th scope="col" { "Notes" } } }
                        @for (zone, points) in &zones {
                            tbody {
                                @if !zone.is_empty() { tr.zone { th colspan="4" scope="rowgroup" { (zone) } } }
                                @for (id, title, state) in points { (self.point_row(id, title, state)) }
                            }
                        }
                    }
                    @if !shown.is_empty() {
                        p.key { @for seen in &shown { span { (wire(*seen)) (seen.word()) ": " (words::seen_meaning(*seen)) } } }
                    }
                }
            }
        }
    }

    fn point_row(&self, id: &PointId, title: &str, state: &PointState) -> Markup {
        let photos = self.job.pictures_at(id).count();
        let recordings = self.job.recordings().filter(|(_, kept)| kept.point.as_ref() == Some(id)).count();
        html! {
            tr {
                th scope="row" { (title) }
                td {
                    @for (event, seen) in &state.looks {
                        p.seen { (wire(*seen)) strong { (seen.word()) } span.when { (self.when(*event)) } }
                    }
                    @if state.looks.is_empty() { em { "not looked at" } }
                    (self.seen_differently(state))
                }
                td {
                    @if state.opened { strong { "the fuse opened" } ", " }
                    @if state.presses > 0 { (words::count(state.presses as usize, "press", "presses")) }
                    @if state.presses > 0 && !state.opened { ", it held" }
                    @for (_, out) in self.outs.iter().filter(|(at, _)| *at == *id) { p { (out.words()) } }
                }
                td {
                    @if photos > 0 { p { (words::count(photos, "photo", "photos")) } }
                    @if recordings > 0 { p { (words::count(recordings, "recording", "recordings")) } }
                    @if state.lifted { p { "Lifted after that." } }
                    @if let Some(why) = &state.lie_waived { p { "No photo as it lay: " (why) } }
                    @if let Some(why) = &state.out_of_reach {
                        p { "Out of reach" @if !why.is_empty() { ": " (why) } }
                    }
                    @for (_, note) in &state.notes { p translate="no" { (note) } }
                }
            }
        }
    }

    pub(super) fn remains(&self) -> Markup {
        let Some(plan) = self.plan else {
            return html! {};
        };
        let looked = |id: &PointId| self.job.points.get(id).is_some_and(PointState::looked);
        let left = plan.points.iter().filter(|point| !looked(&point.id)).count();
        let steps: Vec<_> = plan.steps.iter().filter(|step| step.kind == StepKind::Look).collect();
        html! {
            section {
                h2 { "What was not looked at" }
                @if left == 0 { p { "Every place on the list was looked at." } }
                @else if self.findings.is_empty() {
                    p { (words::count(left, "place", "places")) " on the list. If the search goes on, in this order:" }
                    ol.columns {
                        @for step in steps.iter().take(MOST_STEPS) {
                            li { (step.title) " " span.aside { (chance(step.probability)) } }
                        }
                    }
                    @if steps.len() > MOST_STEPS { p.small { "And " (steps.len() - MOST_STEPS) " less likely ones." } }
                }
                @else {
                    p {
                        (words::count(left, "place", "places"))
                        " on the list: the search ended when the place was found. If the fuse opens again, the likeliest of them are:"
                    }
                    ol { @for step in steps.iter().take(NEXT_STEPS) { li { (step.title) } } }
                }
            }
        }
    }

    pub(super) fn assumed(&self) -> Markup {
        let notes = self.plan.map(|plan| plan.notes.as_slice()).unwrap_or_default();
        html! {
            @if !notes.is_empty() {
                section {
                    h2 { "What was assumed" }
                    p { "The search also went by what nobody stated. Where this is wrong, so is the order of the places." }
                    ul.columns.small { @for note in notes { li { (note) } } }
                }
            }
        }
    }
}

/// What a reader still reads of a list of places that were not looked at.
const MOST_STEPS: usize = 30;
/// The same once the place was found.
const NEXT_STEPS: usize = 5;

const ALL_SEEN: [Seen; 6] = [Seen::Sound, Seen::Marked, Seen::Thinned, Seen::Bare, Seen::Severed, Seen::NotSeen];

/// A piece of wire from the side as it was seen: two lines of insulation, the metal between. Says nothing that the
/// word beside it does not say.
fn wire(seen: Seen) -> Markup {
    let lines = match seen {
        Seen::Sound => "<path d='M1 3H39M1 11H39'/>",
        Seen::Marked => "<path d='M1 3H39M1 11H39M15 5l3-4M19 5l3-4M23 5l3-4'/>",
        Seen::Thinned => "<path d='M1 3H11q9 6 18 0H39M1 11H39'/>",
        Seen::Bare => "<path d='M1 3H12l2 8M1 11H39M28 11l-2-8H39'/><path d='M13 7H27' stroke-width='3.5'/>",
        Seen::Severed => "<path d='M1 3H14l2 4-2 4H1M39 3H26l-2 4 2 4H39'/>",
        Seen::NotSeen => "<path d='M1 3H39M1 11H39' stroke-dasharray='1.5 4'/>",
    };
    html! {
        svg.wire viewBox="0 0 40 14" width="40" height="14" aria-hidden="true" fill="none" stroke="currentColor" stroke-width="1.6" {
            (PreEscaped(lines))
        }
    }
}
