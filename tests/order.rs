//! Is the order really the one that finds the place soonest? Against every other order, and published cases.
use loomwalk::search::order::{Forest, StepIx};
use proptest::prelude::*;

/// Minutes, chance, and the step that must come before.
type Steps = Vec<(f64, f64, Option<usize>)>;

fn forest(steps: &Steps) -> Forest {
    let mut forest = Forest::default();
    let mut added: Vec<StepIx> = Vec::new();
    for (minutes, chance, after) in steps {
        added.push(forest.add(*minutes, *chance, after.map(|before| added[before])));
    }
    forest
}

/// Σ chance × completion time.
fn cost(steps: &Steps, order: &[usize]) -> f64 {
    let mut elapsed = 0.0;
    order.iter().fold(0.0, |sum, place| {
        elapsed += steps[*place].0;
        sum + steps[*place].1 * elapsed
    })
}

fn allowed(steps: &Steps, order: &[usize]) -> bool {
    let mut seen = vec![false; steps.len()];
    order.iter().all(|place| {
        let ready = steps[*place].2.is_none_or(|before| seen[before]) && !seen[*place];
        seen[*place] = true;
        ready
    }) && order.len() == steps.len()
}

/// Walks through every allowed order and calls `visit` with each.
fn every_order(steps: &Steps, so_far: &mut Vec<usize>, visit: &mut impl FnMut(&[usize])) {
    if so_far.len() == steps.len() {
        return visit(so_far);
    }
    for place in 0..steps.len() {
        if !so_far.contains(&place) && steps[place].2.is_none_or(|before| so_far.contains(&before)) {
            so_far.push(place);
            every_order(steps, so_far, visit);
            so_far.pop();
        }
    }
}

fn best_cost(steps: &Steps) -> f64 {
    let mut best = f64::INFINITY;
    every_order(steps, &mut Vec::new(), &mut |order| best = best.min(cost(steps, order)));
    best
}

/// The least cost over all allowed orders by stages (Held & Karp 1962): the same minimum, over sets of steps done.
fn best_cost_by_stages(steps: &Steps) -> f64 {
    let all = steps.len();
    let mut best = vec![f64::INFINITY; 1 << all];
    best[0] = 0.0;
    for done in 0..(1_usize << all) {
        let elapsed: f64 = (0..all).filter(|place| done >> place & 1 == 1).map(|place| steps[place].0).sum();
        for (place, (minutes, chance, after)) in steps.iter().enumerate() {
            if done >> place & 1 == 0 && after.is_none_or(|before| done >> before & 1 == 1) {
                let next = done | 1 << place;
                best[next] = best[next].min(best[done] + chance * (elapsed + minutes));
            }
        }
    }
    best[(1 << all) - 1]
}

/// Random forests; small whole numbers on purpose, so that ties and zeros are common.
fn forests(most: usize) -> impl Strategy<Value = Steps> {
    let step = (0..8_u8, prop_oneof![Just(0_u8), 0..12_u8], any::<proptest::sample::Index>(), 0..3_u8);
    prop::collection::vec(step, 1..=most).prop_map(|steps| {
        let steps = steps.into_iter().enumerate();
        steps
            .map(|(place, (minutes, chance, before, root))| {
                let after = (place > 0 && root > 0).then(|| before.index(place));
                (f64::from(minutes) / 2.0, f64::from(chance), after)
            })
            .collect()
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 4000, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn no_allowed_order_of_up_to_seven_steps_is_better(steps in forests(7)) {
        let order = forest(&steps).order();
        prop_assert!(allowed(&steps, &order), "{order:?}");
        let (ours, best) = (cost(&steps, &order), best_cost(&steps));
        prop_assert!((ours - best).abs() < 1e-9, "{ours} against {best}");
        prop_assert!((best_cost_by_stages(&steps) - best).abs() < 1e-9);
    }

    #[test]
    fn no_allowed_order_of_up_to_eleven_steps_is_better(steps in forests(11)) {
        let order = forest(&steps).order();
        prop_assert!(allowed(&steps, &order), "{order:?}");
        prop_assert!((cost(&steps, &order) - best_cost_by_stages(&steps)).abs() < 1e-9);
    }

    #[test]
    fn steps_that_are_alike_keep_the_order_in_which_they_were_added(count in 1_usize..40, minutes in 0_u8..4) {
        let steps: Steps = (0..count).map(|_| (f64::from(minutes), 1.0, None)).collect();
        prop_assert_eq!(forest(&steps).order(), (0..count).collect::<Vec<_>>());
    }
}

proptest! {
    // A table of 65 536 sets each: fewer cases.
    #![proptest_config(ProptestConfig { cases: 60, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn no_allowed_order_of_up_to_sixteen_steps_is_better(steps in forests(16)) {
        let order = forest(&steps).order();
        prop_assert!(allowed(&steps, &order), "{order:?}");
        prop_assert!((cost(&steps, &order) - best_cost_by_stages(&steps)).abs() < 1e-9);
    }
}

/// Two chains 1→2→3→4 and 5→6→7. Data as in M. Pinedo, *Scheduling*, §3.1 (from memory); the optimum
/// 1,2,5,6,3,7,4 with Σ wC = 1967 by brute force over all orders, unique.
#[test]
fn two_chains_as_published_come_out_as_the_unique_optimum() {
    let steps: Steps = vec![
        (3.0, 6.0, None),
        (6.0, 18.0, Some(0)),
        (6.0, 12.0, Some(1)),
        (5.0, 8.0, Some(2)),
        (4.0, 8.0, None),
        (8.0, 17.0, Some(4)),
        (10.0, 18.0, Some(5)),
    ];
    let order = forest(&steps).order();
    assert_eq!(order, [0, 1, 4, 5, 2, 6, 3]);
    assert_eq!(cost(&steps, &order), 1967.0);
    assert_eq!(best_cost(&steps), 1967.0);
    let mut optima = 0;
    every_order(&steps, &mut Vec::new(), &mut |order| optima += usize::from(cost(&steps, order) == 1967.0));
    assert_eq!(optima, 1);
}

/// Covers that must be opened, under which the places lie (the precedence of Horn 1972, SIAM J. Appl. Math.
/// 23:189–202): D, A, A1, A2, B, B1, C, C1 is the unique best by brute force, expected 10.45 minutes.
/// Sorting by chance per minute alone fails: covers score nothing.
#[test]
fn covers_are_opened_for_what_lies_under_them() {
    let names = ["D", "A", "A1", "A2", "C", "C1", "B", "B1"];
    let steps: Steps = vec![
        (3.0, 0.20, None),
        (5.0, 0.0, None),
        (1.0, 0.30, Some(1)),
        (2.0, 0.20, Some(1)),
        (4.0, 0.0, Some(1)),
        (1.0, 0.15, Some(4)),
        (2.0, 0.0, None),
        (1.0, 0.15, Some(6)),
    ];
    let forest = forest(&steps);
    let order = forest.order();
    let named: Vec<&str> = order.iter().map(|place| names[*place]).collect();
    assert_eq!(named, ["D", "A", "A1", "A2", "B", "B1", "C", "C1"]);
    assert!((forest.expected_minutes(&order).unwrap() - 10.45).abs() < 1e-12);
    let mut as_good = 0;
    every_order(&steps, &mut Vec::new(), &mut |other| {
        as_good += usize::from(cost(&steps, other) < cost(&steps, &order) + 1e-9);
    });
    assert_eq!(as_good, 1);
}

/// Looking again and again, each look as good as the first (W. L. Black, "Discrete sequential search", Information and
/// Control 8, 1965, 159–162): two boxes, chances 0.6 and 0.4, a look sees it with 0.5 and 0.8, a minute each. Order and
/// mean by brute force.
#[test]
fn repeated_looks_go_by_the_ratio_rule_of_black_1965() {
    let mut steps: Steps = Vec::new();
    let mut boxes = Vec::new();
    for (number, chance, detect) in [(1, 0.6, 0.5), (2, 0.4, 0.8_f64)] {
        let mut before = None;
        for look in 0..60 {
            steps.push((1.0, chance * detect * (1.0 - detect).powi(look), before));
            before = Some(steps.len() - 1);
            boxes.push(number);
        }
    }
    let forest = forest(&steps);
    let order = forest.order();
    let named: Vec<i32> = order.iter().take(12).map(|place| boxes[*place]).collect();
    assert_eq!(named, [2, 1, 1, 1, 2, 1, 1, 2, 1, 1, 2, 1]);
    let mean = forest.expected_minutes(&order).unwrap();
    assert!((mean - 2.679_858).abs() < 1e-6, "{mean}");
}

#[test]
fn without_precedence_it_is_the_ratio_rule_of_smith_1956() {
    let steps: Steps = vec![(4.0, 1.0, None), (1.0, 1.0, None), (0.0, 0.1, None), (2.0, 3.0, None)];
    assert_eq!(forest(&steps).order(), [2, 3, 1, 0]);
}

#[test]
fn a_free_step_with_nothing_to_find_still_opens_what_lies_behind_it() {
    let steps: Steps = vec![(1.0, 0.2, None), (0.0, 0.0, None), (1.0, 0.9, Some(1))];
    assert_eq!(forest(&steps).order(), [1, 2, 0]);
}

#[test]
fn a_chain_of_a_hundred_thousand_steps_does_not_overflow_the_stack() {
    let rising: Steps = (0..100_000_usize).map(|place| (1.0, place as f64, place.checked_sub(1))).collect();
    assert_eq!(forest(&rising).order(), (0..100_000).collect::<Vec<_>>());
    let falling: Steps = (0..100_000_usize).map(|place| (1.0, 1e5 - place as f64, place.checked_sub(1))).collect();
    assert_eq!(forest(&falling).order(), (0..100_000).collect::<Vec<_>>());
}

#[test]
fn numbers_that_are_none_do_no_harm() {
    let steps: Steps = vec![(f64::NAN, 0.1, None), (1.0, f64::INFINITY, None), (-1.0, -1.0, Some(1))];
    let forest = forest(&steps);
    assert!(allowed(&steps, &forest.order()));
    assert_eq!(forest.expected_minutes(&forest.order()), Some(0.0));
    assert_eq!(Forest::default().order(), Vec::<usize>::new());
    assert_eq!(Forest::default().expected_minutes(&[]), None);
}
