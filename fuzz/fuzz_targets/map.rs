//! Does any zone map bring down a search in it?
#![no_main]

loomwalk_fuzz::json_target!(loomwalk_fuzz::reads::map::read, ["body"]);
