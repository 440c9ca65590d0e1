//! Does any circuit file that the check lets through bring down what comes after it?
#![no_main]

loomwalk_fuzz::json_target!(loomwalk_fuzz::reads::plan::read, ["circuit"]);
