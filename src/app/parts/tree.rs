//! The circuit as a tree: what is live with this switched on, how much flows where or how likely it is the place, and
//! what a meter should show.

use dioxus::prelude::*;

use crate::app::house::House;
use crate::app::parts::{Choice, Conditions};
use crate::app::route::Route;
use crate::app::words;
use crate::circuit::harness::Harness;
use crate::circuit::meter::{MeterOhms, connected};
use crate::circuit::tree::rails::{MOST_COLUMNS, Rail, Row, rails};
use crate::circuit::tree::{Branch, BranchKind, Return, tree};
use crate::ids::{Condition, JobId};
use crate::search::branch::chances;

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
    let mut state = use_signal(|| vec![Condition::from("key_on")]);
    let mut by = use_signal(|| By::Current);
    let drawn = use_memo(move || {
        let open = house.open.read();
        let ready = open.of(job)?.ready()?;
        let (harness, fuse) = (&ready.harness, &ready.file.fuse);
        Some(Drawn {
            fuse: format!("{} {} A", if fuse.label.is_empty() { "Fuse" } else { &fuse.label }, fuse.rating_a),
            more: harness.conditions().into_iter().collect(),
            branches: tree(harness, &state.read()).map_err(|error| words::sentence(&error.to_string())),
            meter: meter_line(harness, &state.read()),
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
        Conditions { legend: "Switched on", state: state(), more, onchange: move |chosen| state.set(chosen) }
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

/// A drawn line: from and to in rem, how thick in px, and how it is drawn. No `to` height: down to the row's end.
#[derive(Debug, Clone, PartialEq)]
struct Line {
    from: (f64, f64),
    to: (f64, Option<f64>),
    width: f64,
    class: &'static str,
}

/// A sign on a line: what is there.
#[derive(Debug, Clone, PartialEq)]
enum Sign {
    Dot,
    Ring,
    Fuse,
    Bar,
}

/// Lines and a sign where they meet.
#[derive(Debug, Clone, PartialEq, Default)]
struct Drawing {
    lines: Vec<Line>,
    sign: Option<(Sign, f64)>,
}

/// The height of a row's first line of text, where its branch is drawn, rem.
const MIDDLE: f64 = 1.0;

/// Where a trunk is, rem. The words of a row begin behind the next one: the style sheet says where.
fn x(column: usize) -> f64 {
    0.6 + 1.1 * column as f64
}

/// Thick where much is, thin where nothing is.
fn thickness(rail: Rail, all: f64) -> f64 {
    let share = if all > 0.0 { (rail.weight / all).clamp(0.0, 1.0) } else { 0.0 };
    1.5 + 8.5 * share.sqrt()
}

fn class(rail: Rail) -> &'static str {
    if rail.live { "rail" } else { "rail dead-rail" }
}

fn line(rail: Rail, all: f64, from: (f64, f64), to: (f64, Option<f64>)) -> Line {
    Line { from, to, width: thickness(rail, all), class: class(rail) }
}

fn root(trunk: Option<Rail>, all: f64) -> Drawing {
    let lines = trunk.map(|trunk| line(trunk, all, (x(0), MIDDLE), (x(0), None))).into_iter().collect();
    Drawing { lines, sign: Some((Sign::Fuse, x(0))) }
}

/// The trunks that go through a row from top to end.
fn through(row: &Row, all: f64) -> Vec<Line> {
    let passing = row.passing.iter().enumerate().filter(|(column, _)| *column < row.column.min(MOST_COLUMNS));
    passing.filter_map(|(column, rail)| Some(line((*rail)?, all, (x(column), 0.0), (x(column), None)))).collect()
}

fn lines(branch: &Branch, row: &Row, by: By, all: f64) -> Drawing {
    let (trunk, end) = (x(row.column), x(row.column + 1));
    let mut lines = through(row, all);
    if let Some(onward) = row.onward {
        lines.push(line(onward, all, (trunk, MIDDLE), (trunk, None)));
    }
    lines.push(line(row.arriving, all, (trunk, 0.0), (trunk, Some(MIDDLE))));
    lines.push(line(row.own, all, (trunk, MIDDLE), (end, Some(MIDDLE))));
    if let BranchKind::Load(_) = branch.kind {
        lines.push(back_line(branch, row, by, all, (end, MIDDLE + 0.36), (end, None)));
    }
    if let Some(below) = row.below.filter(|_| row.column < MOST_COLUMNS) {
        lines.push(line(below, all, (end, MIDDLE), (end, None)));
    }
    let sign = match &branch.kind {
        BranchKind::Joint | BranchKind::Switch { closed: true } => Sign::Dot,
        BranchKind::Switch { closed: false } | BranchKind::Load(_) => Sign::Ring,
        BranchKind::End => Sign::Bar,
    };
    Drawing { lines, sign: Some((sign, end)) }
}

/// A dotted line of a load's return. It carries what the load does; a short on it opens no fuse.
fn back_line(branch: &Branch, row: &Row, by: By, all: f64, from: (f64, f64), to: (f64, Option<f64>)) -> Line {
    let width = if by == By::Current { thickness(row.own, all).clamp(2.0, 5.0) } else { 2.0 };
    Line { from, to, width, class: if branch.live { "back" } else { "back dead-rail" } }
}

/// The return of a load, under it: dotted from the load to its words.
fn back_lines(branch: &Branch, row: &Row, by: By, all: f64) -> Drawing {
    let (trunk, end) = (x(row.column), x(row.column + 1));
    let mut lines = through(row, all);
    if let Some(onward) = row.onward {
        lines.push(line(onward, all, (trunk, 0.0), (trunk, None)));
    }
    lines.push(back_line(branch, row, by, all, (end, 0.0), (end, Some(0.7))));
    lines.push(back_line(branch, row, by, all, (end, 0.7), (end + 0.45, Some(0.7))));
    Drawing { lines, sign: None }
}

/// A row's lines. They say nothing that its words do not.
#[component]
fn Lines(lines: Drawing) -> Element {
    rsx! {
        svg { class: "rails", "aria-hidden": "true",
            for (number, line) in lines.lines.into_iter().enumerate() {
                line {
                    key: "{number}",
                    class: "{line.class}",
                    x1: "{line.from.0}rem",
                    y1: "{line.from.1}rem",
                    x2: "{line.to.0}rem",
                    y2: line.to.1.map_or_else(|| "100%".to_owned(), |height| format!("{height}rem")),
                    stroke_width: "{line.width:.1}",
                    stroke_dasharray: if line.class.starts_with("back") { format!("0 {:.1}", line.width * 1.9) },
                }
            }
            match lines.sign {
                None => rsx! {},
                Some((Sign::Dot, x)) => rsx! { circle { class: "sign-dot", cx: "{x}rem", cy: "{MIDDLE}rem", r: "0.3rem" } },
                Some((Sign::Ring, x)) => rsx! { circle { class: "sign-ring", cx: "{x}rem", cy: "{MIDDLE}rem", r: "0.36rem" } },
                Some((Sign::Bar, x)) => rsx! {
                    line { class: "sign-bar", x1: "{x}rem", y1: "{MIDDLE - 0.4}rem", x2: "{x}rem", y2: "{MIDDLE + 0.4}rem" }
                },
                Some((Sign::Fuse, x)) => rsx! {
                    rect { class: "sign-ring", x: "{x - 0.35}rem", y: "{MIDDLE - 0.65}rem", width: "0.7rem", height: "1.3rem", rx: "2" }
                    line { class: "sign-bar", x1: "{x}rem", y1: "{MIDDLE - 0.65}rem", x2: "{x}rem", y2: "{MIDDLE + 0.65}rem" }
                },
            }
        }
    }
}
