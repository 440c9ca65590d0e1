//! Does any log bring down what reads it, or depend on the order in which it came?
#![no_main]

loomwalk_fuzz::json_target!(loomwalk_fuzz::reads::log::read, ["bundle"]);
