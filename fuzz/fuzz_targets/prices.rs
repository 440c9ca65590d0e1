//! Do any prices bring down an estimate?
#![no_main]

loomwalk_fuzz::json_target!(loomwalk_fuzz::reads::prices::read, ["prices"]);
