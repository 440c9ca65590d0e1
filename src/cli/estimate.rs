//! `loomwalk estimate`: what the repairs of a bundle cost, by a file of prices.

use std::path::{Path, PathBuf};
use std::process::ExitCode;

use crate::bundle::file::HAND_OVER_LIMIT;
use crate::bundle::read::open;
use crate::cli::circuit::{columns, print};
use crate::cli::input::{self, InputError};
use crate::report::estimate::{Estimate, Line, LineKind, Sum};
use crate::report::prices::{self, Prices};
use crate::report::{estimate_of, table};

/// Arguments of `loomwalk estimate`.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The hand-over file, `….loomwalk.json`
    #[arg(value_name = "BUNDLE")]
    bundle: PathBuf,
    /// What the shop charges (`loomwalk/prices`)
    #[arg(long, value_name = "FILE")]
    prices: PathBuf,
    /// Write it as CSV for a spreadsheet; an existing file is replaced, `-` prints it
    #[arg(long, value_name = "FILE", conflicts_with = "json")]
    csv: Option<PathBuf>,
    /// Print the whole answer as JSON (`loomwalk/estimate`)
    #[arg(long)]
    json: bool,
}

/// Why there are no prices.
#[derive(Debug, thiserror::Error)]
pub enum PricesInputError {
    /// The file cannot be read.
    #[error(transparent)]
    Input(#[from] InputError),
    /// It is unsound: a line for each problem, with the file's name.
    #[error("{0}")]
    Unsound(String),
}

/// Reads a file of prices.
///
/// # Errors
/// If it cannot be read or is unsound.
pub fn read_prices(file: &Path) -> Result<Prices, PricesInputError> {
    let bytes = input::read(file, prices::LIMIT)?;
    prices::read(&bytes).map_err(|error| PricesInputError::Unsound(named(file, &error)))
}

/// Runs it.
pub fn run(args: &Args) -> ExitCode {
    print(answer(args))
}

/// The text to print, or what is wrong, each line with the file's name.
fn answer(args: &Args) -> Result<String, String> {
    let prices = read_prices(&args.prices).map_err(|error| error.to_string())?;
    let bytes = input::read(&args.bundle, HAND_OVER_LIMIT).map_err(|error| error.to_string())?;
    let opened = open(&bytes, HAND_OVER_LIMIT).map_err(|error| named(&args.bundle, &error))?;
    let estimate = estimate_of(&opened.bundle, &prices);
    match &args.csv {
        _ if args.json => {
            serde_json::to_string_pretty(&estimate).map(|text| text + "\n").map_err(|error| error.to_string())
        }
        Some(out) if out == Path::new("-") => Ok(table::csv(&estimate)),
        Some(out) => match std::fs::write(out, table::csv(&estimate)) {
            Ok(()) => Ok(format!("{}: written\n", out.display())),
            Err(error) => Err(format!(
                "{}: the table cannot be written here: {error}; choose another place with --csv",
                out.display()
            )),
        },
        None => Ok(text(&estimate)),
    }
}

fn named(file: &Path, error: &dyn std::fmt::Display) -> String {
    error.to_string().lines().map(|line| format!("{}: {line}", file.display())).collect::<Vec<_>>().join("\n")
}

fn text(estimate: &Estimate) -> String {
    let mut text = String::new();
    if estimate.lines.is_empty() {
        text.push_str("No repair is written down: there is nothing to price.\n");
    }
    let parts = [("Done", true, &estimate.done), ("Recommended and not done", false, &estimate.recommended)];
    for (title, done, sum) in parts {
        let lines: Vec<&Line> = estimate.lines.iter().filter(|line| line.done == done).collect();
        if lines.is_empty() {
            continue;
        }
        let mut rows = vec![["item", "quantity", "price", "amount", ""].map(str::to_owned)];
        rows.extend(lines.into_iter().map(row));
        let Sum { net, tax: of_tax, total, .. } = sum;
        let currency = &estimate.currency;
        text += &format!("{title}\n\n{}\n", columns(&rows));
        if let Some(tax) = &estimate.tax {
            let tax = one_line(&tax.name);
            text += &format!("without {tax} {net} {currency}, {tax} {of_tax} {currency}, ");
        }
        text += &format!("total {total} {currency}\n\n");
    }
    if estimate.to_be_priced > 0 {
        text += &format!("To be priced, and in no sum: {}.\n", estimate.to_be_priced);
    }
    text + &estimate.rules.join("\n") + "\n"
}

fn row(line: &Line) -> [String; 5] {
    let per = if line.kind == LineKind::Labour { "h" } else { line.unit.as_str() };
    let item = match line.kind {
        LineKind::Labour => format!("Labour: {}", one_line(&line.repair)),
        LineKind::Material => one_line(&line.item),
    };
    [
        item,
        line.quantity.map(|quantity| format!("{quantity} {}", one_line(&line.unit))).unwrap_or_default(),
        line.price.map(|price| format!("{price} / {}", one_line(per))).unwrap_or_default(),
        line.amount.map_or_else(|| "to be priced".to_owned(), |amount| amount.to_string()),
        one_line(&line.note),
    ]
}

/// What people wrote, as it fits into a column: no line breaks or other control characters, and not all of a long text.
fn one_line(text: &str) -> String {
    const MOST: usize = 60;
    let plain: String = text.chars().map(|letter| if letter.is_control() { ' ' } else { letter }).collect();
    match plain.char_indices().nth(MOST) {
        Some((end, _)) => format!("{} …", &plain[..end]),
        None => plain,
    }
}
