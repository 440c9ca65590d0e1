//! Does any circuit file bring down the check, or is it another once it is written?
#![no_main]

loomwalk_fuzz::json_target!(loomwalk_fuzz::reads::circuit::read, ["circuit"]);
