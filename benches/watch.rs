//! How often is the watch right? A confusion table over made-up series; tests/watch.rs holds it to its limits.
#![allow(missing_docs)]

#[path = "../tests/dice/mod.rs"]
mod dice;
#[path = "../tests/watched/mod.rs"]
mod watched;

use watched::tally::{Tally, hours_lit, openings};

fn main() {
    Tally::print(&openings(200), &hours_lit(20));
}
