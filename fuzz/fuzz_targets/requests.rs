//! Does any request bring down the desk, or get an answer that it should not?
#![no_main]

loomwalk_fuzz::target!(loomwalk_fuzz::reads::requests::read);
