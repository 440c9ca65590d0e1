//! Do the chances that it tells come true, and does its order find the place sooner than others? On invented jobs with a
//! fault that is known, on the small van. `cargo bench --bench simulation` does the same at length on the practice van.

use crate::simulated::{Dice, WAYS, Way, World, simulate};
use crate::small_van::{FUSE, harness, small};
use loomwalk::circuit::fuse::TouchModel;
use loomwalk::search::electrics::Electrics;
use loomwalk::search::prior::prior;
use loomwalk::search::suspects::Suspects;

fn world() -> World {
    let (search, harness) = (small(), harness());
    let prior = prior(search.points(), &harness, &Suspects::default());
    World::new(search, &harness, prior, Electrics::new(&harness, &FUSE, TouchModel::stated()))
}

/// Wide margins: 3,000 jobs leave a tenth with a hundred chances told some 5 points of luck.
#[test]
fn the_chances_told_come_true() {
    let world = world();
    let outcome = simulate(&world, &world.prior, 3000, &mut Dice(1));
    let mut held = 0;
    for (times, told, came_true) in outcome.reliability().filter(|(times, ..)| *times >= 300) {
        let luck = 4.0 * (told * (1.0 - told) / times as f64).sqrt();
        assert!((told - came_true).abs() < luck.max(0.01), "told {told:.3}, true {came_true:.3}, {times} times");
        held += 1;
    }
    assert!(held >= 4, "too few tenths were told often enough to say anything: {held}");
    assert!(outcome.calibration_error() < 0.02, "{}", outcome.calibration_error());
}

#[test]
fn by_the_plan_it_is_found_sooner_than_by_any_other_way() {
    let world = world();
    let outcome = simulate(&world, &world.prior, 2000, &mut Dice(2));
    // The same jobs for all, so that luck is the same for all. On a vehicle this small, going to the likeliest place is
    // nearly as good; along the list it is not.
    for (way, minutes) in WAYS.into_iter().zip(outcome.minutes).skip(1) {
        let most = if matches!(way, Way::List | Way::Random) { 0.9 } else { 1.0 };
        assert!(outcome.minutes[0] < most * minutes, "{way:?}: {minutes:.1} against {:.1}", outcome.minutes[0]);
    }
}

#[test]
fn even_where_the_assumptions_are_off_by_four_it_is_no_worse_than_the_list() {
    let world = world();
    let mut dice = Dice(3);
    for factor in [2.0, 4.0] {
        let truth = world.misjudged(factor, &mut dice);
        let outcome = simulate(&world, &truth, 1500, &mut dice);
        let list = WAYS.iter().position(|way| *way == Way::List).unwrap();
        assert!(outcome.minutes[0] < outcome.minutes[list], "×{factor}: {:?}", outcome.minutes);
    }
}
