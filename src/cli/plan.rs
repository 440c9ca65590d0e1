//! `loomwalk plan`: where to look, in the order that finds the place soonest?

use std::path::{Path, PathBuf};
use std::process::ExitCode;

use crate::bundle::BundleError;
use crate::bundle::file::{FORMAT as BUNDLE, HAND_OVER_LIMIT};
use crate::bundle::read;
use crate::circuit::{check, expand};
use crate::cli::circuit::print;
use crate::cli::{input, learn};
use crate::ids::{AccessId, PointId, ZoneId};
use crate::job::session::walk_of;
use crate::job::state::Job;
use crate::search::evidence::{self, Observation, Seen};
use crate::search::limits::{Limited, Limits, Reach};
use crate::search::plan::{Plan, PointChance, Search, Step, StepKind, Walk};
use crate::search::said::percent;
use crate::vehicle::body::{self, ZoneMap};

/// Arguments of `loomwalk plan`.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The circuit file, or a job's hand-over file: that has its own evidence, and what stands open
    #[arg(value_name = "CIRCUIT")]
    circuit: PathBuf,
    /// What was observed so far (`loomwalk/evidence`)
    #[arg(long, value_name = "FILE")]
    evidence: Option<PathBuf>,
    /// What the shop's closed jobs have taught (`loomwalk/learned`); a hand-over file has its own
    #[arg(long, value_name = "FILE")]
    learned: Option<PathBuf>,
    /// The vehicle stands raised already
    #[arg(long)]
    raised: bool,
    /// Only what can be found in so many minutes
    #[arg(long, value_name = "MINUTES")]
    minutes: Option<f64>,
    /// Only what is open or in plain sight, and the zone of --here
    #[arg(long)]
    reach: bool,
    /// The zone where you are: what it takes to open it counts as within reach
    #[arg(long, value_name = "ZONE", requires = "reach")]
    here: Option<String>,
    /// Print the whole plan as JSON (`loomwalk/plan`)
    #[arg(long)]
    json: bool,
}

/// Runs it.
pub fn run(args: &Args) -> ExitCode {
    print(answer(args))
}

/// The text to print, or which file is wrong and how.
fn answer(args: &Args) -> Result<String, String> {
    let in_circuit = |error: &dyn std::fmt::Display| format!("{}: {error}", args.circuit.display());
    let bytes = input::read(&args.circuit, HAND_OVER_LIMIT).map_err(|error| error.to_string())?;
    let job = if is_bundle(&bytes) { Some(job_of(&bytes).map_err(|error| in_circuit(&error))?) } else { None };
    let file = match &job {
        Some(job) => {
            let file = job.circuit.clone().ok_or_else(|| in_circuit(&"this job has no circuit yet: enter its fuse"))?;
            // It may be half entered.
            check::validate(&file).map(|()| file)
        }
        None => check::read(&bytes),
    };
    let file = file.map_err(|error| in_circuit(&error))?;
    let map = body::fit(&file.vehicle);
    let harness = expand::expand(&file, &map);
    let shop = match &args.learned {
        Some(path) => learn::read(path)?.shop(),
        None => job.as_ref().map(|job| job.shop.clone()).unwrap_or_default(),
    };
    let search = Search::of_circuit(&file, &harness, &map.map).taught_by(shop);
    let mut evidence = job.as_ref().map(|job| job.evidence_for(&search)).unwrap_or_default();
    if let Some(path) = &args.evidence {
        evidence.extend(read_evidence(path, &search)?);
    }
    let mut walk = job.as_ref().map(|job| walk_of(job, &harness)).unwrap_or_default();
    if args.raised {
        walk.open.insert(AccessId::from("access:raise"));
    }
    let whole = search.plan(&evidence, &walk);
    let limits = limits(args, &map.map)?;
    let mut plan = if limits.is_none() { whole.clone() } else { search.plan_within(&evidence, &walk, &limits) };
    plan.tests = search.tests(&evidence, &walk, TESTS);
    for place in 0..plan.steps.len() {
        plan.steps[place].why_next = plan.why_next(place + 1);
    }
    if args.json {
        serde_json::to_string_pretty(&plan).map(|text| text + "\n").map_err(|error| in_circuit(&error))
    } else {
        Ok(table(&plan, &no_step(&whole, &search, &evidence, &walk)))
    }
}

fn is_bundle(bytes: &[u8]) -> bool {
    #[derive(serde::Deserialize)]
    struct Head {
        format: String,
    }
    serde_json::from_slice::<Head>(bytes).is_ok_and(|head| head.format == BUNDLE)
}

/// The job of a hand-over file.
pub(super) fn job_of(bytes: &[u8]) -> Result<Job, BundleError> {
    let bundle = read::read(bytes, HAND_OVER_LIMIT)?;
    // The reader has refused a log that does not hold together.
    Ok(bundle.fold().unwrap_or_else(|_| Job::empty(bundle.job.id)))
}

/// What the plan is to be held to, or what is wrong with that.
fn limits(args: &Args, map: &ZoneMap) -> Result<Limits, String> {
    if let Some(minutes) = args.minutes.filter(|minutes| !(minutes.is_finite() && *minutes > 0.0)) {
        return Err(format!("--minutes {minutes}: give the time that you have in minutes, a number above 0."));
    }
    let here = match &args.here {
        Some(id) => {
            let zone = map.zone(&ZoneId::from(id.as_str()));
            Some(zone.ok_or_else(|| unknown_zone(id, map))?.id.clone())
        }
        None => None,
    };
    Ok(Limits { minutes: args.minutes, reach: args.reach.then_some(Reach { zone: here }) })
}

fn unknown_zone(id: &str, map: &ZoneMap) -> String {
    let zones: Vec<&str> = map.zones.iter().map(|zone| zone.id.as_str()).collect();
    format!("--here {id}: this vehicle has no such zone. It has {}.", zones.join(", "))
}

fn read_evidence(path: &Path, search: &Search) -> Result<Vec<Observation>, String> {
    let wrong = |error: evidence::EvidenceError| format!("{}: {error}", path.display());
    let bytes = input::read(path, evidence::MOST_BYTES as u64).map_err(|error| error.to_string())?;
    let file = evidence::read(&bytes).map_err(wrong)?;
    search.check(&file.items).map_err(wrong)?;
    Ok(file.items)
}

/// How many tests are told.
const TESTS: usize = 3;

/// A point without a step is named if its chance is at least this.
const WORTH_NAMING: f64 = 0.01;

/// The plan as a technician reads it: a line a step, then what is left.
fn table(plan: &Plan, no_step: &str) -> String {
    let mut lines = vec![["".into(), "min".into(), "what".into(), "chance".into(), "found by".into(), "why".into()]];
    lines.extend(plan.steps.iter().map(line));
    let width = |column: usize| lines.iter().map(|line: &[String; 6]| line[column].chars().count()).max().unwrap_or(0);
    let widths: [usize; 6] = std::array::from_fn(width);
    let mut text = String::new();
    for line in &lines {
        let cells = line.iter().zip(widths).enumerate().map(|(column, (cell, width))| match column {
            2 | 5 => format!("{cell:<width$}"),
            _ => format!("{cell:>width$}"),
        });
        text.push_str(cells.collect::<Vec<_>>().join("  ").trim_end());
        text.push('\n');
    }
    text.push('\n');
    text.push_str(&cautions(plan));
    text.push_str(no_step);
    if let Some(minutes) = plan.expected_minutes {
        text.push_str(&format!("If it is found on this pass: after {minutes:.0} minutes on average.\n"));
    }
    text.push_str(&format!(
        "This pass misses it with a chance of {}; {} that it is on none of these points.\n",
        percent(plan.left_over),
        percent(plan.not_listed)
    ));
    if let (Some(least), Some(minutes)) = (plan.at_least_minutes, plan.expected_minutes) {
        text.push_str(&format!(
            "Some places stand behind several covers: this order is not proven to be the best, but none takes less \
             than {least:.1} minutes on average, and this one {minutes:.1}.\n"
        ));
    }
    if let Some(first) = plan.steps.first().and_then(|step| step.why_next.as_ref()) {
        text.push_str(&format!("Why step 1 comes first: {first}.\n"));
    }
    if let Some(limited) = &plan.limited {
        text.push_str(&held_to(limited));
    }
    for test in &plan.tests {
        text.push_str(&format!(
            "Test: {}. Takes {:.0} minutes, saves {:.0} on average; the fuse opens with a chance of {}.\n",
            test.title,
            test.minutes,
            test.saves,
            percent(test.outcomes.iter().filter(|outcome| outcome.opens).map(|outcome| outcome.chance).sum())
        ));
        if let Some(caution) = &test.caution {
            text.push_str(&format!("  Caution: {caution}\n"));
        }
    }
    for note in &plan.notes {
        text.push_str(&format!("- {note}\n"));
    }
    for doubt in &plan.doubts {
        let speaks: Vec<&str> = doubt.speaks.iter().map(|words| words.trim_end_matches('.')).collect();
        text.push_str(&format!("? {}: {}.\n  {}\n", doubt.title, speaks.join("; "), doubt.check));
    }
    text
}

/// What can hurt someone, each once, with the steps that it belongs to.
fn cautions(plan: &Plan) -> String {
    let mut cautions: Vec<(&str, Vec<String>)> = Vec::new();
    for (caution, step) in plan.steps.iter().filter_map(|step| Some((step.caution.as_deref()?, step))) {
        match cautions.iter_mut().find(|(known, _)| *known == caution) {
            Some((_, steps)) => steps.push(step.n.to_string()),
            None => cautions.push((caution, vec![step.n.to_string()])),
        }
    }
    cautions.into_iter().map(|(caution, steps)| format!("Caution at {}: {caution}\n", steps.join(", "))).collect()
}

/// What the plan was held to, and what waits.
fn held_to(limited: &Limited) -> String {
    let time = limited.within_minutes.map(|minutes| format!("what fits into {minutes} minutes"));
    let reach = limited.reach.as_ref().map(|reach| match &reach.zone {
        Some(zone) => format!("what can be reached from {zone}"),
        None => "what can be reached without opening anything".to_owned(),
    });
    let only = [time, reach].into_iter().flatten().collect::<Vec<_>>().join(" and ");
    let (count, chance) = (limited.set_aside, percent(limited.set_aside_chance));
    format!("Only {only}. Left for another time: {count} looks that would find it with a chance of {chance}.\n")
}

/// Points without a step that may yet be the place, the likeliest first: where damage was seen, above all.
fn no_step(plan: &Plan, search: &Search, evidence: &[Observation], walk: &Walk) -> String {
    let has_step = |id: &PointId| plan.steps.iter().any(|step| step.id == id.as_str());
    let mut left: Vec<_> = plan.points.iter().filter(|point| point.probability >= WORTH_NAMING).collect();
    left.retain(|point| !has_step(&point.id));
    left.sort_by(|one, other| other.probability.total_cmp(&one.probability));
    let looked_at = |id: &PointId| {
        evidence
            .iter()
            .any(|item| matches!(item, Observation::Look { point, seen } if point == id && *seen != Seen::NotSeen))
    };
    let line = |point: &PointChance| {
        let title = search.point(&point.id).map_or(point.id.as_str(), |known| &known.title);
        let why = if walk.out_of_reach.contains(&point.id) {
            "Put out of reach"
        } else if walk.proven.contains(&point.id) || looked_at(&point.id) {
            "Looked at already"
        } else {
            "No look shows it"
        };
        format!("{why}: {title}: {} that it is here.\n", percent(point.probability))
    };
    left.into_iter().map(line).collect()
}

fn line(step: &Step) -> [String; 6] {
    let look = step.kind == StepKind::Look;
    let only_for_a_look = |text: String| if look { text } else { String::new() };
    let wires = if step.colours.is_empty() { String::new() } else { format!(" [{}]", step.colours.join(", ")) };
    [
        step.n.to_string(),
        format!("{:.1}", step.minutes),
        format!("{}{wires}", step.title),
        only_for_a_look(percent(step.probability)),
        only_for_a_look(percent(step.found_by)),
        step.why.join("; "),
    ]
}
