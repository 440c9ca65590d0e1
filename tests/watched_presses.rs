//! Is a telltale that went out told at the right press, over two phones whose logs were joined?

use chrono::{DateTime, TimeDelta, Utc};
use loomwalk::ids::{DeviceId, EventId, IdMaker, JobId, PointId};
use loomwalk::job::watched::{OutAt, out_at, outs};
use loomwalk::job::{Act, Event, Job, Log};
use uuid::Uuid;

const BELOW: DeviceId = DeviceId(Uuid::from_u128(1));
const CABIN: DeviceId = DeviceId(Uuid::from_u128(2));

fn at(ms: i64) -> DateTime<Utc> {
    DateTime::from_timestamp(1_770_000_000, 0).unwrap() + TimeDelta::milliseconds(ms)
}

/// Acts with their times and devices, and where they match at `point:a`.
fn matched(acts: &[(i64, DeviceId, Act)]) -> Vec<OutAt> {
    // Each phone makes its own ids; the union sorts them.
    let mut makers = [IdMaker::default(), IdMaker::default()];
    let mut log = Log::default();
    for (ms, by, act) in acts {
        let maker = &mut makers[usize::from(*by == CABIN)];
        let id = EventId(maker.make(at(*ms), [7 + u8::from(*by == CABIN); 10]));
        log.union(vec![Event::new(id, at(*ms), *by, act)]).unwrap();
    }
    let job = Job::fold(JobId(Uuid::nil()), &log);
    out_at(&mut log.events(), &job, &PointId::from("point:a"))
}

fn press(point: &str, opened: bool) -> Act {
    Act::Press { point: point.into(), opened, presses: 1, state: vec![] }
}

fn out(ms: i64) -> Act {
    Act::Telltale { lit: false, seen_at: at(ms) }
}

#[test]
fn it_is_told_with_the_nearest_press_and_what_the_clocks_may_differ() {
    let found = matched(&[
        (0, BELOW, press("point:a", false)),
        (10_000, BELOW, press("point:a", false)),
        (20_000, BELOW, press("point:a", false)),
        (20_600, CABIN, out(20_400)),
    ]);
    assert_eq!(found, [OutAt { press: 3, after_ms: 400, clocks_ms: 2_000 }]);
    assert_eq!(
        found[0].words(),
        "The telltale went out 0.4 s after the tap for press 3 here; seen by another phone, whose clock may be 2 s off."
    );
}

#[test]
fn one_phone_alone_has_one_clock_and_its_tap_follows_the_alarm() {
    let found = matched(&[(3_000, BELOW, out(2_800)), (5_500, BELOW, press("point:a", true))]);
    assert_eq!(found, [OutAt { press: 1, after_ms: -2_700, clocks_ms: 0 }]);
    assert_eq!(found[0].words(), "The telltale went out 2.7 s before the tap for press 1 here.");
}

#[test]
fn far_from_every_press_or_nearer_to_one_elsewhere_it_is_not_told_here() {
    assert_eq!(matched(&[(0, BELOW, press("point:a", false)), (6_000, CABIN, out(6_000))]), []);
    assert_eq!(matched(&[(0, BELOW, press("point:a", false)), (4_000, BELOW, out(4_000))]), []);
    let elsewhere =
        [(0, BELOW, press("point:a", false)), (2_000, BELOW, press("point:b", true)), (1_900, CABIN, out(1_900))];
    assert_eq!(matched(&elsewhere), []);
}

#[test]
fn a_press_that_was_taken_back_is_not_counted() {
    let mut makers = IdMaker::default();
    let mut make = |ms: i64, act: &Act| Event::new(EventId(makers.make(at(ms), [7; 10])), at(ms), BELOW, act);
    let first = make(0, &press("point:a", false));
    let events = vec![
        first.clone(),
        make(100, &Act::TakenBack { event: first.id }),
        make(9_000, &press("point:a", true)),
        make(9_100, &out(9_000)),
    ];
    let mut log = Log::default();
    log.union(events).unwrap();
    let job = Job::fold(JobId(Uuid::nil()), &log);
    let found = out_at(&mut log.events(), &job, &PointId::from("point:a"));
    assert_eq!(found, [OutAt { press: 1, after_ms: 0, clocks_ms: 0 }]);
}

#[test]
fn each_place_counts_its_own_presses() {
    let acts = [
        (0, BELOW, press("point:a", false)),
        (10_000, BELOW, press("point:b", false)),
        (20_000, BELOW, press("point:b", true)),
        (20_100, BELOW, out(20_000)),
        (30_000, BELOW, press("point:a", true)),
        (30_100, BELOW, out(30_000)),
    ];
    assert_eq!(matched(&acts), [OutAt { press: 2, after_ms: 0, clocks_ms: 0 }]);
    let log =
        Log::of((0..).zip(&acts).map(|(n, (ms, by, act))| Event::new(EventId(Uuid::from_u128(n)), at(*ms), *by, act)));
    let log = log.unwrap();
    let all = outs(&mut log.events(), &Job::fold(JobId(Uuid::nil()), &log));
    let told: Vec<(&str, u32)> = all.iter().map(|(point, out)| (point.as_str(), out.press)).collect();
    assert_eq!(told, [("point:b", 2), ("point:a", 2)]);
}
