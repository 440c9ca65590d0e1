//! Does any pasted list lose a word, or make a load that a circuit cannot have?
#![no_main]

loomwalk_fuzz::target!(loomwalk_fuzz::reads::paste::read);
