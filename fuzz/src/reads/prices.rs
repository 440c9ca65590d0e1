//! Do any prices bring down an estimate?

use std::sync::LazyLock;

use loomwalk::bundle::file::Bundle;
use loomwalk::report::{estimate_of, prices};

use super::{only_numbers, told};

/// The practice job, which has repairs.
static PRACTICE: LazyLock<Bundle> = LazyLock::new(|| {
    serde_json::from_str(include_str!("../../../assets/demo/van.loomwalk.json")).expect("the practice job is a bundle")
});

/// Whether they were read.
pub fn read(bytes: &[u8]) -> bool {
    let prices = match prices::read(bytes) {
        Ok(prices) => prices,
        Err(error) => {
            assert!(!error.0.is_empty());
            told(error);
            return false;
        }
    };
    let written = serde_json::to_vec(&prices).expect("they can be written");
    assert_eq!(prices::read(&written).as_ref(), Ok(&prices));
    let estimate = estimate_of(&PRACTICE, &prices);
    only_numbers(&estimate);
    assert!(estimate.done.total <= estimate.both.total, "what is done is a part of all");
    true
}
