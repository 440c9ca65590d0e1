//! Does any zone map that the check lets through bring down a search in it?

use loomwalk::circuit::expand::expand;
use loomwalk::search::plan::{Search, Walk};
use loomwalk::vehicle::body::FittedMap;
use loomwalk::vehicle::check;

use super::{only_numbers, small_van, told};

/// Whether it was read.
pub fn read(bytes: &[u8]) -> bool {
    let map = match check::read(bytes) {
        Ok(map) => map,
        Err(error) => {
            told(error);
            return false;
        }
    };
    only_numbers(&map);
    assert_eq!(check::problems(&map), Vec::new());
    let mirrored = map.mirrored();
    assert_eq!(check::problems(&mirrored), Vec::new(), "mirrored");
    let van = small_van();
    let fitted = FittedMap { map, notes: Vec::new() };
    let harness = expand(&van, &fitted);
    let plan = Search::of_circuit(&van, &harness, &fitted.map).plan(&[], &Walk::default());
    only_numbers(&plan);
    let all = plan.points.iter().map(|point| point.probability).sum::<f64>() + plan.not_listed;
    assert!((all - 1.0).abs() < 1e-9, "the chances sum to {all}");
    true
}
