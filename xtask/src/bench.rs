//! `cargo xtask bench`: how fast is it, how large is the download, and does it keep within benches/budget.toml?

use std::collections::BTreeMap;
use std::fs;
use std::io::{BufRead, BufReader};
use std::path::Path;
use std::process::{Command, Stdio};

use anyhow::{Context, Result};
use serde::Deserialize;

use crate::shell::{cargo, root, say, shown};
use crate::tools;
use crate::web::{self, Built, total_kb};

const LIGHTHOUSE: &str = "12.8.2";

/// Under what name tests/browser_measures.rs prints how much slower this machine is than the one for which the limits in
/// milliseconds were set. What is measured behind it is judged as it would have been there.
const SLOWNESS: &str = "slowness_of_this_machine";

/// What `cargo xtask bench` is told.
#[derive(clap::Args)]
pub struct Args {
    /// Fail where a limit is exceeded, or what it limits was not measured
    #[arg(long)]
    check: bool,
}

/// The limits, as benches/budget.toml gives them.
#[derive(Deserialize)]
struct Budget {
    download: Download,
    /// What benches/network.rs measures, by name.
    computation: BTreeMap<String, f64>,
    /// What tests/browser_measures.rs measures, by name, in the unit that it prints.
    browser: BTreeMap<String, f64>,
}

#[derive(Deserialize)]
struct Download {
    /// Units of 1000 bytes, compressed.
    app_kb: u64,
    /// Likewise, with what is fetched behind the first start.
    offline_kb: u64,
    /// The page's program over the one of examples/empty_page.rs, made in the same way.
    over_empty_page: f64,
}

/// Measures all; false if a limit is exceeded, and that is to be an error.
pub fn bench(args: &Args) -> Result<bool> {
    let text = fs::read_to_string(root().join("benches/budget.toml")).context("cannot read benches/budget.toml")?;
    let budget: Budget = toml::from_str(&text).context("benches/budget.toml")?;

    let built = web::build()?;
    let within = print_download(&built, &budget.download);
    say("measuring the computation");
    let mut over = measure(cargo().arg("bench"), &budget.computation)?;
    let empty = web::build_example("empty_page", &["page"])?;
    over.extend(beside_empty_page(&built, &empty, budget.download.over_empty_page)?);
    say("measuring in the browser");
    over.extend(measure_in_browser(&built, &empty, &budget.browser)?);
    for line in &over {
        say(line);
    }
    if !within {
        say("the download is over its limit");
    }
    Ok(!args.check || (within && over.is_empty()))
}

/// How much more the page's program is than one that shows a heading.
fn beside_empty_page(built: &Built, empty: &Path, limit: f64) -> Result<Option<String>> {
    let program = |(name, _): &&(String, u64)| name.ends_with(".wasm");
    let own = built.start.iter().find(program).context("a first start fetches no program")?.1;
    let empty = web::compressed_size(&empty.join("empty_page_bg.wasm"))?;
    let times = own as f64 / empty as f64;
    println!("{times:>12.1}  times an empty page of the same library ({empty} bytes), of {limit} allowed");
    Ok((times > limit).then(|| format!("the program is {times:.1} times an empty page, over its limit of {limit}")))
}

/// Measures in the browser, and says what is over its limit or missing.
fn measure_in_browser(built: &Built, empty: &Path, limits: &BTreeMap<String, f64>) -> Result<Vec<String>> {
    let lighthouse = tools::npm_package("lighthouse", LIGHTHOUSE, "judging the first load as a slow phone has it")?;
    let mut tests = cargo();
    // The browser and the released app are measured: how the test itself is compiled does not matter.
    tests.args(["test", "--test", "browser", "--", "browser_measures::", "--nocapture"]);
    tests
        .env("LOOMWALK_MEASURE", "1")
        .env("LOOMWALK_WEB", &built.folder)
        .env("LOOMWALK_EMPTY_PAGE", empty)
        .env("LOOMWALK_LIGHTHOUSE", lighthouse.join("cli/index.js"))
        .envs(tools::for_tests()?);
    measure(&mut tests, limits)
}

/// Runs what prints measures and says which are over their limit, or missing.
fn measure(command: &mut Command, limits: &BTreeMap<String, f64>) -> Result<Vec<String>> {
    let mut running = command.stdout(Stdio::piped()).spawn().context("cannot start cargo")?;
    let mut measured = BTreeMap::new();
    // Of milliseconds a slow machine has more; a ratio is the same everywhere.
    let mut slowness = 1.0_f64;
    for line in BufReader::new(running.stdout.take().context("no output")?).lines() {
        let line = line?;
        println!("{line}");
        if let ["measured", name, value, unit] = line.split_whitespace().collect::<Vec<_>>()[..] {
            let value = value.parse::<f64>().context("a measure is a number")?;
            if name == SLOWNESS {
                slowness = value.max(1.0);
            }
            measured.insert(name.to_owned(), if unit == "ms" { value / slowness } else { value });
        }
    }
    if slowness > 1.0 {
        say(format!(
            "this machine is {slowness:.1} times as slow as that of the limits: its milliseconds are divided by that"
        ));
    }
    if !running.wait()?.success() {
        return Ok(vec![format!("{} failed", shown(command))]);
    }
    let judged = limits.iter().filter_map(|(name, limit)| match measured.get(name) {
        Some(value) if value <= limit => None,
        Some(value) => Some(format!("{name} is {value:.1}, over its limit of {limit}")),
        None => Some(format!("{name} was not measured")),
    });
    Ok(judged.collect())
}

fn print_download(built: &Built, budget: &Download) -> bool {
    println!("{:>12}  compressed by brotli", "bytes");
    let list = |files: &[(String, u64)]| files.iter().for_each(|(name, bytes)| println!("{bytes:>12}  {name}"));
    list(&built.start);
    let start = total_kb(&built.start);
    println!("{:>12}  of {} kB allowed for a first start", format!("{start} kB"), budget.app_kb);
    list(&built.behind);
    let all = start + total_kb(&built.behind);
    println!(
        "{:>12}  of {} kB allowed for all that is kept for work without a network",
        format!("{all} kB"),
        budget.offline_kb
    );
    if !built.optimised {
        println!("              (without wasm-opt, which is not to be had here)");
    }
    start <= budget.app_kb && all <= budget.offline_kb
}
