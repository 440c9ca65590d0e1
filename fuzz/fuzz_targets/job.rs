//! Does any log bring down the job that it makes: its plan, and the pages that leave the house?
#![no_main]

loomwalk_fuzz::json_target!(loomwalk_fuzz::reads::job::read, ["bundle"]);
