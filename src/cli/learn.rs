//! `loomwalk learn`: what closed jobs teach about where wires rub.

use std::path::{Path, PathBuf};
use std::process::ExitCode;

use crate::bundle::file::HAND_OVER_LIMIT;
use crate::cli::circuit::print;
use crate::cli::plan::job_of;
use crate::cli::{check as sound, input};
use crate::job::lesson::lesson;
use crate::search::lessons::{Count, LearnedFile, Shop};

/// Arguments of `loomwalk learn`.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// Hand-over files of closed jobs
    #[arg(value_name = "BUNDLE", required = true)]
    bundles: Vec<PathBuf>,
    /// What is known so far (`loomwalk/learned`)
    #[arg(long, value_name = "FILE")]
    table: Option<PathBuf>,
    /// Where to write what is known then; an existing file is replaced
    #[arg(short, long, value_name = "FILE.json")]
    out: Option<PathBuf>,
}

/// Runs it.
pub fn run(args: &Args) -> ExitCode {
    print(answer(args))
}

fn answer(args: &Args) -> Result<String, String> {
    let mut learned = args.table.as_deref().map(read).transpose()?.unwrap_or_default();
    let mut text = String::new();
    for path in &args.bundles {
        let bytes = input::read(path, HAND_OVER_LIMIT).map_err(|error| error.to_string())?;
        let job = job_of(&bytes).map_err(|error| format!("{}: {error}", path.display()))?;
        match lesson(&job) {
            Ok(lesson) => learned.put(lesson),
            Err(why) => text += &format!("{}: teaches nothing: {why}\n", path.display()),
        }
    }
    text += &table(&learned.shop());
    if let Some(out) = &args.out {
        let json = serde_json::to_string_pretty(&learned).map_err(|error| error.to_string())? + "\n";
        write_whole(out, &json).map_err(|error| {
            format!("{}: cannot be written here: {error}; choose another place with -o", out.display())
        })?;
    }
    Ok(text)
}

/// Writes all of a file, or leaves what was there: it may be the only table that a shop has. What is no file, as a pipe or a
/// terminal, is written to as it is.
fn write_whole(path: &Path, text: &str) -> std::io::Result<()> {
    if std::fs::metadata(path).is_ok_and(|there| !there.is_file()) {
        return std::fs::write(path, text);
    }
    // Where a link leads, and beside it under a name of our own: nothing else is written over.
    let path = std::fs::canonicalize(path).unwrap_or_else(|_| path.to_owned());
    let mut name = path.file_name().unwrap_or_default().to_owned();
    name.push(format!(".{}.part", std::process::id()));
    let beside = path.with_file_name(name);
    let written = std::fs::write(&beside, text).and_then(|()| std::fs::rename(&beside, &path));
    if written.is_err() {
        // It may not be there at all.
        drop(std::fs::remove_file(&beside));
    }
    written
}

/// Reads a file of lessons.
pub(super) fn read(path: &Path) -> Result<LearnedFile, String> {
    /// A hundred thousand jobs take some 100 MB.
    const MOST_BYTES: u64 = 128 << 20;
    let bytes = input::read(path, MOST_BYTES).map_err(|error| error.to_string())?;
    let told = |problems: Vec<String>| {
        problems.iter().map(|problem| format!("{}: {problem}", path.display())).collect::<Vec<_>>().join("\n")
    };
    sound::learned(&bytes).map_err(told)
}

fn table(shop: &Shop) -> String {
    if shop.jobs == 0 {
        return "No closed job has taught anything yet.\n".to_owned();
    }
    let mut counts: Vec<_> = shop.counts.iter().collect();
    counts.sort_by(|one, other| other.factor().total_cmp(&one.factor()));
    let line = |count: &&Count| format!("×{:.2}  {}\n", count.factor(), count.in_words(shop.jobs));
    counts.iter().map(line).collect()
}
