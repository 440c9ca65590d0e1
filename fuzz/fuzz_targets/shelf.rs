//! Does any shelf bring down what merges it, looks into it, or takes from it?
#![no_main]

loomwalk_fuzz::json_target!(loomwalk_fuzz::reads::shelf::read, ["shelf"]);
