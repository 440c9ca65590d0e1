//! `loomwalk meter`: what should a meter show on this circuit?

use std::path::PathBuf;
use std::process::ExitCode;

use crate::circuit::file::{CircuitFile, Fuse};
use crate::circuit::harness::{Harness, Place};
use crate::circuit::live_work::{NO_OHMMETER, never_live};
use crate::circuit::meter::{
    AtRest, Distance, DistanceError, Draw, Figure, Jams, Meter, MeterOhms, Reading, Without, distance, fed_end, meter,
    ohms_text, stalled, usual_resolution,
};
use crate::circuit::said;
use crate::circuit::unplug::{self, Unplugged};
use crate::cli::circuit::{Circuit, columns, heading, not_fed, print};
use crate::ids::{Condition, RunId};
use crate::units::{Amps, Volts};

/// Arguments of `loomwalk meter`.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The circuit file
    circuit: PathBuf,
    /// Conditions that hold, with commas between: key_on,reverse
    #[arg(long, value_name = "CONDITIONS", value_delimiter = ',')]
    state: Vec<String>,
    /// A load or connector that is unplugged and stays so; may be given again for the next
    #[arg(long, value_name = "ID")]
    unplug: Vec<String>,
    /// The run along which a hard short lies, with the current limited by a lamp in place of the fuse
    #[arg(long, value_name = "ID", requires = "drop", requires = "at")]
    run: Option<String>,
    /// The voltage that is lost from one end of that run to the other, in volts
    #[arg(long, value_name = "VOLTS", requires = "run", allow_negative_numbers = true)]
    drop: Option<f64>,
    /// The current that flows meanwhile, in amperes
    #[arg(long, value_name = "AMPERES", requires = "run", allow_negative_numbers = true)]
    at: Option<f64>,
    /// The voltmeter's last digit, in volts; without it 0.001
    #[arg(long, value_name = "VOLTS", requires = "run", allow_negative_numbers = true)]
    resolution: Option<f64>,
    /// Print the whole answer as JSON (`loomwalk/meter`)
    #[arg(long)]
    json: bool,
}

/// Runs it.
pub fn run(args: &Args) -> ExitCode {
    print(answer(args))
}

/// The text to print, or what is wrong, each line with the file's name.
fn answer(args: &Args) -> Result<String, String> {
    let circuit = Circuit::read(&args.circuit)?;
    let state = circuit.state(&args.state);
    let named = |name: &String| unplug::named(&circuit.harness, name).map_err(|error| circuit.wrong(&error));
    let unplugged: Vec<Unplugged> = args.unplug.iter().map(named).collect::<Result<_, _>>()?;
    let mut found = meter(&circuit.harness, &state, &unplugged).map_err(|error| circuit.wrong(&error))?;
    let left = unplugged.iter().try_fold(circuit.harness.clone(), |left, what| unplug::without(&left, what));
    let left = left.map_err(|error| circuit.wrong(&error))?;
    found.stalled = Some(stalled(&left, &circuit.file.fuse, &state).map_err(|error| circuit.wrong(&error))?);
    found.distance = measured(args, &circuit.harness, &state).map_err(|error| circuit.wrong(&error))?;
    found.never_live = never_live(&circuit.file, &circuit.harness).loads;
    if args.json {
        serde_json::to_string_pretty(&found).map(|text| text + "\n").map_err(|error| error.to_string())
    } else {
        Ok(table(&circuit.file, &circuit.harness, &found))
    }
}

/// The distance that was measured, if any.
fn measured(args: &Args, harness: &Harness, state: &[Condition]) -> Result<Option<Distance>, DistanceError> {
    let (Some(name), Some(drop), Some(at)) = (&args.run, args.drop, args.at) else { return Ok(None) };
    let id = RunId::from(name.as_str());
    let run = harness.runs.iter().find(|run| run.id == id).ok_or(DistanceError::UnknownRun(id))?;
    let resolution = args.resolution.map_or_else(usual_resolution, Volts);
    distance(run, fed_end(harness, state, run)?, Volts(drop), Amps(at), resolution).map(Some)
}

/// The answer as a technician reads it: first the ohmmeter, where one may go on, then the ammeter and the voltmeter.
fn table(file: &CircuitFile, harness: &Harness, found: &Meter) -> String {
    let mut text = heading(file, &found.state);
    if found.never_live.is_empty() {
        text.push_str("\nOhmmeter from the open fuse's load terminal to ground, loads at rest:\n\n");
        text.push_str(&readings(harness, &found.reading, &found.unplugged));
        text.push('\n');
        text.push_str(&at_rest(found));
        text.push('\n');
    } else {
        text.push_str(&format!("\nCaution: {NO_OHMMETER}\n\n"));
    }
    text.push_str(&not_fed(file, &found.state));
    text.push_str(&draws(&found.draw, !found.unplugged.is_empty()));
    if let Some(stalled) = found.stalled.as_ref().filter(|stalled| !stalled.motors.is_empty()) {
        text.push_str(&jams(&file.fuse, stalled));
    }
    if let Some(distance) = &found.distance {
        text.push_str(&format!("\n{}\n", how_far(distance)));
    }
    text
}

fn readings(harness: &Harness, reading: &Reading, in_turn: &[Without]) -> String {
    let line = |connected: String, ohms: Option<MeterOhms>| {
        let (value, range) =
            ohms.map_or_else(|| ("open".to_owned(), String::new()), |ohms| (ohms_text(ohms.value), range(ohms)));
        [connected, value, range]
    };
    let label = |without: &Without| unplug::label(harness, &without.unplugged);
    let mut lines = vec![["connected".to_owned(), "reads".to_owned(), "within".to_owned()]];
    lines.push(line("everything".to_owned(), reading.all));
    lines.extend(reading.without.iter().map(|without| line(format!("all but {}", label(without)), without.reading)));
    for (at, without) in in_turn.iter().enumerate() {
        let before = if at == 0 { "unplugged:" } else { "then also" };
        lines.push(line(format!("{before} {}", label(without)), without.reading));
    }
    let mut text = columns(&lines);
    if reading.not_computed > 0 {
        text.push_str(&format!(
            "({} more can be unplugged; this circuit is too large to try each.)\n",
            reading.not_computed
        ));
    }
    text
}

fn range(ohms: MeterOhms) -> String {
    let most = ohms.most.map_or_else(|| "open".to_owned(), ohms_text);
    format!("{} … {most}", ohms_text(ohms.least))
}

fn at_rest(found: &Meter) -> String {
    let mut lines = vec![["load".to_owned(), "running".to_owned(), "at rest".to_owned(), String::new()]];
    lines.extend(found.loads.iter().map(|load| {
        let why = match load.at_rest {
            AtRest::ColdFilament => "filament cold",
            AtRest::Standstill => "standing still",
            AtRest::AsRunning => "as it runs",
            AtRest::ColdHeater => "cold; warm it is more, up to as it runs",
            AtRest::MayNotConduct => "a meter may not switch it on: then far more",
        };
        [
            named(&load.label, load.id.as_str()),
            ohms_text(load.running_ohms.value),
            ohms_text(load.cold_ohms.value),
            why.to_owned(),
        ]
    }));
    columns(&lines)
}

fn draws(draw: &Draw, unplugged: bool) -> String {
    let but = if unplugged { ", but what was unplugged" } else { "" };
    let mut text = format!(
        "With all of this state on{but}, loads running, the fuse carries {} A ({}).\n",
        amps(draw.fuse_a.value),
        span(draw.fuse_a, amps)
    );
    if draw.loads.is_empty() {
        return text;
    }
    let volts = |volts: f64| format!("{volts:.2}");
    let mut lines =
        vec![["load", "A", "within", "V at it", "within", "V lost before it", "V lost behind it"].map(str::to_owned)];
    lines.extend(draw.loads.iter().map(|load| {
        [
            named(&load.label, load.id.as_str()),
            amps(load.amps.value),
            span(load.amps, amps),
            volts(load.volts.value),
            span(load.volts, volts),
            volts(load.feed_drop_v),
            volts(load.return_drop_v),
        ]
    }));
    text.push('\n');
    text.push_str(&columns(&lines));
    text
}

/// What a jam of each motor does.
fn jams(fuse: &Fuse, stalled: &Jams) -> String {
    let mut lines = vec![["motor", "standing still", "fuse A", "within", "the fuse"].map(str::to_owned)];
    lines.extend(stalled.motors.iter().map(|jam| {
        [
            named(&jam.label, jam.id.as_str()),
            ohms_text(jam.stalled_ohms.value),
            amps(jam.fuse_a.value),
            span(jam.fuse_a, amps),
            jam.does(fuse.style),
        ]
    }));
    let closes = said::and_then(fuse.style);
    let more = match stalled.not_computed {
        0 => String::new(),
        more => format!("({more} more motors run; this circuit is too large to try each.)\n"),
    };
    format!(
        "\nStalled motors: one jammed, at its resistance standing still, everything else of this state running. That can \
         open the fuse without a chafed wire: try that it turns freely.{closes}\n\n{}{more}",
        columns(&lines)
    )
}

fn how_far(found: &Distance) -> String {
    let Distance { run, metres, plus_minus, length_m, place, beyond_end, .. } = found;
    let so_far = format!("By the lost voltage the short on {run} is {metres:.2} ± {plus_minus:.2} m from its from end");
    if *beyond_end {
        return format!(
            "{so_far}, but the run has only {length_m:.2} m: it lies behind the run, or wire or current are not as stated."
        );
    }
    match place {
        Some(Place::Zone(zone)) => format!("{so_far}: in {zone}."),
        Some(Place::Passage(passage)) => format!("{so_far}: in the passage {passage}."),
        None => format!("{so_far}."),
    }
}

fn amps(amps: f64) -> String {
    format!("{amps:.2}")
}

fn span(figure: Figure, show: impl Fn(f64) -> String) -> String {
    format!("{} … {}", show(figure.least), show(figure.most))
}

fn named(label: &str, id: &str) -> String {
    if label.is_empty() { id.to_owned() } else { label.to_owned() }
}
