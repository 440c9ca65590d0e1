//! Do any lessons bring down what is counted of them?
#![no_main]

loomwalk_fuzz::json_target!(loomwalk_fuzz::reads::lessons::read, ["learned"]);
