//! How do commands that compute on a circuit read it, and how do they print?

use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use crate::circuit::file::CircuitFile;
use crate::circuit::harness::Harness;
use crate::circuit::{check, expand, said};
use crate::cli::input;
use crate::ids::Condition;
use crate::vehicle::body;

/// A circuit as someone named it.
pub struct Circuit {
    path: PathBuf,
    /// As it was written.
    pub file: CircuitFile,
    /// With all its wires.
    pub harness: Harness,
}

impl Circuit {
    /// Reads it.
    ///
    /// # Errors
    /// What is wrong with the file, each line with its name.
    pub fn read(path: &Path) -> Result<Self, String> {
        let bytes = input::read(path, check::MOST_BYTES as u64).map_err(|error| error.to_string())?;
        let file = check::read(&bytes).map_err(|error| in_file(path, &error))?;
        let map = body::fit(&file.vehicle);
        let harness = expand::expand(&file, &map);
        Ok(Self { path: path.to_owned(), file, harness })
    }

    /// An error about it, each line with the file's name.
    pub fn wrong(&self, error: &dyn std::fmt::Display) -> String {
        in_file(&self.path, error)
    }

    /// The named conditions, each once. Points out those on which nothing here depends.
    pub fn state(&self, names: &[String]) -> Vec<Condition> {
        let mut state: Vec<Condition> = Vec::new();
        for name in names.iter().map(|name| name.trim()).filter(|name| !name.is_empty()) {
            let condition = Condition::from(name);
            if !state.contains(&condition) {
                state.push(condition);
            }
        }
        for unknown in state.iter().filter(|condition| !self.asks_for(condition)) {
            eprintln!("note: nothing in this circuit depends on {unknown}");
        }
        state
    }

    /// Whether a fuse feed, switch or load depends on that condition.
    fn asks_for(&self, condition: &Condition) -> bool {
        let switches = self.harness.switches.iter().flat_map(|switch| &switch.closed_when);
        let loads = self.harness.loads.iter().flat_map(|load| &load.live_when);
        self.harness.source.live_when.iter().chain(switches).chain(loads).any(|other| other == condition)
    }
}

fn in_file(path: &Path, error: &dyn std::fmt::Display) -> String {
    error.to_string().lines().map(|line| format!("{}: {line}", path.display())).collect::<Vec<_>>().join("\n")
}

/// Which circuit, which fuse and which state: the first line of a table.
pub fn heading(file: &CircuitFile, state: &[Condition]) -> String {
    let name = [&file.label, &file.fuse.label].into_iter().find(|name| !name.is_empty());
    let name = name.map_or("circuit", String::as_str);
    let state: Vec<&str> = state.iter().map(Condition::as_str).collect();
    let state = if state.is_empty() { "nothing switched on".to_owned() } else { state.join(", ") };
    format!("{name}: {} A {}; {state}\n", file.fuse.rating_a, said::style(file.fuse.style))
}

/// Says which conditions the fuse's own feed still lacks, or nothing.
pub fn not_fed(file: &CircuitFile, state: &[Condition]) -> String {
    let missing = file.fuse.live_when.iter().filter(|condition| !state.contains(condition));
    let missing: Vec<&str> = missing.map(Condition::as_str).collect();
    if missing.is_empty() {
        String::new()
    } else {
        format!("The fuse itself has no voltage in this state: it needs {}.\n", missing.join(", "))
    }
}

/// Lines of cells, each column as wide as its widest cell.
pub fn columns<const N: usize>(lines: &[[String; N]]) -> String {
    let width = |column: usize| lines.iter().map(|line| line[column].chars().count()).max().unwrap_or(0);
    let widths: [usize; N] = std::array::from_fn(width);
    let mut text = String::new();
    for line in lines {
        let cells: Vec<String> = line.iter().zip(widths).map(|(cell, width)| format!("{cell:<width$}")).collect();
        text.push_str(cells.join("  ").trim_end());
        text.push('\n');
    }
    text
}

/// Prints an answer, or what is wrong, and says how that ended.
pub fn print(answer: Result<String, String>) -> ExitCode {
    match answer.and_then(|text| say(&text)) {
        Ok(()) => ExitCode::SUCCESS,
        Err(wrong) => {
            eprintln!("{wrong}");
            ExitCode::FAILURE
        }
    }
}

/// Prints a part of an answer; says why that cannot be done.
pub fn say(text: &str) -> Result<(), String> {
    match std::io::stdout().lock().write_all(text.as_bytes()) {
        Ok(()) => Ok(()),
        // Whoever reads has seen enough.
        Err(error) if error.kind() == std::io::ErrorKind::BrokenPipe => Ok(()),
        Err(error) => Err(format!("the answer cannot be written: {error}")),
    }
}
