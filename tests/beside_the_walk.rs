//! What is said beside the walk: what moved and why a step comes first, what lies close to a bare place, what a reading of
//! the ohmmeter tells, and how soon other orders would find it.

use crate::small_van::small;
use loomwalk::circuit::unplug::Unplugged;
use loomwalk::ids::{Condition, PointId};
use loomwalk::search::course::{By, courses};
use loomwalk::search::evidence::{Heat, Motion, Observation, Seen};
use loomwalk::search::likelihood::tables;
use loomwalk::search::moved::moved;
use loomwalk::search::plan::{Plan, Search, StepKind, Walk};

fn state(names: &[&str]) -> Vec<Condition> {
    names.iter().map(|name| Condition::from(*name)).collect()
}

fn blow() -> Observation {
    Observation::Blow { state: state(&["key_on", "reverse"]), motion: Motion::Rough, heat: Heat::Warm }
}

fn look(point: &str, seen: Seen) -> Observation {
    Observation::Look { point: PointId::from(point), seen }
}

fn meter(ohms: Option<f64>, unplugged: &[&str], names: &[&str]) -> Observation {
    let unplugged = unplugged.iter().map(|node| Unplugged::Node((*node).into())).collect();
    Observation::Meter { ohms, unplugged, state: state(names) }
}

fn plan(search: &Search, evidence: &[Observation]) -> Plan {
    search.plan(evidence, &Walk::default())
}

fn chance(plan: &Plan, id: &str) -> f64 {
    plan.points.iter().find(|point| point.id.as_str() == id).unwrap().probability
}

#[test]
fn why_a_step_comes_first_is_what_its_leg_earns_a_minute() {
    let search = small();
    let plan = plan(&search, &[blow()]);
    for step in &plan.steps {
        let why = plan.why_next(step.n).unwrap();
        assert_eq!(why.starts_with("opens the way to"), step.kind == StepKind::Access, "{why}");
    }
    let [first, second] = [plan.legs[0], plan.legs[1]];
    let percent =
        |rate: f64| if rate >= 0.0995 { format!("{:.0} %", rate * 100.0) } else { format!("{:.1} %", rate * 100.0) };
    let why = plan.why_next(1).unwrap();
    assert!(why.contains(&format!("{} a minute", percent(first.chance / first.minutes))), "{why}");
    assert!(why.ends_with(&percent(second.chance / second.minutes)), "{why}");
    assert_eq!(plan.why_next(plan.steps.len()).unwrap(), "little is left to be found on this pass");
    assert_eq!((plan.why_next(0), plan.why_next(plan.steps.len() + 1)), (None, None));
    let last = PointId(plan.steps.last().unwrap().id.clone());
    let asked = search.plan(&[blow()], &Walk { first: Some(last), ..Walk::default() });
    assert_eq!(asked.why_next(1).unwrap(), "asked for first");
}

#[test]
fn what_an_observation_moved_is_told_the_most_first() {
    let search = small();
    let before = plan(&search, &[blow()]);
    let likeliest = before.steps.iter().max_by(|one, other| one.chance.total_cmp(&other.chance)).unwrap();
    let after = plan(&search, &[blow(), look(&likeliest.id, Seen::Sound)]);
    let told = moved(&before, &after, 3);
    assert_eq!(told.len(), 3);
    assert_eq!(told[0].point.as_str(), likeliest.id, "the place itself lost most");
    assert!(told[0].chance[1] < told[0].chance[0] && told[0].turn[1].is_none());
    assert!(told[1..].iter().all(|moved| moved.chance[1] > moved.chance[0]), "all others gained");
    assert!(moved(&before, &before, 3).is_empty());
}

#[test]
fn close_to_a_bare_place_a_second_one_is_likelier_and_is_offered() {
    let search = small();
    let bare = [blow(), look("point:zone:tail_left", Seen::Bare)];
    let marked = [blow(), look("point:zone:tail_left", Seen::Marked)];
    // Of what is left beside the place itself: shares that do not depend on how sure the place is.
    let share = |plan: &Plan, id: &str| chance(plan, id) / (1.0 - chance(plan, "point:zone:tail_left"));
    let [bare_plan, marked_plan] = [plan(&search, &bare), plan(&search, &marked)];
    let near = "point:passage:sill_to_tail";
    let far = "point:passage:dash_to_sill";
    assert!(share(&bare_plan, near) > share(&marked_plan, near));
    assert!(share(&bare_plan, far) < share(&marked_plan, far));
    let second = &tables().second;
    let gained =
        share(&bare_plan, near) / share(&marked_plan, near) / (share(&bare_plan, far) / share(&marked_plan, far));
    assert!(gained >= second.same_wire * (1.0 - 1e-9), "{gained}");
    let offered = search.neighbours(&bare, &PointId::from("point:zone:tail_left"), 4);
    assert!(!offered.is_empty() && offered.iter().all(|near| near.close.factor() > 1.0), "{offered:?}");
    assert!(
        offered.iter().all(|near| !near.close.in_words().is_empty() && near.point.as_str() != "point:zone:tail_left")
    );
    // What was looked at is not offered again.
    let seen = offered[0].point.clone();
    let again = [blow(), bare[1].clone(), look(seen.as_str(), Seen::Sound)];
    assert!(search.neighbours(&again, &PointId::from("point:zone:tail_left"), 9).iter().all(|near| near.point != seen));
    assert!(search.neighbours(&bare, &PointId::from("point:nowhere"), 4).is_empty());
}

#[test]
fn an_ohmmeter_that_shows_too_little_speaks_for_what_is_still_tied_to_the_fuse() {
    let search = small();
    let known = [blow()];
    let before = plan(&search, &known);
    // With the plug at the sill apart, the tail wire r4 cannot lead to ground.
    let less = plan(&search, &[blow(), meter(Some(0.1), &["c1"], &["key_on", "reverse"])]);
    assert!(chance(&less, "point:zone:dash_left") > chance(&before, "point:zone:dash_left"));
    let tail = |plan: &Plan| chance(plan, "point:zone:tail_left");
    assert!(tail(&less) < tail(&before), "r4, one of the two wires there, is cut off");
    // Open as it should be: something is a little less likely to be on what is tied.
    let open = plan(&search, &[blow(), meter(None, &["c1", "c2"], &[])]);
    assert!(chance(&open, "point:zone:dash_left") < chance(&before, "point:zone:dash_left"));
    // Twice the same is once.
    let twice = plan(&search, &[blow(), meter(None, &["c1", "c2"], &[]), meter(None, &["c2", "c1"], &[])]);
    assert_eq!(twice.points, open.points);
    // Too much says nothing about a short.
    let lamp_off = plan(&search, &[blow(), meter(Some(5e5), &[], &["key_on"])]);
    assert_eq!(lamp_off.points, before.points);
}

#[test]
fn no_other_order_of_the_same_steps_finds_it_sooner() {
    let search = small();
    for evidence in [vec![], vec![blow()], vec![blow(), look("point:zone:tail_left", Seen::Sound)]] {
        let plan = plan(&search, &evidence);
        let [own, list, chance] = courses(&plan);
        assert_eq!((own.by, list.by, chance.by), (By::Plan, By::List, By::Chance));
        assert_eq!(own.expected_minutes, plan.expected_minutes);
        for other in [&list, &chance] {
            assert!(own.expected_minutes.unwrap() <= other.expected_minutes.unwrap() + 1e-9);
            let ([own_end, other_end], steps) =
                ([&own, other].map(|course| course.steps.last().unwrap()), plan.steps.len());
            assert_eq!((own.steps.len(), other.steps.len()), (steps + 1, steps + 1));
            assert!(
                (own_end[0] - other_end[0]).abs() < 1e-9 && (own_end[1] - other_end[1]).abs() < 1e-9,
                "the same steps"
            );
        }
    }
}
