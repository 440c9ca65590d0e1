//! Does anything that is typed bring down the search for a load?
#![no_main]

loomwalk_fuzz::target!(loomwalk_fuzz::reads::names::read);
