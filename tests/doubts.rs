//! When the places no longer explain what was seen: is it said early, is the right thing doubted, and never without cause?

use crate::small_van::small;
use loomwalk::circuit::check;
use loomwalk::circuit::expand::expand;
use loomwalk::ids::Condition;
use loomwalk::search::doubt::{DoubtKind, Told};
use loomwalk::search::evidence::{Heat, Motion, Observation, Seen};
use loomwalk::search::likelihood::tables;
use loomwalk::search::plan::{Plan, Search, Walk};
use loomwalk::vehicle::body::fit;

fn state(names: &[&str]) -> Vec<Condition> {
    names.iter().map(|name| Condition::from(*name)).collect()
}

fn blow(names: &[&str]) -> Observation {
    Observation::Blow { state: state(names), motion: Motion::Smooth, heat: Heat::Warm }
}

fn unplugged(node: &str, blew: bool) -> Observation {
    Observation::Unplugged { node: Some(node.into()), load: None, blew, state: state(&["key_on"]), minutes: 30.0 }
}

fn load_unplugged(load: &str, blew: bool) -> Observation {
    Observation::Unplugged { node: None, load: Some(load.into()), blew, state: state(&["key_on"]), minutes: 30.0 }
}

fn all_sound(search: &Search) -> Vec<Observation> {
    let look =
        |point: &loomwalk::search::point::Point| Observation::Look { point: point.id.clone(), seen: Seen::Sound };
    search.points().iter().map(look).collect()
}

fn doubts(plan: &Plan) -> Vec<DoubtKind> {
    plan.doubts.iter().map(|doubt| doubt.what).collect()
}

/// A van of which only loads and places are known: a socket, and a lamp that nothing is known to be wrong with.
fn van() -> Search {
    let text = r#"{ "format": "loomwalk/circuit", "version": 1, "vehicle": { "body": "panel_van" },
        "fuse": { "rating_a": 10, "live_when": ["key_on"] },
        "loads": [{ "id": "l1", "label": "Rear socket", "item": "accessory_socket_rear" },
                  { "id": "l2", "label": "Step lamp", "kind": "led_lamp", "watts": 3, "zone": "sill_left" },
                  { "id": "l3", "label": "Airbag unit", "kind": "module", "amps": 0.2, "zone": "dash_left" }] }"#;
    let file = check::read(text.as_bytes()).unwrap();
    let fitted = fit(&file.vehicle);
    let harness = expand(&file, &fitted);
    Search::of_circuit(&file, &harness, &fitted.map)
}

#[test]
fn while_the_places_explain_what_was_seen_nothing_is_doubted() {
    for evidence in [vec![], vec![blow(&["key_on"])], vec![blow(&["key_on"]), unplugged("c1", true)]] {
        assert!(small().plan(&evidence, &Walk::default()).doubts.is_empty());
    }
    // Not even with a tale that does not fit: that is said by itself.
    let walk = Walk { told: vec![Told::DeadNotListed("Clock".into())], ..Walk::default() };
    assert!(small().plan(&[blow(&["key_on"])], &walk).doubts.is_empty());
}

#[test]
fn it_is_doubted_exactly_from_the_stated_chance_on_and_said_in_the_notes() {
    let search = van();
    let mut evidence = vec![blow(&["key_on"])];
    let mut before = 0.0;
    for look in all_sound(&search).into_iter().skip(1) {
        let Observation::Look { point, .. } = &look else { unreachable!() };
        let held = Observation::Press { point: point.clone(), opened: false, presses: 10, state: state(&["key_on"]) };
        evidence.extend([held, look]);
        let plan = search.plan(&evidence, &Walk::default());
        assert_eq!(plan.doubts.is_empty(), plan.not_listed <= tables().doubt.from);
        let said = plan.notes.iter().any(|note| note.contains("on none of the listed points has come to"));
        assert_eq!(said, !plan.doubts.is_empty());
        assert!(plan.not_listed.is_finite() && plan.not_listed >= before);
        before = plan.not_listed;
    }
    assert!(before > tables().doubt.from);
}

#[test]
fn damage_that_was_seen_is_no_reason_to_doubt_the_list() {
    let search = van();
    let mut evidence: Vec<Observation> = [blow(&["key_on"])].into_iter().chain(all_sound(&search)).collect();
    assert!(!search.plan(&evidence, &Walk::default()).doubts.is_empty());
    evidence.pop();
    assert!(search.plan(&evidence, &Walk::default()).doubts.is_empty(), "one place is still to be looked at");
    let point = search.points().last().unwrap().id.clone();
    evidence.push(Observation::Look { point, seen: Seen::Marked });
    assert!(search.plan(&evidence, &Walk::default()).doubts.is_empty());
}

#[test]
fn an_opening_with_nothing_listed_live_speaks_for_another_fuse_or_a_missing_load() {
    let plan = small().plan(&[blow(&["reverse"])], &Walk::default());
    assert_eq!(doubts(&plan), [DoubtKind::LoadMissing, DoubtKind::WrongFuse, DoubtKind::NotedWrong]);
    let says = "It opened with reverse: nothing on the list was live then.";
    assert!(plan.doubts.iter().all(|doubt| doubt.speaks == [says] && !doubt.check.is_empty()));
}

#[test]
fn openings_that_no_one_wire_explains_speak_for_two_faults() {
    // Two branches, each behind a switch of its own.
    let text = r#"{ "format": "loomwalk/circuit", "version": 1, "fuse": { "rating_a": 10 },
        "switches": [{ "id": "s1", "from": "fuse", "to": "a", "closed_when": ["left_on"] },
                     { "id": "s2", "from": "fuse", "to": "b", "closed_when": ["right_on"] }],
        "joints": [{ "id": "a", "zone": "dash_left" }, { "id": "b", "zone": "dash_right" }],
        "runs": [{ "id": "r1", "from": "a", "to": "l1.feed", "length_m": 1.0, "path": [{ "zone": "dash_left", "m": 1.0 }] },
                 { "id": "r2", "from": "b", "to": "l2.feed", "length_m": 1.0, "path": [{ "zone": "dash_right", "m": 1.0 }] }],
        "loads": [{ "id": "l1", "kind": "filament_lamp", "watts": 5 }, { "id": "l2", "kind": "filament_lamp", "watts": 5 }] }"#;
    let file = check::read(text.as_bytes()).unwrap();
    let fitted = fit(&file.vehicle);
    let harness = expand(&file, &fitted);
    let search = Search::of_circuit(&file, &harness, &fitted.map);
    let plan = search.plan(&[blow(&["left_on"]), blow(&["right_on"])], &Walk::default());
    assert_eq!(plan.not_listed, 1.0);
    assert!(doubts(&plan).contains(&DoubtKind::SecondFault), "{:?}", plan.doubts);
    assert!(!doubts(&plan).contains(&DoubtKind::WrongFuse), "each time something listed was live");
    assert!(!doubts(&plan).contains(&DoubtKind::InsideLoad), "no load was fed each time");
}

#[test]
fn opening_with_everything_unplugged_clears_every_load_too() {
    let plan = small().plan(&[blow(&["key_on"]), unplugged("fuse", true)], &Walk::default());
    assert_eq!(plan.not_listed, 1.0);
    assert_eq!(doubts(&plan)[0], DoubtKind::LoadMissing);
    assert!(doubts(&plan).contains(&DoubtKind::WrongFuse));
    assert!(!doubts(&plan).contains(&DoubtKind::InsideLoad));
    assert!(!doubts(&plan).contains(&DoubtKind::OtherWay), "no way was assumed");
}

#[test]
fn when_all_looks_sound_assumed_ways_and_the_loads_themselves_are_doubted() {
    let search = van();
    let evidence: Vec<Observation> = [blow(&["key_on"])].into_iter().chain(all_sound(&search)).collect();
    let plan = search.plan(&evidence, &Walk::default());
    assert_eq!(doubts(&plan)[0], DoubtKind::OtherWay, "{:?}", plan.doubts);
    let inside = plan.doubts.iter().find(|doubt| doubt.what == DoubtKind::InsideLoad).unwrap();
    assert_eq!(inside.title, "A load that is shorted inside, such as Rear socket");
    assert!(inside.speaks[0].starts_with("A usual suspect, Rear socket: "));
}

#[test]
fn a_load_without_which_it_held_is_doubted_first_and_an_airbag_unit_never() {
    let search = van();
    let with = |load: &str, blew| {
        let mut evidence = vec![blow(&["key_on"]), load_unplugged(load, blew)];
        evidence.extend(all_sound(&search));
        search.plan(&evidence, &Walk::default())
    };
    let plan = with("l2", false);
    let inside = plan.doubts.iter().find(|doubt| doubt.what == DoubtKind::InsideLoad).unwrap();
    assert_eq!(inside.title, "A load that is shorted inside, such as Step lamp");
    assert_eq!(inside.speaks[0], "It held with this unplugged: Step lamp.");
    let cleared = with("l1", true);
    assert!(cleared.doubts.iter().all(|doubt| !doubt.title.contains("Rear socket")), "it opened without it");
    let airbag = with("l3", false);
    assert!(airbag.doubts.iter().all(|doubt| !format!("{doubt:?}").contains("Airbag unit")), "{:?}", airbag.doubts);
}

#[test]
fn what_was_tried_with_the_fuse_open_leads_the_doubts() {
    let evidence = [blow(&["reverse"])];
    let walk = |told: Told| Walk { told: vec![told], ..Walk::default() };
    let works = small().plan(&evidence, &walk(Told::WorksThoughFed("Tail lamp".into())));
    assert_eq!(works.doubts[0].what, DoubtKind::WrongFuse);
    assert_eq!(works.doubts[0].speaks[0], "Works with the fuse open, though this fuse should feed it: Tail lamp.");
    let dead = small().plan(&evidence, &walk(Told::DeadNotListed("Clock".into())));
    assert_eq!(dead.doubts[0].what, DoubtKind::LoadMissing);
    assert_eq!(dead.doubts[0].speaks[0], "Dead, and not on the list: Clock.");
}
