//! `cargo xtask bench`: how fast is it, how large is the download, and does it keep within benches/budget.toml?

use std::fs;

use anyhow::{Context, Result};
use serde::Deserialize;

use crate::shell::{cargo, root, run, say};
use crate::tools;
use crate::web::{self, Built};

/// The limits, as benches/budget.toml gives them. Other tables there belong to the measures in the browser.
#[derive(Deserialize)]
struct Budget {
    download: Download,
}

#[derive(Deserialize)]
struct Download {
    /// Units of 1000 bytes, compressed.
    app_kb: u64,
}

/// Measures all; false if a limit is exceeded.
pub fn bench() -> Result<bool> {
    let text = fs::read_to_string(root().join("benches/budget.toml")).context("cannot read benches/budget.toml")?;
    let budget: Budget = toml::from_str(&text).context("benches/budget.toml")?;

    let built = web::build()?;
    let within = print_download(&built, &budget.download);
    say("measuring the computation");
    run(cargo().arg("bench"))?;
    if root().join("tests/browser_measures.rs").is_file() {
        say("measuring in the browser");
        let mut measure = cargo();
        measure.args(["test", "--release", "--test", "browser_measures", "--", "--nocapture"]);
        measure.env("LOOMWALK_MEASURE", "1").env("LOOMWALK_WEB", &built.folder).envs(tools::for_tests()?);
        run(&mut measure)?;
    }
    if !within {
        say(format!("the download is over its limit of {} kB", budget.download.app_kb));
    }
    Ok(within)
}

fn print_download(built: &Built, budget: &Download) -> bool {
    println!("{:>12}  compressed by brotli", "bytes");
    for (name, bytes) in &built.start {
        println!("{bytes:>12}  {name}");
    }
    let total: u64 = built.start.iter().map(|(_, bytes)| bytes).sum();
    println!("{total:>12}  of {} allowed for a first start", budget.app_kb * 1000);
    if !built.optimised {
        println!("              (without wasm-opt, which is not to be had here)");
    }
    total <= budget.app_kb * 1000
}
