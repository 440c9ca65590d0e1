//! Asks a circuit simulator about a harness: ngspice (Debian package `ngspice`).

#![allow(clippy::unwrap_used, clippy::expect_used)]

use std::fmt::Write as _;
use std::process::Command;

use loomwalk::circuit::harness::{Harness, NodeIx};
use loomwalk::circuit::network::holds;
use loomwalk::ids::Condition;

/// How far apart two figures are, by ratio; what is below a nanovolt or a nanoampere is nothing.
pub fn apart(ours: f64, theirs: f64) -> f64 {
    ((ours - theirs).abs() - 1e-9).max(0.0) / theirs.abs().max(1e-9)
}

/// One circuit in one state, with a short or without.
pub struct Question<'h> {
    pub loom: &'h Harness,
    pub state: &'h [Condition],
    /// A node and the ohms from there to ground.
    pub short: Option<(NodeIx, f64)>,
}

/// Writes a circuit into a deck, its node `n` named `<at>_<n>`. Ground is node 0.
fn write_circuit(deck: &mut String, at: usize, question: &Question<'_>) {
    let Question { loom, state, short } = question;
    let node = |ix: NodeIx| if ix == NodeIx::GROUND { "0".to_owned() } else { format!("{at}_{}", ix.0) };
    let mut elements = 0;
    let mut element = |deck: &mut String, from: String, to: String, ohms: f64| {
        elements += 1;
        // ngspice makes 1 mΩ of R=0, so what has no resistance is a source of 0 V.
        if ohms == 0.0 {
            writeln!(deck, "V{at}_{elements} {from} {to} 0").unwrap();
        } else {
            writeln!(deck, "R{at}_{elements} {from} {to} {ohms:e}").unwrap();
        }
    };
    let source = &loom.source;
    writeln!(deck, "VS{at} {at}_s 0 {:e}", source.volts).unwrap();
    if holds(&source.live_when, state) {
        let ohms = source.supply_ohms.0 + source.fuse_ohms.0;
        element(deck, format!("{at}_s"), node(NodeIx::FUSE), ohms);
    }
    for run in &loom.runs {
        element(deck, node(run.from), node(run.to), if run.lead { 0.0 } else { run.ohms.0 });
    }
    for switch in loom.switches.iter().filter(|switch| holds(&switch.closed_when, state)) {
        element(deck, node(switch.from), node(switch.to), switch.ohms.0);
    }
    for load in loom.loads.iter().filter(|load| holds(&load.live_when, state)) {
        element(deck, node(load.feed), node(load.return_), load.ohms.0);
    }
    if let Some((at, ohms)) = short {
        element(deck, node(*at), "0".to_owned(), *ohms);
    }
}

/// All questions in one deck: circuits that share nothing but ground.
pub fn deck(questions: &[Question<'_>]) -> String {
    // The shunt gives floating nodes a way to ground, which they need to be solved; 1 TΩ is too much to matter.
    let mut deck = String::from("invented looms\n.options filetype=ascii rshunt=1e12\n");
    for (at, question) in questions.iter().enumerate() {
        write_circuit(&mut deck, at, question);
    }
    deck + ".op\n.end\n"
}

/// What ngspice writes about a deck, in full precision.
pub fn run_ngspice(deck: &str) -> String {
    let folder = tempfile::tempdir().unwrap();
    let (deck_file, raw_file) = (folder.path().join("deck.cir"), folder.path().join("out.raw"));
    std::fs::write(&deck_file, deck).unwrap();
    let done = Command::new("ngspice").arg("-b").arg("-r").arg(&raw_file).arg(&deck_file).output();
    let done = done.expect("ngspice must be installed for this: apt-get install ngspice");
    assert!(done.status.success(), "{}", String::from_utf8_lossy(&done.stderr));
    std::fs::read_to_string(&raw_file).unwrap()
}

/// What ngspice says: for each question without a short, the voltage of every node; for all, the source's current.
pub fn ask_ngspice(questions: &[Question<'_>]) -> Vec<(Vec<f64>, f64)> {
    let raw = run_ngspice(&deck(questions));
    let (head, values) = raw.split_once("\nValues:\n").unwrap();
    let (_, variables) = head.split_once("\nVariables:\n").unwrap();
    let names = variables.lines().filter_map(|line| line.split_whitespace().nth(1));
    let values = values.split_whitespace().skip(1).map(|value| value.parse::<f64>().unwrap());
    let found: std::collections::HashMap<&str, f64> = names.zip(values).collect();
    let answer = |(at, question): (usize, &Question<'_>)| {
        let volts = |node: usize| found.get(format!("v({at}_{node})").as_str()).copied().unwrap_or(0.0);
        let nodes = if question.short.is_none() { question.loom.nodes.len() } else { 0 };
        let volts = (0..nodes).map(|node| if node == 0 { 0.0 } else { volts(node) });
        // A source that gives has a negative current.
        (volts.collect(), -found[format!("i(vs{at})").as_str()])
    };
    questions.iter().enumerate().map(answer).collect()
}
