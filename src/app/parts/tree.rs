//! The circuit as a tree: what is live with this switched on, how much flows where or how likely it is the place, and
//! what a meter should show.

mod lines;

use dioxus::prelude::*;

use crate::app::house::House;
use crate::app::parts::{Choice, Conditions};
use crate::app::route::Route;
use crate::app::words;
use crate::circuit::harness::Harness;
use crate::circuit::live_work::{NO_OHMMETER, never_live};
use crate::circuit::meter::{MeterOhms, connected};
use crate::circuit::tree::rails::rails;
use crate::circuit::tree::{Branch, BranchKind, Return, tree};
use crate::ids::{Condition, JobId};
use crate::search::branch::chances;
use lines::{Lines, back_lines, lines, root};

/// What the lines' thickness shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum By {
    Current,
    Chance,
}

/// In the order in which they are offered.
const BY: [By; 2] = [By::Current, By::Chance];

/// What follows from what is switched on.
#[derive(Debug, Clone, PartialEq)]
struct Drawn {
    /// The fuse, in words.
    fuse: String,
    /// Further conditions that the circuit asks for.
    more: Vec<Condition>,
    branches: Result<Vec<Branch>, String>,
    meter: Option<String>,
}

/// The tree with what is switched on above it. Drawn again at each change.
#[component]
pub fn Tree(job: JobId) -> Element {
    let house = House::get();
    // As it was when the fuse last opened, until something else is chosen.
    let mut chosen = use_signal(|| None::<Vec<Condition>>);
    let state = use_memo(move || {
        let by_itself = || house.open.read().of(job).map(|session| session.job.last_blow()).unwrap_or_default();
        chosen.read().clone().unwrap_or_else(by_itself)
    });
    let mut by = use_signal(|| By::Current);
    let drawn = use_memo(move || {
        let open = house.open.read();
        let ready = open.of(job)?.ready()?;
        let (harness, fuse) = (&ready.harness, &ready.file.fuse);
        Some(Drawn {
            fuse: format!("{} {} A", if fuse.label.is_empty() { "Fuse" } else { &fuse.label }, fuse.rating_a),
            more: harness.conditions().into_iter().collect(),
            branches: tree(harness, &state.read()).map_err(|error| words::sentence(&error.to_string())),
            meter: if never_live(&ready.file, harness).forbids_ohmmeter() {
                Some(NO_OHMMETER.to_owned())
            } else {
                meter_line(harness, &state.read())
            },
        })
    });
    let weights = use_memo(move || match (&*drawn.read(), by()) {
        (Some(Drawn { branches: Ok(branches), .. }), By::Current) => {
            branches.iter().map(|branch| branch.current.0).collect()
        }
        (Some(Drawn { branches: Ok(branches), .. }), By::Chance) => {
            let open = house.open.read();
            let ready = open.of(job).and_then(|session| session.ready());
            ready.map_or_else(Vec::new, |ready| chances(branches, ready.search.points(), &ready.plan.points))
        }
        _ => Vec::new(),
    });
    let Some(Drawn { fuse, more, branches, meter }) = drawn() else { return rsx! {} };
    rsx! {
        Conditions { legend: "Switched on", state: state(), more, onchange: move |state| chosen.set(Some(state)) }
        Choice {
            name: "tree-by",
            legend: "Thickness shows",
            answers: vec!["What flows".to_owned(), "Chance of the place".to_owned()],
            chosen: BY.iter().position(|known| *known == by()),
            onchoose: move |position: usize| by.set(BY[position]),
        }
        match branches {
            Err(why) => rsx! { p { class: "trouble-text", "{why}" } },
            Ok(branches) => rsx! { Branches { fuse, branches, by: by(), weights: weights() } },
        }
        if let Some(meter) = meter {
            p { class: "note", id: "meter", "{meter}" }
        }
        Link { class: "key", id: "to-meter", to: Route::Meter { job }, "Meter card: ohms, amperes, metres" }
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
fn Branches(
    fuse: String,
    branches: Vec<Branch>,
    by: By,
    /// How much each branch carries, or how likely the place is on it or behind.
    weights: Vec<f64>,
) -> Element {
    let (trunk, rows) = rails(&branches, &weights);
    let all = trunk.map_or(0.0, |trunk| trunk.weight);
    let labels: Vec<String> = branches.iter().map(label).collect();
    let whole = match by {
        By::Current => format!("{all:.2} A"),
        By::Chance => words::chance(all),
    };
    let told = match by {
        By::Current => {
            "Thick where much flows, with all of that on. Faint and dashed: dead. Dotted: the return, behind a load."
        }
        By::Chance => {
            "Thick where the place is likely, of the wire itself and all behind it. Dotted: the return; a short there opens no fuse. Places that several wires share count for each in equal parts."
        }
    };
    rsx! {
        p { class: "hint", "{told}" }
        ul { class: "tree", "aria-label": "The circuit from the fuse on",
            li { class: "branch",
                div { class: "branch-line",
                    Lines { lines: root(trunk, all) }
                    strong { class: "branch-label", "{fuse}" }
                    span { class: "branch-flow", "{whole}" }
                }
            }
            for (index, (branch, row)) in branches.iter().zip(&rows).enumerate() {
                li {
                    key: "{index}",
                    class: if branch.live { "branch" } else { "branch dead" },
                    div { class: "branch-line", "data-column": "{row.column}",
                        Lines { lines: lines(branch, row, by, all) }
                        span { class: "branch-label",
                            "{labels[index]}"
                            if let Some(from) = branch.from {
                                span { class: "unseen", ", behind {labels[from]}" }
                            }
                        }
                        span { class: "branch-flow", {flow(branch, by, weights[index])} }
                    }
                    if let BranchKind::Load(back) = &branch.kind {
                        div { class: "branch-line back-line", "data-column": "{row.column}",
                            Lines { lines: back_lines(branch, row, by, all) }
                            span { class: "branch-label", {back_words(back)} }
                        }
                    }
                }
            }
        }
    }
}

fn label(branch: &Branch) -> String {
    match (&branch.kind, branch.label.is_empty()) {
        (BranchKind::End, true) => "open end".to_owned(),
        (BranchKind::End, false) => format!("{}: nothing on it", branch.label),
        (_, true) => "joint".to_owned(),
        (_, false) => branch.label.clone(),
    }
}

fn flow(branch: &Branch, by: By, weight: f64) -> String {
    let dead = !branch.live || branch.kind == BranchKind::Switch { closed: false };
    match by {
        By::Chance if dead => format!("dead, {}", words::chance(weight)),
        By::Chance => words::chance(weight),
        By::Current if dead => "dead".to_owned(),
        By::Current if branch.current.0 < 0.005 => "live, 0 A".to_owned(),
        By::Current => format!("{:.2}", branch.current),
    }
}

fn back_words(back: &Return) -> String {
    let colour = back.colour.as_ref().map_or_else(String::new, |colour| format!(" {colour}"));
    let through = back.through.iter().map(|name| format!(" by {name}")).collect::<String>();
    let to = if back.grounded { " to ground" } else { " through another load" };
    format!("return{colour}{through}{to}")
}
