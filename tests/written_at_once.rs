//! Two people write about one thing at the same time, on two phones that know nothing of each other: do both keep their words?

use chrono::{DateTime, Utc};
use loomwalk::ids::{DeviceId, EventId, JobId};
use loomwalk::job::act::{Concern, Finding, ReleaseItem};
use loomwalk::job::whole::changing;
use loomwalk::job::{Act, Event, Job, Log};
use proptest::prelude::*;
use uuid::Uuid;

const JOB: JobId = JobId(Uuid::from_u128(7));
const BOOT: &str = "point:passage:boot_rear_left";

/// What a phone makes of an act in the job as it knows it.
fn made(job: &Job, n: u128, act: &Act) -> Event {
    let at = DateTime::<Utc>::from_timestamp_millis(1_700_000_000_000 + n as i64).unwrap();
    changing(job, Event::new(EventId(Uuid::from_u128(n)), at, DeviceId(Uuid::from_u128(1)), act))
}

fn fold(events: &[Event]) -> Job {
    Job::fold(JOB, &Log::of(events.iter().cloned()).unwrap())
}

/// The job after `before`, to which two phones each added an act without knowing of the other's: in either order.
fn at_once(before: &[Event], acts: [Act; 2]) -> [Job; 2] {
    let known = fold(before);
    [[0, 1], [1, 0]].map(|order| {
        let later = order.iter().zip(900..).map(|(which, n)| made(&known, n, &acts[*which]));
        fold(&before.iter().cloned().chain(later).collect::<Vec<_>>())
    })
}

fn finding() -> Finding {
    serde_json::from_value(serde_json::json!({ "point": BOOT })).unwrap()
}

fn repair(done: bool, minutes: Option<f64>, of: Option<EventId>) -> Act {
    let what = "Spliced".to_owned();
    Act::Repair { of, point: Some(BOOT.into()), what, done, minutes, method: None, materials: Vec::new() }
}

#[test]
fn the_cause_of_one_and_what_it_rubbed_on_of_the_other() {
    let begun = [made(&fold(&[]), 1, &Act::Finding(finding()))];
    let cause = Finding { cause: "Clip broken".into(), ..finding() };
    let rubbed = Finding { rubbed_on: "The bracket".into(), ..finding() };
    for job in at_once(&begun, [Act::Finding(cause), Act::Finding(rubbed)]) {
        let found = &job.findings[&BOOT.into()];
        assert_eq!((found.cause.as_str(), found.rubbed_on.as_str()), ("Clip broken", "The bracket"));
    }
}

#[test]
fn the_words_of_one_and_the_lamp_of_the_other() {
    let before = Concern { words: "Wipers stop".into(), ..Concern::default() };
    let begun = [made(&fold(&[]), 1, &Act::Concern(before.clone()))];
    let words = Concern { words: String::new(), ..before.clone() };
    let lamp = Concern { telltale: "Washer lamp".into(), ..before };
    for job in at_once(&begun, [Act::Concern(words), Act::Concern(lamp)]) {
        // Taken away by one, it does not come back with what the other has written down of it.
        assert_eq!((job.concern.words.as_str(), job.concern.telltale.as_str()), ("", "Washer lamp"));
    }
}

#[test]
fn the_tick_of_one_and_the_reading_of_the_other() {
    let item = ReleaseItem::DrawMeasured;
    let tick = Act::Release { item, done: true, value: String::new(), minutes: None };
    let value = Act::Release { item, done: false, value: "2.3 A".into(), minutes: None };
    let begun = [made(&fold(&[]), 1, &Act::Release { item, done: false, value: String::new(), minutes: None })];
    for job in at_once(&begun, [tick, value]) {
        let checked = job.checked(item);
        assert_eq!((checked.done, checked.value.as_str()), (true, "2.3 A"));
    }
}

#[test]
fn a_repair_that_two_put_into_other_words_is_one_and_is_priced_once() {
    let begun = [made(&fold(&[]), 1, &repair(false, None, None))];
    let first = Some(begun[0].id);
    for job in at_once(&begun, [repair(true, None, first), repair(false, Some(20.0), first)]) {
        let [repair] = job.repairs.as_slice() else { panic!("{:?}", job.repairs) };
        assert_eq!((repair.done, repair.minutes, repair.first), (true, Some(20.0), begun[0].id));
        assert_eq!(repair.events.len(), 3);
    }
}

#[test]
fn what_was_taken_back_is_as_it_was_before_and_a_repair_that_goes_goes_with_all_its_words() {
    let mut events = vec![made(&fold(&[]), 1, &repair(false, None, None))];
    events.push(made(&fold(&events), 2, &repair(true, Some(20.0), Some(events[0].id))));
    let taken_back = |events: &[Event], which: &[usize]| {
        let mut all = events.to_vec();
        for (n, which) in (500..).zip(which) {
            all.push(made(&fold(&all), n, &Act::TakenBack { event: events[*which].id }));
        }
        fold(&all)
    };
    let [before] = &taken_back(&events, &[1]).repairs[..] else { panic!() };
    assert_eq!((before.done, before.minutes), (false, None));
    // Whoever took the first back did not know of the other words: these stay, whole.
    let [other] = &taken_back(&events, &[0]).repairs[..] else { panic!() };
    assert_eq!((other.done, other.minutes, other.first), (true, Some(20.0), events[0].id));
    assert!(taken_back(&events, &[0, 1]).repairs.is_empty());
}

fn act() -> impl Strategy<Value = Act> {
    let words = || prop::sample::select(vec!["", "a", "b"]).prop_map(str::to_owned);
    let minutes = || prop::sample::select(vec![None, Some(1.0), Some(2.0)]);
    prop_oneof![
        (words(), words()).prop_map(|(words, dead)| Act::Concern(Concern { words, dead, ..Concern::default() })),
        (words(), words()).prop_map(|(cause, aside)| Act::Finding(Finding { cause, aside, ..finding() })),
        (any::<bool>(), words(), minutes())
            .prop_map(|(done, value, minutes)| { Act::Release { item: ReleaseItem::RoadTest, done, value, minutes } }),
        (any::<bool>(), minutes()).prop_map(|(done, minutes)| repair(done, minutes, Some(EventId(Uuid::from_u128(1))))),
    ]
}

proptest! {
    #[test]
    fn what_one_phone_writes_alone_is_what_it_wrote(acts in prop::collection::vec(act(), 1..12)) {
        let (mut all, mut plain) = (Vec::new(), Vec::new());
        for (n, act) in (1..).zip(&acts) {
            let job = fold(&all);
            all.push(made(&job, n, act));
            plain.push(Event { body: Event::new(all[0].id, all[0].at, all[0].device_id, act).body, ..all[all.len() - 1].clone() });
        }
        let (merged, whole) = (fold(&all), fold(&plain));
        prop_assert_eq!(&merged.concern, &whole.concern);
        prop_assert_eq!(&merged.findings, &whole.findings);
        prop_assert_eq!(&merged.release, &whole.release);
        prop_assert_eq!(&merged.repairs, &whole.repairs);
        // An older version reads the same.
        for (event, act) in all.iter().zip(&acts) {
            prop_assert_eq!(&event.act().unwrap(), act);
        }
    }
}
