//! Does any photograph keep its place, or lose anything else?
#![no_main]

loomwalk_fuzz::target!(loomwalk_fuzz::reads::photo::read);
