//! `loomwalk story`: does what is dead fit the open fuse?

use std::path::PathBuf;
use std::process::ExitCode;

use crate::circuit::file::CircuitFile;
use crate::circuit::harness::Harness;
use crate::circuit::story::{Misfit, Said, Story, story};
use crate::circuit::unplug::{Unplugged, label};
use crate::cli::circuit::{Circuit, heading, not_fed, print};
use crate::ids::{Condition, LoadId};

/// Arguments of `loomwalk story`.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The circuit file
    circuit: PathBuf,
    /// Conditions that hold, with commas between: key_on,reverse
    #[arg(long, value_name = "CONDITIONS", value_delimiter = ',')]
    state: Vec<String>,
    /// Something that does not work, also what this circuit does not have; may be given again for the next
    #[arg(long, value_name = "ID-OR-NAME", value_parser = name)]
    dead: Vec<String>,
    /// Something that works; may be given again for the next
    #[arg(long, value_name = "ID-OR-NAME", value_parser = name)]
    alive: Vec<String>,
    /// Print the whole answer as JSON (`loomwalk/story`)
    #[arg(long)]
    json: bool,
}

fn name(text: &str) -> Result<String, String> {
    match text.trim() {
        "" => Err("say what: a load's id, or a name".to_owned()),
        name => Ok(name.to_owned()),
    }
}

/// Runs it.
pub fn run(args: &Args) -> ExitCode {
    print(answer(args))
}

/// The text to print, or what is wrong, each line with the file's name.
fn answer(args: &Args) -> Result<String, String> {
    let circuit = Circuit::read(&args.circuit)?;
    let state = circuit.state(&args.state);
    let dead = args.dead.iter().map(|name| (name, true));
    let named = dead.chain(args.alive.iter().map(|name| (name, false)));
    let named = named.map(|(name, dead)| known(&circuit.harness, name).map(|what| Said { what, dead }));
    let said: Vec<Said> = named.collect::<Result<_, _>>().map_err(|error| circuit.wrong(&error))?;
    let found = story(&circuit.harness, &state, &said).map_err(|error| circuit.wrong(&error))?;
    if args.json {
        serde_json::to_string_pretty(&found).map(|text| text + "\n").map_err(|error| error.to_string())
    } else {
        Ok(text(&circuit.file, &circuit.harness, &state, &said, &found))
    }
}

/// A name that stands for more than one load.
#[derive(Debug, thiserror::Error)]
#[error("{name} is the name of more than one load: give the id of the one that is meant: {}", ids.join(", "))]
struct Ambiguous {
    name: String,
    ids: Vec<String>,
}

/// The id of the load that has that id or that name. Points out what this circuit does not have, which may be so or a
/// slip of the pen.
fn known(harness: &Harness, name: &str) -> Result<String, Ambiguous> {
    if harness.loads.iter().any(|load| load.id.as_str() == name) {
        return Ok(name.to_owned());
    }
    let called = harness.loads.iter().filter(|load| load.label.to_lowercase() == name.to_lowercase());
    let ids: Vec<String> = called.map(|load| load.id.to_string()).collect();
    match ids.as_slice() {
        [] => {
            eprintln!("note: {name} is no load of this circuit, by id or by name: it is taken for something else");
            Ok(name.to_owned())
        }
        [id] => Ok(id.clone()),
        _ => Err(Ambiguous { name: name.to_owned(), ids }),
    }
}

/// The answer as a technician reads it: what it comes to, then thing by thing.
fn text(file: &CircuitFile, harness: &Harness, state: &[Condition], said: &[Said], found: &Story) -> String {
    let called = |id: &str| label(harness, &Unplugged::Load(LoadId::from(id)));
    let with_id = |id: &LoadId| match called(id.as_str()) {
        label if label == id.as_str() => label,
        label => format!("{label} ({id})"),
    };
    let fits = |what: &String| {
        let dead = said.iter().any(|said| said.what == *what && said.dead);
        format!("{} {}", called(what), if dead { "is dead" } else { "works" })
    };
    let misfits = found.extra_dead.iter().chain(&found.extra_alive);
    let mut text = heading(file, state);
    text.push_str(&not_fed(file, state));
    text.push_str(&format!("{}\n", found.meaning));
    text.push_str(&list("Dead with this fuse open", found.should_be_dead.iter().map(with_id)));
    text.push_str(&list("Fits", found.fits.iter().map(fits)));
    text.push_str(&list("Does not fit", misfits.map(|Misfit { meaning, .. }| meaning.clone())));
    text.push_str(&list("Not said yet; trying these would tell more", found.unsaid.iter().map(with_id)));
    text
}

/// A line each under a title, or nothing.
fn list(title: &str, lines: impl Iterator<Item = String>) -> String {
    let lines: String = lines.map(|line| format!("- {line}\n")).collect();
    if lines.is_empty() { lines } else { format!("\n{title}:\n{lines}") }
}
