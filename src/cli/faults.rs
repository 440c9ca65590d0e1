//! `loomwalk faults`: what would a short to ground do at each end of every run?

use std::path::PathBuf;
use std::process::ExitCode;

use crate::circuit::fault::{
    Change, EndFault, Faults, RunFaults, RunStretches, Touched, Verdict, VerdictStretch, default_fault_ohms, faults,
    over_blows, touched,
};
use crate::circuit::file::CircuitFile;
use crate::circuit::harness::Place;
use crate::circuit::network::NetworkError;
use crate::circuit::said;
use crate::cli::circuit::{Circuit, columns, heading, not_fed, print};
use crate::ids::Condition;
use crate::search::said::chance;

/// Arguments of `loomwalk faults`.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The circuit file
    circuit: PathBuf,
    /// Conditions that hold, with commas between: key_on,reverse
    #[arg(long, value_name = "CONDITIONS", value_delimiter = ',')]
    state: Vec<String>,
    /// Resistance of the short in ohms, 0 or more; without it 0.01
    #[arg(long, value_name = "OHMS", value_parser = fault_ohms, allow_negative_numbers = true)]
    fault_ohms: Option<f64>,
    /// The conditions that held when the fuse opened, with commas between; once for each recorded blow
    #[arg(long, value_name = "CONDITIONS")]
    blow: Vec<String>,
    /// Print the whole answer as JSON (`loomwalk/faults`)
    #[arg(long)]
    json: bool,
}

fn fault_ohms(text: &str) -> Result<f64, String> {
    match text.parse::<f64>() {
        Ok(ohms) if ohms.is_finite() && ohms >= 0.0 => Ok(ohms),
        _ => Err("a short's resistance is a finite number of 0 or more, such as 0.01".to_owned()),
    }
}

/// Runs it.
pub fn run(args: &Args) -> ExitCode {
    print(answer(args))
}

/// Conditions with commas between.
fn names(list: &str) -> Vec<String> {
    list.split(',').map(str::to_owned).collect()
}

/// The text to print, or what is wrong, each line with the file's name.
fn answer(args: &Args) -> Result<String, String> {
    let circuit = Circuit::read(&args.circuit)?;
    let state = circuit.state(&args.state);
    let short = args.fault_ohms.unwrap_or_else(default_fault_ohms);
    let fuse = &circuit.file.fuse;
    let blows: Vec<Vec<Condition>> = args.blow.iter().map(|blow| circuit.state(&names(blow))).collect();
    let wrong = |error: NetworkError| circuit.wrong(&error);
    let mut found = faults(&circuit.harness, fuse.rating_a, fuse.style, &state, short).map_err(wrong)?;
    found.touch = Some(touched(&circuit.harness, fuse, circuit.file.touch, &state, short).map_err(wrong)?);
    if !blows.is_empty() {
        let over = over_blows(&circuit.harness, fuse.rating_a, fuse.style, &blows, short).map_err(wrong)?;
        found.over_blows = Some(over);
    }
    if args.json {
        serde_json::to_string_pretty(&found).map(|text| text + "\n").map_err(|error| error.to_string())
    } else {
        Ok(table(&circuit.file, &found))
    }
}

/// The answer as a technician reads it: a line a run, both ends side by side.
fn table(file: &CircuitFile, found: &Faults) -> String {
    let mut lines = vec![[
        "run".to_owned(),
        "from".to_owned(),
        "to".to_owned(),
        "volts".to_owned(),
        "fuse A in a short".to_owned(),
        "× rating".to_owned(),
        "opens within".to_owned(),
        "fuse".to_owned(),
    ]];
    lines.extend(found.runs.iter().map(line));
    let mut text = heading(file, &found.state);
    text.push_str(&format!(
        "Without a fault the fuse carries {:.2} A. A short of {} Ω to ground, at the from and the to end of each run:\n\n",
        found.no_fault_fuse_a, found.fault_ohms
    ));
    let not_fed = not_fed(file, &found.state);
    if !not_fed.is_empty() {
        text.push_str(&format!("{not_fed}\n"));
    }
    text.push_str(&columns(&lines));
    if let Some(over) = &found.over_blows {
        text.push_str(&format!(
            "\nWhat one short could have done in each of {} recorded blows:\n\n",
            over.states.len()
        ));
        let mut lines = vec![["run".to_owned(), "fuse".to_owned()]];
        lines.extend(over.runs.iter().map(|run| [run.id.to_string(), part_by_part(run)]));
        text.push_str(&columns(&lines));
    }
    if let Some(touch) = &found.touch {
        text.push_str(&touches(file, touch));
    }
    for warning in &found.warnings {
        let runs: Vec<&str> = warning.runs.iter().map(|run| run.as_str()).collect();
        text.push_str(&format!("\n{} Runs: {}.\n", warning.text, runs.join(", ")));
    }
    text
}

/// Which touches were taken, and how surely one of them opens the fuse.
fn touches(file: &CircuitFile, touch: &Touched) -> String {
    let from = if touch.stated { "as the circuit file states" } else { "as shipped" };
    let mut lines = vec![["run", "from end", "to end"].map(str::to_owned)];
    lines.extend(touch.runs.iter().map(|run| [run.id.to_string(), chance(run.near), chance(run.far)]));
    format!(
        "\nA rubbing wire is taken to touch for {}, any length between as likely on a logarithmic scale ({from}; an \
         assumption, no measurement). One such touch opens the {} with these chances:\n\n{}",
        said::span(touch.shortest_s, touch.longest_s),
        said::noun(file.fuse.style),
        columns(&lines)
    )
}

fn part_by_part(run: &RunStretches) -> String {
    let did = |verdict| match verdict {
        Verdict::Opens => "opened it",
        Verdict::MayOpen => "may have opened it",
        Verdict::Holds => "cannot have opened it",
        Verdict::NotLive => "had no voltage in one of them",
    };
    let part = |part: &VerdictStretch| match run.stretches.len() {
        1 => did(part.verdict).to_owned(),
        _ => format!("up to {:.2} m {}", part.to_m, did(part.verdict)),
    };
    run.stretches.iter().map(part).collect::<Vec<_>>().join(", ")
}

fn word(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Opens => "opens",
        Verdict::MayOpen => "may open",
        Verdict::Holds => "holds",
        Verdict::NotLive => "no voltage here now",
    }
}

/// What a short means, and where along the run that changes.
fn along(run: &RunFaults) -> String {
    let mut text = run.changes_at.first().map_or_else(|| word(run.verdict), |change| word(change.before)).to_owned();
    for Change { at_m, place, after, .. } in &run.changes_at {
        let place = match place {
            Some(Place::Zone(zone)) => format!(" ({zone})"),
            Some(Place::Passage(passage)) => format!(" (passage {passage})"),
            None => String::new(),
        };
        text.push_str(&format!(", from {at_m:.2} m{place} {}", word(*after)));
    }
    text
}

fn line(run: &RunFaults) -> [String; 8] {
    let RunFaults { id, near, far, verdict, .. } = run;
    let ends = |show: &dyn Fn(&EndFault) -> String| {
        let (near, far) = (show(near), show(far));
        if near == far { near } else { format!("{near} … {far}") }
    };
    let unless_dead = |text: String| if *verdict == Verdict::NotLive { "–".to_owned() } else { text };
    [
        id.to_string(),
        near.node.to_string(),
        far.node.to_string(),
        unless_dead(ends(&|end| format!("{:.2}", end.volts))),
        unless_dead(ends(&|end| format!("{:.1}", end.fuse_a))),
        unless_dead(ends(&|end| format!("{:.1}", end.ratio))),
        unless_dead(ends(&|end| end.open_s.1.map_or_else(|| "need not".to_owned(), said::time))),
        along(run),
    ]
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::*;
    use crate::circuit::fault::RunTouch;
    use crate::ids::{NodeId, RunId};

    fn file() -> CircuitFile {
        let text = r#"{"format": "loomwalk/circuit", "version": 1, "label": "F23 load-area services",
            "fuse": {"rating_a": 15, "style": "blade"}, "loads": []}"#;
        serde_json::from_str(text).unwrap()
    }

    fn end(node: &str, volts: f64, fuse_a: f64, max_s: Option<f64>) -> EndFault {
        EndFault { node: NodeId::from(node), volts, fuse_a, ratio: fuse_a / 15.0, open_s: (0.0, max_s) }
    }

    #[test]
    fn the_table_reads_from_the_fuse_outwards() {
        let run = |id: &str, near, far, verdict| RunFaults {
            id: RunId::from(id),
            near,
            far,
            verdict,
            changes_at: Vec::new(),
        };
        let found = Faults {
            format: "loomwalk/faults".to_owned(),
            version: 1,
            state: vec!["key_on".into()],
            fault_ohms: 0.01,
            no_fault_fuse_a: 2.31,
            over_blows: None,
            touch: Some(Touched {
                shortest_s: 0.002,
                longest_s: 2.0,
                stated: false,
                runs: vec![RunTouch { id: RunId::from("r1"), near: 1.0, far: 0.625 }],
            }),
            warnings: Vec::new(),
            runs: vec![
                run("r1", end("fuse", 12.55, 372.1, Some(0.1)), end("s1", 12.5, 161.0, Some(0.1)), Verdict::Opens),
                run("r2", end("s1", 12.5, 26.0, Some(19.0)), end("l1.feed", 12.4, 18.0, None), Verdict::MayOpen),
                run("r3", end("l1.return", 0.02, 2.4, None), end("ground", 0.0, 2.31, None), Verdict::Holds),
                run("r4", end("c4", 0.0, 2.31, None), end("l2.feed", 0.0, 2.31, None), Verdict::NotLive),
            ],
        };
        expect_test::expect![[r#"
            F23 load-area services: 15 A blade fuse; key_on
            Without a fault the fuse carries 2.31 A. A short of 0.01 Ω to ground, at the from and the to end of each run:

            run  from       to       volts          fuse A in a short  × rating     opens within     fuse
            r1   fuse       s1       12.55 … 12.50  372.1 … 161.0      24.8 … 10.7  0.1 s            opens
            r2   s1         l1.feed  12.50 … 12.40  26.0 … 18.0        1.7 … 1.2    19 s … need not  may open
            r3   l1.return  ground   0.02 … 0.00    2.4 … 2.3          0.2          need not         holds
            r4   c4         l2.feed  –              –                  –            –                no voltage here now

            A rubbing wire is taken to touch for 2 ms to 2 s, any length between as likely on a logarithmic scale (as shipped; an assumption, no measurement). One such touch opens the fuse with these chances:

            run  from end  to end
            r1   100 %     62 %
        "#]]
        .assert_eq(&table(&file(), &found));
    }

    #[test]
    fn a_shorts_resistance_is_finite_and_not_negative() {
        assert_eq!(fault_ohms("0"), Ok(0.0));
        for wrong in ["-1", "nan", "inf", "1e999", "", "10m"] {
            assert!(fault_ohms(wrong).is_err(), "{wrong}");
        }
    }
}
