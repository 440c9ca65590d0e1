//! The circuit as a tree: what is live with this switched on, how much flows where, and what a meter should show.

use dioxus::prelude::*;

use crate::app::house::House;
use crate::app::parts::Conditions;
use crate::circuit::harness::Harness;
use crate::circuit::meter::{MeterOhms, connected};
use crate::circuit::tree::{Branch, BranchKind, tree};
use crate::ids::{Condition, JobId};

/// The tree with what is switched on above it. Drawn again at each change.
#[component]
pub fn Tree(job: JobId) -> Element {
    let house = House::get();
    let mut state = use_signal(|| vec![Condition::from("key_on")]);
    let drawn = use_memo(move || {
        let open = house.open.read();
        let harness = &open.of(job)?.ready()?.harness;
        let more: Vec<Condition> = harness.conditions().into_iter().collect();
        let branches = tree(harness, &state.read()).map_err(|error| error.to_string());
        Some((more, branches, meter_line(harness, &state.read())))
    });
    let Some((more, branches, meter)) = drawn() else { return rsx! {} };
    rsx! {
        Conditions { legend: "Switched on", state: state(), more, onchange: move |chosen| state.set(chosen) }
        match branches {
            Err(why) => rsx! { p { class: "trouble-text", "{why}" } },
            Ok(branches) => rsx! { Branches { branches } },
        }
        if let Some(meter) = meter {
            p { class: "note", id: "meter", "{meter}" }
        }
    }
}

/// What an ohmmeter should show at the open fuse with all of that on. `None`: it cannot be computed.
fn meter_line(harness: &Harness, state: &[Condition]) -> Option<String> {
    let place = "Ohmmeter with the fuse out, from its load side to ground";
    Some(match connected(harness, state).ok()? {
        None => format!("{place}: open circuit."),
        Some(MeterOhms { value, least, most: Some(most) }) => {
            format!("{place}: about {value:.2} Ω, {least:.2} to {most:.2}. Cold lamps read like a short: that is none.")
        }
        Some(MeterOhms { value, least, most: None }) => {
            format!("{place}: about {value:.0} Ω, at least {least:.0}; electronics may also show an open circuit.")
        }
    })
}

#[component]
fn Branches(branches: Vec<Branch>) -> Element {
    let all: f64 = branches.iter().filter(|branch| branch.from.is_none()).map(|branch| branch.current.0).sum();
    rsx! {
        p { "Through the fuse with all of that on: about {all:.1} A." }
        ul { class: "tree",
            for (index, branch) in branches.into_iter().enumerate() {
                li {
                    key: "{index}",
                    class: if branch.live { "branch" } else { "branch dead" },
                    svg { class: "branch-line", width: "{20 + 12 * branch.depth.min(8)}", height: "16", "aria-hidden": "true",
                        line {
                            x1: "{12 * branch.depth.min(8)}",
                            y1: "8",
                            x2: "{20 + 12 * branch.depth.min(8)}",
                            y2: "8",
                            stroke_width: "{thickness(&branch, all)}",
                        }
                    }
                    span { "{branch.label}" }
                    span { class: "branch-flow", {flow(&branch)} }
                }
            }
        }
    }
}

/// Thick where much flows, thin where none does.
fn thickness(branch: &Branch, all: f64) -> f64 {
    let share = if all > 0.0 { (branch.current.0 / all).clamp(0.0, 1.0) } else { 0.0 };
    1.5 + 10.5 * share.sqrt()
}

fn flow(branch: &Branch) -> String {
    match (branch.live, branch.kind) {
        (true, BranchKind::Switch { closed: false }) | (false, _) => "dead".to_owned(),
        (true, _) if branch.current.0 < 0.005 => "live, nothing flows".to_owned(),
        (true, _) => format!("{:.2}", branch.current),
    }
}
