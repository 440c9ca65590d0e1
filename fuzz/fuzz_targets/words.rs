//! Does anything that is typed into a field bring down what makes sense of it?
#![no_main]

loomwalk_fuzz::target!(loomwalk_fuzz::reads::words::read);
