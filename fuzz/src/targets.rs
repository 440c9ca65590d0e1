//! Which targets are there, and with what does each begin?

/// Has a folder for each target: small inputs to begin with, and every one that ever failed.
pub const FOLDER: &str = "tests/cases/fuzz";

/// A target.
pub struct Target {
    /// As the program, the module of `reads` and the folder in [`FOLDER`] are called.
    pub name: &'static str,
    /// What else there is to begin with: folders, or files.
    pub kept: &'static [&'static str],
    /// How many inputs `cargo xtask test` tries, the kept ones among them.
    pub inputs: u32,
    /// The longest input, bytes.
    pub longest: usize,
}

/// All but `requests`, which needs the whole desk; what takes long comes first, and gets fewer inputs: about a minute on two
/// cores.
pub const TARGETS: [Target; 15] = [
    target("plan", &["tests/cases/circuits/small_van.json"], 3_000, 8_192),
    target("paste", &["tests/cases/pasted/messy.txt", "tests/cases/entry"], 800, 1_400),
    target("table", &["tests/cases/tables"], 1_000, 1_024),
    target("job", &["tests/cases/fuzz/log"], 1_000, 16_384),
    target("log", &["tests/cases/bundles/log.json"], 3_000, 16_384),
    target("bundle", &["tests/cases/bundles/outside.loomwalk.json"], 3_000, 16_384),
    target("shelf", &["tests/cases/shelves"], 6_000, 8_192),
    target("circuit", &["tests/cases/circuits/small_van.json", "tests/cases/wrong_circuits"], 8_000, 8_192),
    target("photo", &["tests/cases/photos"], 8_000, 4_096),
    target("names", &["tests/cases/fuzz/words"], 1_000, 64),
    target("map", &["tests/cases/plans/small.body.json"], 4_000, 8_192),
    target("evidence", &["assets/demo/van.evidence.json", "tests/cases/vehicles"], 10_000, 2_048),
    target("prices", &["assets/demo/prices.json"], 10_000, 2_048),
    target("lessons", &[], 20_000, 2_048),
    target("words", &[], 20_000, 128),
];

const fn target(name: &'static str, kept: &'static [&'static str], inputs: u32, longest: usize) -> Target {
    Target { name, kept, inputs, longest }
}
