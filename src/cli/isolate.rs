//! `loomwalk isolate`: a fresh fuse opens at once; what to unplug next, and where can the short still be?

use std::collections::BTreeSet;
use std::path::PathBuf;
use std::process::ExitCode;

use crate::circuit::isolate::{LampGlow, LimitingLamp};
use crate::circuit::live_work::{BATTERY_OFF, WHY, never_live};
use crate::circuit::unplug::named;
use crate::cli::circuit::{Circuit, columns, heading, not_fed, print};
use crate::job::corner::{self, LAMP};
use crate::job::cornered::{Cornered, Glow, Lamp, Plug, cornered};
use crate::search::said::percent;
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
    /// Print the whole answer as JSON (`loomwalk/isolation`)
    #[arg(long)]
    json: bool,
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
    let never = never_live(file, harness);
    let begun = corner::begin(harness, &fitted.map, &BTreeSet::new(), &state, &never);
    let mut isolation = begun.map_err(|error| circuit.wrong(&error))?;
    // What stays unplugged comes first: only then does what was gone say how little is left.
    let still = args.still.iter().map(|name| (name, false));
    for (name, gone) in still.chain(args.gone.iter().map(|name| (name, true))) {
        let what = named(harness, name).map_err(|error| circuit.wrong(&error))?;
        isolation.tell(&what, gone).map_err(|error| circuit.wrong(&error))?;
    }
    let lamp = LimitingLamp { watts: args.lamp.unwrap_or(LAMP.watts), ..LAMP };
    let found = cornered(harness, &fitted.map, &state, &isolation, &never, lamp);
    let found = found.map_err(|error| circuit.wrong(&error))?;
    if args.json {
        return serde_json::to_string_pretty(&found).map(|text| text + "\n").map_err(|error| error.to_string());
    }
    let mut text = heading(file, &state);
    text.push_str(&not_fed(file, &state));
    text.push_str(&unplug(&fitted.map, &found));
    if !found.never_live.is_empty() {
        text.push_str(&format!("\nNot proposed: {WHY}\n"));
    }
    text.push_str(&left(&found));
    text.push_str(&in_place_of_the_fuse(&found.lamp));
    Ok(text)
}

/// What to unplug next, and the next best few.
fn unplug(map: &ZoneMap, found: &Cornered) -> String {
    let Some(next) = &found.next else {
        return "\nNothing that can be unplugged tells any more: look at what is left.\n".to_owned();
    };
    let zone = |plug: &Plug| plug.zone.as_ref().and_then(|zone| map.zone(zone)).map(|zone| zone.label.clone());
    let place = zone(next).map(|zone| format!(" ({zone})")).unwrap_or_default();
    let Plug { id, label, minutes, gone, .. } = next;
    let mut text = format!(
        "\nUnplug next: {label}{place}. It takes {} min, and the short is gone then with a chance of {}.\n\
         If it is gone, plug it in again and add --gone {id}. If it is still there, leave it unplugged and add --still {id}.\n",
        whole(*minutes),
        percent(*gone),
    );
    if next.battery_off {
        text.push_str(&format!("{BATTERY_OFF}\n"));
    }
    if found.others.is_empty() {
        return text;
    }
    let others = || found.others.iter().take(NEXT_BEST);
    let mut lines = vec![["next best", "where", "id", "min", "gone"].map(str::to_owned)];
    lines.extend(others().map(|plug| {
        let zone = zone(plug).unwrap_or_default();
        let mark = if plug.battery_off { " *" } else { "" };
        [format!("{}{mark}", plug.label), zone, plug.id.clone(), whole(plug.minutes), percent(plug.gone)]
    }));
    text.push('\n');
    text.push_str(&columns(&lines));
    if others().any(|plug| plug.battery_off) {
        text.push_str(&format!("* {BATTERY_OFF}\n"));
    }
    text
}

fn left(found: &Cornered) -> String {
    let mut lines = vec![["chance".to_owned(), "where the short can still be".to_owned()]];
    lines.extend(found.left.iter().map(|left| [percent(left.chance), left.label.clone()]));
    format!("\n{}", columns(&lines))
}

fn in_place_of_the_fuse(lamp: &Lamp) -> String {
    let tells = if lamp.tells {
        "so the lamp tells whether it is there"
    } else {
        "so this lamp does not tell for sure whether it is there: one of more watts may"
    };
    format!(
        "\nA lamp of {} W, {} V in place of the fuse: {} with the short, {} without it; {tells}.\n",
        lamp.watts,
        lamp.volts,
        glow(lamp.with_short),
        glow(lamp.without_short)
    )
}

fn glow(glow: Glow) -> String {
    let word = |glow| match glow {
        LampGlow::Dark => "dark",
        LampGlow::Dim => "dim",
        LampGlow::Bright => "bright",
    };
    let (least, most) = (word(glow.least), word(glow.most));
    if least == most { least.to_owned() } else { format!("{least} to {most}") }
}

fn whole(minutes: f64) -> String {
    format!("{minutes:.0}")
}
