//! Is the set for so many minutes really the best? Against every set of small forests, and against the whole plan cut short.
use loomwalk::search::order::{Forest, StepIx};
use proptest::prelude::*;

/// Tenths of a minute, chance, and the step that must come before.
type Steps = Vec<(u32, f64, Option<usize>)>;

fn forest(steps: &Steps) -> Forest {
    let mut forest = Forest::default();
    let mut added: Vec<StepIx> = Vec::new();
    for (tenths, chance, after) in steps {
        added.push(forest.add(f64::from(*tenths) / 10.0, *chance, after.map(|before| added[before])));
    }
    forest
}

fn tenths(steps: &Steps, chosen: &[usize]) -> u32 {
    chosen.iter().map(|place| steps[*place].0).sum()
}

fn earned(steps: &Steps, chosen: &[usize]) -> f64 {
    chosen.iter().map(|place| steps[*place].1).sum()
}

fn with_what_opens_it(steps: &Steps, chosen: &[usize]) -> bool {
    chosen.iter().all(|place| steps[*place].2.is_none_or(|before| chosen.contains(&before)))
}

/// The most that any allowed set earns, by going through all of them.
fn most(steps: &Steps, limit: u32) -> f64 {
    let sets = (0..1_usize << steps.len()).map(|set| (0..steps.len()).filter(|place| set >> place & 1 == 1).collect());
    sets.filter(|chosen: &Vec<usize>| tenths(steps, chosen) <= limit && with_what_opens_it(steps, chosen))
        .map(|chosen| earned(steps, &chosen))
        .fold(0.0, f64::max)
}

fn forests(most: usize) -> impl Strategy<Value = Steps> {
    let step = (0..40_u32, prop_oneof![Just(0_u8), 0..12_u8], any::<proptest::sample::Index>(), 0..3_u8);
    prop::collection::vec(step, 1..=most).prop_map(|steps| {
        let steps = steps.into_iter().enumerate();
        steps
            .map(|(place, (tenths, chance, before, root))| {
                (tenths, f64::from(chance), (place > 0 && root > 0).then(|| before.index(place)))
            })
            .collect()
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 2000, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn no_set_of_up_to_ten_steps_earns_more_in_the_time(steps in forests(10), limit in 0..250_u32) {
        let forest = forest(&steps);
        let chosen = forest.within(f64::from(limit) / 10.0);
        prop_assert!(chosen.is_sorted());
        prop_assert!(with_what_opens_it(&steps, &chosen), "{chosen:?}");
        prop_assert!(tenths(&steps, &chosen) <= limit, "{} in {limit}", tenths(&steps, &chosen));
        prop_assert!((earned(&steps, &chosen) - most(&steps, limit)).abs() < 1e-9);
    }

    #[test]
    fn it_earns_no_less_than_the_whole_order_cut_short_whatever_the_minutes(
        steps in prop::collection::vec((0.0..30.0_f64, 0.0..1.0_f64, any::<proptest::sample::Index>(), any::<bool>()), 1..60),
        minutes in 0.0..400.0_f64,
    ) {
        let mut forest = Forest::default();
        let mut added: Vec<StepIx> = Vec::new();
        for (minutes, chance, before, root) in &steps {
            let after = (!root && !added.is_empty()).then(|| added[before.index(added.len())]);
            added.push(forest.add(*minutes, *chance, after));
        }
        let chosen = forest.within(minutes);
        let (mut left, mut cut_short) = (minutes, 0.0);
        for place in forest.order() {
            left -= steps[place].0;
            if left < 0.0 {
                break;
            }
            cut_short += steps[place].1;
        }
        prop_assert!(chosen.iter().map(|place| steps[*place].0).sum::<f64>() <= minutes + 1e-5);
        prop_assert!(chosen.iter().map(|place| steps[*place].1).sum::<f64>() >= cut_short - 1e-9);
    }

    #[test]
    fn the_order_inside_the_set_is_the_one_of_those_steps_alone(steps in forests(12), limit in 0..300_u32) {
        let whole = forest(&steps);
        let chosen = whole.within(f64::from(limit) / 10.0);
        let renamed = |before: usize| chosen.iter().position(|place| *place == before).unwrap();
        let alone: Steps = chosen.iter().map(|place| (steps[*place].0, steps[*place].1, steps[*place].2.map(renamed))).collect();
        let expected: Vec<usize> = forest(&alone).order().into_iter().map(|place| chosen[place]).collect();
        prop_assert_eq!(whole.order_of(&chosen), expected);
    }
}

/// Profits and weights of the 0/1 knapsack p01 with its known optimum 309 (J. Burkardt, "Data for the 01 Knapsack
/// Problem", Florida State University; from memory, and the optimum again by the sets above): no precedence at all.
#[test]
fn a_published_knapsack_is_solved() {
    let weights = [23, 31, 29, 44, 53, 38, 63, 85, 89, 82];
    let profits = [92.0, 57.0, 49.0, 68.0, 60.0, 43.0, 67.0, 84.0, 87.0, 72.0];
    let steps: Steps = weights.into_iter().zip(profits).map(|(weight, profit)| (weight, profit, None)).collect();
    assert_eq!(forest(&steps).within(16.5), [0, 1, 2, 3, 5]);
    assert_eq!(earned(&steps, &[0, 1, 2, 3, 5]), 309.0);
    assert_eq!(most(&steps, 165), 309.0);
}

#[test]
fn a_cover_is_opened_only_for_what_is_then_looked_at() {
    let steps: Steps = vec![(50, 0.0, None), (10, 0.9, Some(0)), (20, 0.1, None), (30, 0.0, None)];
    assert_eq!(forest(&steps).within(5.5), [2], "the cover alone would fit, what is under it not");
    assert_eq!(forest(&steps).within(6.0), [0, 1]);
    assert_eq!(forest(&steps).within(8.0), [0, 1, 2]);
}

#[test]
fn odd_times_do_no_harm() {
    let steps: Steps = vec![(0, 0.2, None), (10, 0.3, Some(0)), (u32::MAX, 0.5, None)];
    let forest = forest(&steps);
    for (minutes, chosen) in [
        (f64::NAN, vec![0]),
        (-3.0, vec![0]),
        (0.0, vec![0]),
        (1.0, vec![0, 1]),
        (f64::INFINITY, vec![0, 1, 2]),
        (1e8, vec![0, 1]),
    ] {
        assert_eq!(forest.within(minutes), chosen, "{minutes}");
    }
    assert_eq!(Forest::default().within(15.0), Vec::<usize>::new());
}
