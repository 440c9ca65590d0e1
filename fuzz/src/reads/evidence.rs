//! Does any evidence file bring down what reads it, or the plan that follows from it?

use std::sync::LazyLock;

use loomwalk::circuit::expand::expand;
use loomwalk::search::evidence::{self, EvidenceError};
use loomwalk::search::plan::{Search, Walk};
use loomwalk::vehicle::body::fit;

use super::{is_pointer, only_numbers, small_van, told};

/// The search of the small van. Its points are those of the kept files.
static SEARCH: LazyLock<Search> = LazyLock::new(|| {
    let van = small_van();
    let map = fit(&van.vehicle);
    Search::of_circuit(&van, &expand(&van, &map), &map.map)
});

/// Whether it was read.
pub fn read(bytes: &[u8]) -> bool {
    let file = match evidence::read(bytes) {
        Ok(file) => file,
        Err(error) => {
            if let EvidenceError::Value { pointer, .. } = &error {
                assert!(is_pointer(pointer), "{pointer}");
            }
            told(error);
            return false;
        }
    };
    let written = serde_json::to_vec(&file).expect("it can be written");
    assert_eq!(evidence::read(&written).as_ref(), Ok(&file));
    // The app keeps what names nothing of the circuit; the command line refuses it. Both plan.
    let plan = SEARCH.plan(&file.items, &Walk::default());
    only_numbers(&plan);
    let all = plan.points.iter().map(|point| point.probability).sum::<f64>() + plan.not_listed;
    assert!((all - 1.0).abs() < 1e-9, "the chances sum to {all}");
    if let Err(error) = SEARCH.check(&file.items) {
        told(error);
    }
    true
}
