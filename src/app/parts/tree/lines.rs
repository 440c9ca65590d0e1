//! Which lines and signs does each row of the drawn circuit have, and where?
//!
//! Heights and columns are in rem, so that they grow with the text; thickness is in px.

use dioxus::prelude::*;

use super::By;
use crate::circuit::tree::rails::{MOST_COLUMNS, Rail, Row};
use crate::circuit::tree::{Branch, BranchKind};

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
pub(super) struct Drawing {
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

/// The fuse and the trunk that leaves it.
pub(super) fn root(trunk: Option<Rail>, all: f64) -> Drawing {
    let lines = trunk.map(|trunk| line(trunk, all, (x(0), MIDDLE), (x(0), None))).into_iter().collect();
    Drawing { lines, sign: Some((Sign::Fuse, x(0))) }
}

/// The trunks that go through a row from top to end.
fn through(row: &Row, all: f64) -> Vec<Line> {
    let passing = row.passing.iter().enumerate().filter(|(column, _)| *column < row.column.min(MOST_COLUMNS));
    passing.filter_map(|(column, rail)| Some(line((*rail)?, all, (x(column), 0.0), (x(column), None)))).collect()
}

/// The lines of a branch.
pub(super) fn lines(branch: &Branch, row: &Row, by: By, all: f64) -> Drawing {
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
pub(super) fn back_lines(branch: &Branch, row: &Row, by: By, all: f64) -> Drawing {
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
pub(super) fn Lines(lines: Drawing) -> Element {
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
