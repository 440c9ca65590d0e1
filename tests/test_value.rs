//! Is a test offered only where it saves more than it takes, is its worth what its outcomes say, and never on a restraint?
use loomwalk::circuit::expand::expand;
use loomwalk::circuit::file::CircuitFile;
use loomwalk::circuit::{check, live_work};
use loomwalk::ids::{AccessId, Condition};
use loomwalk::search::evidence::{Heat, Motion, Observation, Seen};
use loomwalk::search::plan::{Search, StepKind, Walk};
use loomwalk::search::test_value::{Test, What, cost};
use loomwalk::vehicle::body::fit;

fn van() -> CircuitFile {
    check::read(include_bytes!("../assets/demo/van.circuit.json")).unwrap()
}

fn search(file: &CircuitFile) -> Search {
    let map = fit(&file.vehicle);
    Search::of_circuit(file, &expand(file, &map), &map.map)
}

fn key_on() -> Vec<Condition> {
    vec!["key_on".into()]
}

fn blow() -> Observation {
    Observation::Blow { state: key_on(), motion: Motion::Rough, heat: Heat::Warm }
}

/// Everything is open, and every place of the first `many` steps was looked at and seemed sound.
fn half_walked(search: &Search, many: usize) -> (Vec<Observation>, Walk) {
    let mut evidence = vec![blow(), blow()];
    let plan = search.plan(&evidence, &Walk::default());
    let open = plan.steps.iter().filter(|step| step.kind == StepKind::Access).map(|step| AccessId(step.id.clone()));
    let walk = Walk { open: open.collect(), ..Walk::default() };
    let looks = plan.steps.iter().filter(|step| step.kind == StepKind::Look).take(many);
    evidence.extend(looks.map(|step| Observation::Look { point: step.id.as_str().into(), seen: Seen::Sound }));
    (evidence, walk)
}

fn observed(test: &Test, opened: bool) -> Observation {
    match test.what.clone() {
        What::Unplug { node, state, .. } => {
            Observation::Unplugged { node: Some(node), load: None, blew: opened, state, minutes: 10.0 }
        }
        What::Press { point, state } => Observation::Press { point, opened, presses: 10, state },
        What::Drive { motion, state } if opened => Observation::Blow { state, motion, heat: Heat::Warm },
        What::Drive { motion, state } => Observation::Held { state, motion, heat: Heat::Warm, minutes: 15.0 },
    }
}

#[test]
fn a_place_that_looked_sound_and_is_still_likely_is_pressed_again() {
    let search = search(&van());
    let (evidence, walk) = half_walked(&search, 6);
    let tests = search.tests(&evidence, &walk, 5);
    let pressed: Vec<&Test> = tests.iter().filter(|test| matches!(test.what, What::Press { .. })).collect();
    assert!(!pressed.is_empty(), "{tests:#?}");
    assert!(pressed[0].caution.as_deref().is_some_and(|caution| caution.contains("sparks")));
    // Once pressed in vain it is not offered again at once: those presses count, and only so many do.
    let evidence = [evidence, vec![observed(pressed[0], false)]].concat();
    let again = search.tests(&evidence, &walk, 99);
    assert!(again.iter().all(|test| test.what != pressed[0].what), "{again:#?}");
}

#[test]
fn what_a_test_is_worth_is_what_its_outcomes_say() {
    let search = search(&van());
    for many in [0, 3, 8] {
        let (evidence, walk) = half_walked(&search, many);
        let now = cost(&search.plan(&evidence, &walk));
        for test in search.tests(&evidence, &walk, 99) {
            let [opens, holds] = test.outcomes[..] else { panic!() };
            assert!(opens.opens && !holds.opens);
            assert!((opens.chance + holds.chance - 1.0).abs() < 1e-12);
            let mean = opens.chance * opens.cost + holds.chance * holds.cost;
            assert!((test.saves - (now - mean)).abs() < 1e-9);
            assert!(test.saves > test.minutes && (test.per_minute - test.saves / test.minutes).abs() < 1e-12);
            // The plan after it holds is the one that the program would show.
            let with = [evidence.clone(), vec![observed(&test, false)]].concat();
            assert!((cost(&search.plan(&with, &walk)) - holds.cost).abs() < 1e-9, "{}", test.title);
        }
    }
}

/// The chance that a press does not open the fuse, by hand from the tables: 0.4 at the true place, 0.01 elsewhere, ten
/// presses. (0.6^10 and 0.99^10.)
#[test]
fn how_a_press_may_end_follows_from_the_tables() {
    let search = search(&van());
    let (evidence, walk) = half_walked(&search, 6);
    let test =
        search.tests(&evidence, &walk, 99).into_iter().find(|test| matches!(test.what, What::Press { .. })).unwrap();
    let What::Press { point, .. } = &test.what else { panic!() };
    let plan = search.plan(&evidence, &walk);
    let here = plan.points.iter().find(|known| known.id == *point).unwrap().probability;
    let holds = here * 0.6_f64.powi(10) + (1.0 - here) * 0.99_f64.powi(10);
    assert!((test.outcomes[1].chance - holds).abs() < 1e-9, "{} {holds}", test.outcomes[1].chance);
}

/// Two plans by hand: the cost counts what is found when it is found, and what is missed with all of the minutes.
#[test]
fn the_cost_of_a_plan_is_as_by_hand() {
    let search = search(&van());
    let mut plan = search.plan(&[blow()], &Walk::default());
    plan.steps.truncate(2);
    (plan.steps[0].minutes, plan.steps[0].chance) = (2.0, 0.5);
    (plan.steps[1].minutes, plan.steps[1].chance) = (3.0, 0.3);
    plan.left_over = 0.2;
    assert!((cost(&plan) - (0.5 * 2.0 + 0.3 * 5.0 + 0.2 * 5.0)).abs() < 1e-12);
}

#[test]
fn nothing_of_a_restraint_is_offered_to_be_pressed_or_unplugged() {
    let mut file = van();
    for load in &mut file.loads {
        if load.id.as_str() == "fan" {
            load.label = "Airbag control unit".to_owned();
        }
    }
    let map = fit(&file.vehicle);
    let never = live_work::never_live(&file, &expand(&file, &map));
    assert!(!never.loads.is_empty());
    let search = search(&file);
    let mut offered = 0;
    for many in [0, 4, 12, 40] {
        let (evidence, walk) = half_walked(&search, many);
        for test in search.tests(&evidence, &walk, 99) {
            match &test.what {
                What::Press { point, .. } | What::Unplug { point, .. } => {
                    let runs = &search.point(point).unwrap().runs;
                    assert!(!never.forbids_press(runs), "{}", test.title);
                }
                What::Drive { .. } => {}
            }
            offered += 1;
        }
    }
    assert!(offered > 0, "something else is offered");
}

#[test]
fn nothing_that_sparks_is_offered_where_fuel_vapour_may_be_about() {
    let mut file = van();
    // A pump in the tank: the way to it and its plug lie where the vapour is.
    file.loads.push(
        serde_json::from_value(
            serde_json::json!({ "id": "pump", "label": "Fuel pump", "item": "fuel_pump", "zone": "tank" }),
        )
        .unwrap(),
    );
    let search = search(&file);
    let about: Vec<_> = search.points().iter().filter(|point| point.fuel_vapour).collect();
    assert!(about.len() >= 2, "the pump's plug and the loom at the tank");
    let mut offered = 0;
    for many in [0, 4, 12, 40] {
        let (evidence, walk) = half_walked(&search, many);
        for test in search.tests(&evidence, &walk, 99) {
            if let What::Press { point, .. } | What::Unplug { point, .. } = &test.what {
                offered += 1;
                assert!(!search.point(point).unwrap().fuel_vapour, "{}", test.title);
            }
        }
    }
    assert!(offered > 0, "elsewhere something is offered");
}

#[test]
fn nothing_live_is_proposed_beside_wires_of_restraints() {
    let search = search(&van());
    let beside = search.points().iter().filter(|point| point.restraint).count();
    assert!(beside >= 3, "dash, step and column of the van: {beside}");
    let (mut pressed, mut pulled) = (0, 0);
    for many in [0, 4, 12, 40] {
        for open in [false, true] {
            let (evidence, mut walk) = half_walked(&search, many);
            if !open {
                walk.open.clear();
            }
            for test in search.tests(&evidence, &walk, 99) {
                let point = match &test.what {
                    What::Press { point, .. } => {
                        pressed += 1;
                        point
                    }
                    What::Unplug { point, .. } => {
                        pulled += 1;
                        point
                    }
                    What::Drive { .. } => continue,
                };
                let point = search.point(point).unwrap();
                assert!(!point.restraint, "{}", test.title);
                let caution = point.caution.as_deref().unwrap_or_default();
                assert!(!caution.contains("irbag"), "{}: {caution}", test.title);
            }
        }
    }
    assert!(pressed > 0, "elsewhere presses are proposed; {pulled} plugs");
}

#[test]
fn nobody_drives_with_covers_off() {
    let search = search(&van());
    let (evidence, walk) = half_walked(&search, 3);
    let tests = search.tests(&evidence, &walk, 99);
    assert!(tests.iter().all(|test| !matches!(test.what, What::Drive { .. })));
}
