//! The stories of the command line, and of what it prints.
#![allow(clippy::unwrap_used, clippy::expect_used)]

mod estimate_command;
mod faults_command;
mod held_plan;
mod isolate_command;
mod lessons;
mod meter_command;
mod plan_command;
mod report;
mod shelf;
mod small_van;
mod story_command;
mod vehicle_lists;
mod wrong_maps;
