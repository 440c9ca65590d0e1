//! The circuit on paper: what the fuse feeds, what this vehicle does not have, what was marked.

use std::collections::BTreeMap;

use maud::{Markup, html};

use super::{Page, names, words};
use crate::circuit::check;
use crate::circuit::file::{CircuitFile, Load, Mark, MarkPlace, OptionState};
use crate::circuit::mark::load_of_wire;
use crate::circuit::said;
use crate::ids::RunId;
use crate::search::point::at_passage;

impl Page<'_> {
    pub(super) fn circuit(&self) -> Markup {
        let Some(circuit) = &self.bundle.job.circuit else {
            return html! { section { h2 { "The circuit" } p { em { "No circuit was entered." } } } };
        };
        let gone = |load: &Load| circuit.state_of(load) == OptionState::Absent;
        html! {
            section {
                h2 { "The circuit" }
                p {
                    "Everything that fuse " (circuit.fuse.label) " feeds, as entered. "
                    @let live = words::state(&circuit.fuse.live_when);
                    @if circuit.fuse.live_when.is_empty() { "It is live at all times." }
                    @else { "It is live with: " (live) "." }
                }
                table {
                    thead { tr { th scope="col" { "Load" } th scope="col" { "Where" } th scope="col" { "What" } th scope="col" { "On this vehicle" } } }
                    tbody {
                        @for load in &circuit.loads {
                            tr.struck[gone(load)] {
                                th scope="row" { (name(load)) }
                                td { @if let Some(zone) = &load.zone { (self.names.zone(zone)) } @else { "place unknown" } }
                                td { (what(load)) }
                                td { (words::option(circuit.state_of(load))) }
                            }
                        }
                        @for load in self.job.struck_out.values() {
                            tr.struck {
                                th scope="row" { (name(load)) }
                                td { @if let Some(zone) = &load.zone { (self.names.zone(zone)) } }
                                td { (what(load)) }
                                td { "taken off the list" }
                            }
                        }
                    }
                }
                @if circuit.loads.iter().any(|load| circuit.state_of(load) == OptionState::RemovedWiringLeft) {
                    p.small { "Where a load was removed and its wiring left, the wiring can still short: it was searched too." }
                }
                (self.not_there(circuit))
                @if let Some(touch) = circuit.touch.filter(|touch| check::touch(*touch).is_ok()) {
                    p.small {
                        "A rubbing wire was taken to touch for " (said::span(touch.shortest_s, touch.longest_s))
                        ", as stated on this job: an assumption, no measurement."
                    }
                }
                @if !circuit.marks.is_empty() {
                    h3 { "Marked beforehand" }
                    ul { @for mark in &circuit.marks { li { (self.mark(circuit, mark)) } } }
                }
                @if !self.job.set_aside.marks.is_empty() {
                    h3 { "Marked on wires that are not there now, and not counted" }
                    ul { @for mark in &self.job.set_aside.marks { li { (self.mark(circuit, mark)) } } }
                }
            }
        }
    }

    /// Why loads are off the list, where that was said: those of one reason together.
    fn not_there(&self, circuit: &CircuitFile) -> Markup {
        let mut reasons: BTreeMap<&str, Vec<&str>> = BTreeMap::new();
        for load in circuit.loads.iter().filter(|load| circuit.state_of(load) == OptionState::Absent) {
            let why = load.of_option().and_then(|option| self.job.option_why.get(option));
            reasons.entry(why.map_or("", String::as_str)).or_default().push(name(load));
        }
        let said = reasons.keys().any(|why| !why.is_empty());
        html! {
            @if said {
                h3 { "What was not on this vehicle" }
                ul {
                    @for (why, loads) in &reasons {
                        li { @if why.is_empty() { "Not fitted" } @else { (why) } ": " (loads.join(", ")) }
                    }
                }
            }
        }
    }

    fn mark(&self, circuit: &CircuitFile, mark: &Mark) -> Markup {
        let kind = serde_json::to_value(mark.kind).unwrap_or_default();
        html! {
            (names::words(kind.as_str().unwrap_or("other")))
            @match &mark.place {
                MarkPlace::Run { run, at_m } => {
                    @let known = circuit.runs.iter().chain(&self.job.set_aside.runs).find(|known| known.id == *run);
                    @let colour = known.and_then(|run| run.colour.as_deref());
                    " on " (self.wire(circuit, run))
                    @if let Some(colour) = colour { " (" (words::colour(colour)) ")" }
                    ", " (at_m) " m from its start"
                }
                MarkPlace::Passage(passage) => { " at " (self.names.point(&at_passage(passage)).title) }
                MarkPlace::Zone(zone) => { " all over: " (self.names.zone(zone)) }
            }
            @if !mark.note.is_empty() { ": " (mark.note) }
        }
    }

    /// A wire as a reader can find it: by its id, or by the load that it leads to.
    fn wire(&self, circuit: &CircuitFile, run: &RunId) -> String {
        let mut loads = circuit.loads.iter().chain(self.job.struck_out.values());
        let load = load_of_wire(run).and_then(|of| loads.find(|load| load.id.as_str() == of));
        load.map_or_else(|| format!("wire {run}"), |load| format!("the wire of {}", name(load)))
    }
}

fn name(load: &Load) -> &str {
    if load.label.is_empty() { load.id.as_str() } else { &load.label }
}

fn what(load: &Load) -> String {
    let kind = load.kind.map(words::load_kind).unwrap_or_default().to_owned();
    [kind, words::load_size(load)].into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>().join(", ")
}
