//! `loomwalk plan`: where to look, in the order that finds the place soonest?

use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use crate::circuit::{check, expand};
use crate::ids::AccessId;
use crate::search::evidence::{self, Observation};
use crate::search::plan::{Plan, Search, Step, StepKind, Walk};
use crate::vehicle::body;

/// Arguments of `loomwalk plan`.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The circuit file
    circuit: PathBuf,
    /// What was observed so far (`loomwalk/evidence`)
    #[arg(long, value_name = "FILE")]
    evidence: Option<PathBuf>,
    /// The vehicle stands raised already
    #[arg(long)]
    raised: bool,
    /// Print the whole plan as JSON (`loomwalk/plan`)
    #[arg(long)]
    json: bool,
}

/// Runs it.
pub fn run(args: &Args) -> ExitCode {
    match answer(args) {
        Ok(text) => match std::io::stdout().lock().write_all(text.as_bytes()) {
            Ok(()) => ExitCode::SUCCESS,
            // Whoever reads has seen enough.
            Err(error) if error.kind() == std::io::ErrorKind::BrokenPipe => ExitCode::SUCCESS,
            Err(error) => fail(&format!("cannot write the plan: {error}")),
        },
        Err(message) => fail(&message),
    }
}

fn fail(message: &str) -> ExitCode {
    eprintln!("{message}");
    ExitCode::FAILURE
}

/// The text to print, or which file is wrong and how.
fn answer(args: &Args) -> Result<String, String> {
    let in_circuit = |error: &dyn std::fmt::Display| format!("{}: {error}", args.circuit.display());
    let file = check::read(&bytes(&args.circuit)?).map_err(|error| in_circuit(&error))?;
    let map = body::map_for(file.vehicle.body, file.vehicle.drive_side);
    let harness = expand::expand(&file, &map);
    let search = Search::new(&harness, &map.map, &file.fuse);
    let evidence = match &args.evidence {
        Some(path) => read_evidence(path, &search)?,
        None => Vec::new(),
    };
    let mut walk = Walk::default();
    if args.raised {
        walk.open.insert(AccessId::from("access:raise"));
    }
    let plan = search.plan(&evidence, &walk);
    if args.json {
        serde_json::to_string_pretty(&plan).map(|text| text + "\n").map_err(|error| in_circuit(&error))
    } else {
        Ok(table(&plan))
    }
}

fn bytes(path: &Path) -> Result<Vec<u8>, String> {
    std::fs::read(path).map_err(|error| format!("{}: cannot read it: {error}", path.display()))
}

fn read_evidence(path: &Path, search: &Search) -> Result<Vec<Observation>, String> {
    let wrong = |error: evidence::EvidenceError| format!("{}: {error}", path.display());
    let file = evidence::read(&bytes(path)?).map_err(wrong)?;
    search.check(&file.items).map_err(wrong)?;
    Ok(file.items)
}

/// The plan as a technician reads it: a line a step, then what is left.
fn table(plan: &Plan) -> String {
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
    if let Some(minutes) = plan.expected_minutes {
        text.push_str(&format!("If it is found on this pass: after {minutes:.0} minutes on average.\n"));
    }
    text.push_str(&format!(
        "This pass misses it with a chance of {}; {} that it is on none of these points.\n",
        percent(plan.left_over),
        percent(plan.not_listed)
    ));
    for note in &plan.notes {
        text.push_str(&format!("- {note}\n"));
    }
    text
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

fn percent(chance: f64) -> String {
    match chance * 100.0 {
        whole if whole >= 9.95 => format!("{whole:.0} %"),
        small => format!("{small:.1} %"),
    }
}
