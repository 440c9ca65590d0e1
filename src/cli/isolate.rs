//! `loomwalk isolate`: a fresh fuse opens at once; what to unplug next, and where can the short still be?

use std::collections::BTreeSet;
use std::path::PathBuf;
use std::process::ExitCode;

use crate::circuit::harness::Harness;
use crate::circuit::isolate::{Isolation, LampGlow, LampShows, LimitingLamp, Step};
use crate::circuit::unplug::{label, named};
use crate::cli::circuit::{Circuit, columns, heading, not_fed, print};
use crate::job::corner::{self, LAMP};
use crate::vehicle::body::{self, ZoneMap};

/// So many are told of what is next best.
const NEXT_BEST: usize = 4;

/// Arguments of `loomwalk isolate`.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The circuit file
    circuit: PathBuf,
    /// Conditions that hold while the fuse opens at once, with commas between: key_on,reverse
    #[arg(long, value_name = "CONDITIONS", value_delimiter = ',')]
    state: Vec<String>,
    /// A load or connector: with it unplugged the short was gone; it is plugged in again. May be given again
    #[arg(long, value_name = "ID")]
    gone: Vec<String>,
    /// A load or connector: with it unplugged the short was still there; it stays unplugged. May be given again
    #[arg(long, value_name = "ID")]
    still: Vec<String>,
    /// Power of the 12 V lamp in place of the fuse, in watts; without it 21
    #[arg(long, value_name = "WATTS", value_parser = watts, allow_negative_numbers = true)]
    lamp: Option<f64>,
}

fn watts(text: &str) -> Result<f64, String> {
    match text.parse::<f64>() {
        Ok(watts) if watts.is_finite() && watts > 0.0 => Ok(watts),
        _ => Err("a lamp's power is a finite number above 0, such as 21".to_owned()),
    }
}

/// Runs it.
pub fn run(args: &Args) -> ExitCode {
    print(answer(args))
}

/// The text to print, or what is wrong, each line with the file's name.
fn answer(args: &Args) -> Result<String, String> {
    let circuit = Circuit::read(&args.circuit)?;
    let Circuit { file, harness, .. } = &circuit;
    let state = circuit.state(&args.state);
    let fitted = body::fit(&file.vehicle);
    let begun = corner::begin(harness, &fitted.map, &BTreeSet::new(), &state);
    let mut isolation = begun.map_err(|error| circuit.wrong(&error))?;
    // What stays unplugged comes first: only then does what was gone say how little is left.
    let still = args.still.iter().map(|name| (name, false));
    for (name, gone) in still.chain(args.gone.iter().map(|name| (name, true))) {
        let what = named(harness, name).map_err(|error| circuit.wrong(&error))?;
        isolation.tell(&what, gone).map_err(|error| circuit.wrong(&error))?;
    }
    let lamp = LimitingLamp { watts: args.lamp.unwrap_or(LAMP.watts), ..LAMP };
    let shows = corner::lamp(isolation.harness(), &state, lamp).map_err(|error| circuit.wrong(&error))?;
    let mut text = heading(file, &state);
    text.push_str(&not_fed(file, &state));
    text.push_str(&unplug(harness, &fitted.map, &isolation.steps()));
    text.push_str(&left(harness, &isolation));
    text.push_str(&in_place_of_the_fuse(lamp, &shows));
    Ok(text)
}

/// What to unplug next, and the next best few.
fn unplug(harness: &Harness, map: &ZoneMap, steps: &[Step]) -> String {
    let Some((next, others)) = steps.split_first() else {
        return "\nNothing that can be unplugged tells any more: look at what is left.\n".to_owned();
    };
    let zone = |step: &Step| corner::zone(harness, map, &step.unplug).map_or("", |zone| &zone.label).to_owned();
    let place = Some(zone(next)).filter(|zone| !zone.is_empty()).map(|zone| format!(" ({zone})")).unwrap_or_default();
    let Step { unplug: what, minutes, gone, .. } = next;
    let mut text = format!(
        "\nUnplug next: {}{place}. It takes {} min, and the short is gone then with a chance of {}.\n\
         If it is gone, plug it in again and add --gone {what}. If it is still there, leave it unplugged and add --still {what}.\n",
        label(harness, what),
        whole(minutes.0),
        percent(*gone),
    );
    if others.is_empty() {
        return text;
    }
    let mut lines = vec![["next best", "where", "id", "min", "gone"].map(str::to_owned)];
    lines.extend(others.iter().take(NEXT_BEST).map(|step| {
        let label = label(harness, &step.unplug);
        [label, zone(step), step.unplug.to_string(), whole(step.minutes.0), percent(step.gone)]
    }));
    text.push('\n');
    text.push_str(&columns(&lines));
    text
}

fn left(harness: &Harness, isolation: &Isolation) -> String {
    let mut lines = vec![["chance".to_owned(), "where the short can still be".to_owned()]];
    lines.extend(corner::left(harness, isolation).into_iter().map(|left| [percent(left.chance), left.label]));
    format!("\n{}", columns(&lines))
}

fn in_place_of_the_fuse(lamp: LimitingLamp, [with, without]: &[LampShows; 2]) -> String {
    let tells = if with.differs_from(without) {
        "so the lamp tells whether it is there"
    } else {
        "so this lamp does not tell for sure whether it is there: one of more watts may"
    };
    format!(
        "\nA lamp of {} W, {} V in place of the fuse: {} with the short, {} without it; {tells}.\n",
        lamp.watts,
        lamp.rated.0,
        glow(with),
        glow(without)
    )
}

fn glow(shows: &LampShows) -> String {
    let word = |glow| match glow {
        LampGlow::Dark => "dark",
        LampGlow::Dim => "dim",
        LampGlow::Bright => "bright",
    };
    let (least, most) = (word(shows.least_glow), word(shows.most_glow));
    if least == most { least.to_owned() } else { format!("{least} to {most}") }
}

fn whole(minutes: f64) -> String {
    format!("{minutes:.0}")
}

fn percent(chance: f64) -> String {
    match chance * 100.0 {
        whole if whole >= 9.95 => format!("{whole:.0} %"),
        small => format!("{small:.1} %"),
    }
}
