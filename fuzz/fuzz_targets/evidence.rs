//! Does any evidence file bring down what reads it, or the plan that follows from it?
#![no_main]

loomwalk_fuzz::json_target!(loomwalk_fuzz::reads::evidence::read, ["evidence"]);
