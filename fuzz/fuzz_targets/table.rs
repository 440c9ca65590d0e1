//! Does any CSV file lose a cell, or make a load that a circuit cannot have?
#![no_main]

loomwalk_fuzz::target!(loomwalk_fuzz::reads::table::read);
