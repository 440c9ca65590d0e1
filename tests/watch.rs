//! Does the watch see a telltale go out, soon, and nothing else? 200 openings and hours of everything that is none.

use crate::watched::tally::{Tally, hours_lit, openings};
use crate::watched::{Chance, Scene};
use loomwalk::watch::{Change, Doubt, GRID, SECTORS, Sample, State, Values, Watch, Window};

#[test]
fn of_200_openings_at_least_198_are_seen_within_300_ms() {
    let tally = openings(200);
    assert!(tally.seen >= 198, "{tally:?}");
    assert!(tally.late == 0, "{tally:?}");
}

#[test]
fn hours_of_drift_hands_exposure_and_flicker_give_at_most_one_false_alarm_each() {
    let Tally { false_alarms, hours, .. } = hours_lit(4);
    assert!(f64::from(false_alarms) <= hours, "{false_alarms} in {hours} hours");
}

/// Frames of a scene until `ms` later.
fn run(watch: &mut Watch, scene: &mut Scene, ms: f64, lit: bool) -> Vec<Change> {
    let end = scene.now + ms;
    let mut all = Vec::new();
    while scene.now < end {
        all.extend(watch.see(&scene.frame(lit)));
    }
    all
}

#[test]
fn it_says_when_it_went_out_and_when_it_came_back() {
    let mut scene = Scene::new(7);
    let mut watch = Watch::new(Values::shipped());
    assert_eq!(run(&mut watch, &mut scene, 1_000.0, true), []);
    assert_eq!(watch.state(), State::Learning);
    assert_eq!(run(&mut watch, &mut scene, 4_000.0, true), []);
    assert_eq!(watch.state(), State::Lit);
    let dark = scene.now;
    let [Change::WentOut(at)] = run(&mut watch, &mut scene, 2_000.0, false)[..] else { panic!("not seen") };
    assert!((dark..dark + 200.0).contains(&at), "dark at {dark}, seen at {at}");
    assert_eq!(watch.state(), State::Out);
    let lit = scene.now;
    let [Change::CameBack(at)] = run(&mut watch, &mut scene, 2_000.0, true)[..] else { panic!("not seen") };
    assert!((lit..lit + 200.0).contains(&at), "lit at {lit}, seen at {at}");
    assert_eq!(watch.state(), State::Lit);
}

#[test]
fn a_hand_before_it_is_told_from_out_and_what_went_out_under_the_hand_is_seen_after() {
    let still = |spot: f64, around: [f64; SECTORS], at_ms: f64| Sample { at_ms, spot, around };
    let dash = [40.0, 55.0, 30.0, 80.0, 60.0, 45.0, 70.0, 35.0];
    let mut watch = Watch::new(Values::shipped());
    let mut at = 0.0;
    let mut show = |spot: f64, around: [f64; SECTORS], ms: f64| {
        let end = at + ms;
        let mut all = Vec::new();
        while at < end {
            at += 33.0;
            all.extend(watch.see(&still(spot, around, at)));
        }
        (watch.state(), all.len())
    };
    assert_eq!(show(180.0, dash, 4_000.0), (State::Lit, 0));
    assert_eq!(show(50.0, [50.0; SECTORS], 1_500.0), (State::Covered, 0));
    assert_eq!(show(180.0, dash, 1_000.0), (State::Lit, 0));
    assert_eq!(show(50.0, [50.0; SECTORS], 1_500.0), (State::Covered, 0));
    assert_eq!(show(30.0, dash, 1_000.0), (State::Out, 1));
}

#[test]
fn once_dark_was_seen_it_says_when_daylight_drowns_the_lamp() {
    let mut watch = Watch::new(Values::shipped());
    let mut at = 0.0;
    let mut show = |lamp: f64, day: f64, ms: f64| {
        let end = at + ms;
        while at < end {
            at += 33.0;
            watch.see(&Sample { at_ms: at, spot: lamp + 40.0 * day, around: [50.0 * day; SECTORS] });
        }
        watch.state()
    };
    assert_eq!(show(30.0, 1.0, 4_000.0), State::Lit);
    assert_eq!(show(0.0, 1.0, 1_000.0), State::Out);
    assert_eq!(show(30.0, 1.0, 1_000.0), State::Lit);
    let mut state = State::Lit;
    for step in 0..60 {
        state = show(30.0, 1.0 + f64::from(step) / 20.0, 1_000.0);
        assert_ne!(state, State::Out, "at daylight {step}");
    }
    assert_eq!(state, State::Unsure(Doubt::TooBright));
}

#[test]
fn a_lamp_that_the_camera_sees_dark_for_long_while_it_is_lit_is_called_unsteady() {
    let mut watch = Watch::new(Values::shipped());
    for frame in 0..200 {
        let spot = if frame % 20 < 10 { 180.0 } else { 30.0 };
        let change = watch.see(&Sample { at_ms: f64::from(frame) * 33.0, spot, around: [50.0; SECTORS] });
        assert_eq!(change, None);
    }
    assert_eq!(watch.state(), State::Unsure(Doubt::Flickers));
}

#[test]
fn a_buzzer_that_stops_is_heard_by_the_same_watch() {
    let mut chance = Chance(3);
    let mut watch = Watch::new(Values::shipped());
    let mut changes = Vec::new();
    for frame in 0..400 {
        // A level for its spot, nothing around it.
        let level = if frame < 300 { 120.0 } else { 25.0 } + chance.between(-6.0, 6.0);
        changes.extend(watch.see(&Sample { at_ms: f64::from(frame) * 20.0, spot: level, around: [1.0; SECTORS] }));
    }
    assert_eq!(changes, [Change::WentOut(6_000.0)]);
}

/// A square of pixels as a canvas gives it, grey by place.
fn square(grey: impl Fn(usize, usize) -> u8) -> Vec<u8> {
    (0..GRID * GRID)
        .flat_map(|at| {
            let grey = grey(at % GRID, at / GRID);
            [grey, grey, grey, 255]
        })
        .collect()
}

#[test]
fn the_spot_is_the_middle_fifth_and_what_glows_right_around_it_is_left_out() {
    let fifth = GRID / 5;
    let middle = |at: usize| (2 * fifth..3 * fifth).contains(&at);
    let inner = |at: usize| (fifth..4 * fifth).contains(&at);
    let pixels = square(|x, y| match (middle(x) && middle(y), inner(x) && inner(y)) {
        (true, _) => 200,
        (_, true) => 120,
        _ => 50,
    });
    let sample = Sample::of_pixels(3.0, &pixels);
    assert!((sample.spot - 200.0).abs() < 1e-9, "{sample:?}");
    assert!(sample.around.iter().all(|sector| (sector - 50.0).abs() < 1e-9), "{sample:?}");
    // A hand from the left is in the sectors of the left.
    let hand = Sample::of_pixels(3.0, &square(|x, _| if x < fifth { 0 } else { 50 }));
    let darker = hand.around.iter().filter(|sector| **sector < 49.0).count();
    assert_eq!(darker, 3, "the left edge and its corners: {hand:?}");
    assert_eq!(Sample::of_pixels(0.0, &[]).spot, 0.0, "no picture is dark, and no crash");
}

#[test]
fn the_square_around_a_spot_lies_within_the_picture_wherever_it_is_put() {
    for (x, y, size) in [(0.5, 0.4, 0.05), (0.0, 0.0, 0.05), (1.0, 0.75, 0.15), (0.5, 0.3, 0.15), (-1.0, 9.0, 0.01)] {
        for (width, height) in [(640.0, 480.0), (1080.0, 1920.0), (320.0, 100.0)] {
            let (left, top, side) = Window { x, y, size }.pixels(width, height);
            assert!(left >= 0.0 && top >= 0.0 && left + side <= width && top + side <= height, "{x} {y} {size}");
            assert!(side > 0.0);
        }
    }
    assert_eq!(Window { x: 0.5, y: 0.375, size: 0.04 }.pixels(1_000.0, 750.0), (400.0, 275.0, 200.0));
}

#[test]
fn a_sound_that_stops_is_heard_to_stop() {
    let mut watch = Watch::new(Values::shipped());
    let mut chance = Chance(11);
    let mut at = 0.0;
    let mut hear = |loud: f64, ms: f64| {
        let end = at + ms;
        let mut all = Vec::new();
        while at < end {
            at += 40.0;
            let sample = Sample::of_sound(at, loud * chance.between(0.9, 1.1) + 0.001 * chance.between(0.5, 1.5));
            all.extend(watch.see(&sample));
        }
        (watch.state(), all.len())
    };
    assert_eq!(hear(0.03, 60_000.0), (State::Lit, 0));
    assert_eq!(hear(0.0, 1_000.0), (State::Out, 1));
    assert_eq!(hear(0.03, 1_000.0), (State::Lit, 1));
}
