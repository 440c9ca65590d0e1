//! A test drive: what its taps say of the fuse.

use chrono::{DateTime, TimeDelta, Utc};
use loomwalk::ids::{DeviceId, EventId, JobId};
use loomwalk::job::act::{Concern, FreshFuse};
use loomwalk::job::road::{Felt, MOST_MINUTES, RoadMark, ended, motion_of, opened};
use loomwalk::job::session::Session;
use loomwalk::job::together::at_one_tap;
use loomwalk::job::{Act, Event, Job, Log, may};
use loomwalk::search::evidence::{Heat, Motion, Observation};
use uuid::Uuid;

/// A log that is written second by second.
#[derive(Default)]
struct Drive {
    log: Log,
    events: u128,
}

fn at(seconds: i64) -> DateTime<Utc> {
    DateTime::UNIX_EPOCH + TimeDelta::seconds(seconds)
}

/// What the sensor felt, by the second from which on it did.
fn felt(changes: &[(i64, Motion)]) -> Felt {
    let mut felt = Felt::default();
    for (seconds, motion) in changes {
        assert!(felt.feels(at(*seconds), Some(*motion)));
        assert!(!felt.feels(at(*seconds + 1), Some(*motion)), "nothing new");
    }
    felt
}

impl Drive {
    fn job(&self) -> Job {
        Job::fold(JobId(Uuid::from_u128(1)), &self.log)
    }

    fn tap(&mut self, seconds: i64, acts: impl IntoIterator<Item = Act>) {
        for act in acts {
            may(&self.job(), &act).unwrap();
            self.events += 1;
            let event = Event::new(EventId(Uuid::from_u128(self.events)), at(seconds), DeviceId(Uuid::nil()), &act);
            self.log.union([event]).unwrap();
        }
    }

    fn begin(&mut self, seconds: i64) {
        self.tap(seconds, [Act::RoadBegan { state: vec!["key_on".into()], heat: Heat::Warm }]);
    }

    fn seen(&self) -> Vec<(Motion, Option<f64>)> {
        let seen = self.job().observations.into_iter().map(|(_, observation)| match observation {
            Observation::Blow { motion, heat: Heat::Warm, .. } => (motion, None),
            Observation::Held { motion, heat: Heat::Warm, minutes, .. } => (motion, Some(minutes)),
            other => panic!("{other:?}"),
        });
        seen.collect()
    }
}

#[test]
fn each_silence_and_each_opening_is_evidence_with_the_motion_of_the_moment() {
    let mut drive = Drive::default();
    drive.begin(0);
    drive.tap(200, [Act::RoadMark { what: RoadMark::Turn }]);
    drive.tap(296, [Act::RoadMark { what: RoadMark::Bump }]);
    let smooth = felt(&[(0, Motion::Smooth)]);
    drive.tap(300, opened(&drive.job(), at(300), &smooth));
    // The bump explains what came within seconds; the bend before made no difference then.
    let silence = [(Motion::Smooth, Some(3.4)), (Motion::Turning, Some(1.0)), (Motion::Rough, Some(0.6))];
    assert_eq!(drive.seen(), [&silence[..], &[(Motion::Rough, None)]].concat());
    drive.tap(420, [Act::RoadMark { what: RoadMark::Turn }]);
    drive.tap(600, opened(&drive.job(), at(600), &smooth));
    let silence = [(Motion::Smooth, Some(4.0)), (Motion::Turning, Some(1.0))];
    assert_eq!(drive.seen()[4..], [&silence[..], &[(Motion::Smooth, None)]].concat(), "the bend is long past");
    drive.tap(900, ended(&drive.job(), at(900), &Felt::default()));
    assert_eq!(drive.seen()[7..], [(Motion::Smooth, Some(5.0))]);
    assert_eq!(drive.job().road, None);
}

#[test]
fn what_the_phone_felt_counts_where_nothing_was_tapped() {
    let mut drive = Drive::default();
    drive.begin(0);
    drive.tap(
        600,
        opened(&drive.job(), at(600), &felt(&[(0, Motion::Still), (60, Motion::Rough), (360, Motion::Still)])),
    );
    let silence = [(Motion::Still, Some(4.0)), (Motion::Rough, Some(6.0))];
    assert_eq!(drive.seen(), [&silence[..], &[(Motion::Still, None)]].concat());
    assert_eq!([0.1, 0.29, 0.3, 1.0, 1.8, 9.0].map(motion_of), {
        use Motion::{Rough, Smooth, Still};
        [Still, Still, Smooth, Smooth, Rough, Rough]
    });
}

#[test]
fn one_bump_on_a_long_drive_makes_no_rough_road_of_it_and_one_each_minute_does() {
    let minute = 60;
    let mut drive = Drive::default();
    drive.begin(0);
    drive.tap(30 * minute, [Act::RoadMark { what: RoadMark::Bump }]);
    drive.tap(60 * minute, ended(&drive.job(), at(60 * minute), &Felt::default()));
    assert_eq!(drive.seen(), [(Motion::Smooth, Some(59.0)), (Motion::Rough, Some(1.0))]);

    let mut drive = Drive::default();
    drive.begin(0);
    for bump in 0..10 {
        drive.tap(bump * minute + 25, [Act::RoadMark { what: RoadMark::Bump }]);
    }
    drive.tap(10 * minute, ended(&drive.job(), at(10 * minute), &felt(&[(0, Motion::Smooth)])));
    assert_eq!(drive.seen(), [(Motion::Rough, Some(10.0))], "the last seconds are too short to tell by themselves");

    // Felt, not tapped: as rough around it.
    let mut drive = Drive::default();
    drive.begin(0);
    let once = felt(&[(0, Motion::Smooth), (300, Motion::Rough), (303, Motion::Smooth)]);
    drive.tap(600, ended(&drive.job(), at(600), &once));
    assert_eq!(drive.seen(), [(Motion::Smooth, Some(8.9)), (Motion::Rough, Some(1.1))]);
}

#[test]
fn a_bend_that_is_tapped_is_one_however_it_shakes_the_phone() {
    let mut drive = Drive::default();
    drive.begin(0);
    drive.tap(300, [Act::RoadMark { what: RoadMark::Turn }]);
    let shaken = felt(&[(0, Motion::Smooth), (298, Motion::Rough), (302, Motion::Smooth)]);
    drive.tap(600, ended(&drive.job(), at(600), &shaken));
    // Two seconds of it are felt beyond the minute that was tapped, on either side.
    assert_eq!(drive.seen(), [(Motion::Smooth, Some(9.0)), (Motion::Turning, Some(1.0))]);
}

#[test]
fn what_was_felt_comes_back_with_an_opening_that_is_taken_back() {
    let mut drive = Drive::default();
    drive.begin(0);
    let shaken = felt(&[(0, Motion::Rough)]);
    drive.tap(300, opened(&drive.job(), at(300), &shaken));
    let back: Vec<_> = drive.log.events().rev().take(2).map(|event| Act::TakenBack { event: event.id }).collect();
    drive.tap(310, back);
    drive.tap(600, ended(&drive.job(), at(600), &shaken));
    assert_eq!(drive.seen(), [(Motion::Rough, Some(10.0))]);
}

#[test]
fn what_was_felt_before_the_last_opening_says_nothing_of_the_silence_after_it() {
    let mut drive = Drive::default();
    drive.begin(0);
    let mut felt = felt(&[(0, Motion::Rough), (290, Motion::Smooth)]);
    drive.tap(300, opened(&drive.job(), at(300), &felt));
    let before = drive.seen().len();
    drive.tap(600, ended(&drive.job(), at(600), &felt));
    assert_eq!(drive.seen()[before..], [(Motion::Smooth, Some(5.0))]);
    let whole = felt.clone();
    felt.begin_anew();
    assert!(felt.now() == Some(Motion::Smooth) && felt != whole);
}

#[test]
fn two_openings_at_once_make_no_silence_between_and_a_clock_that_jumps_back_makes_none() {
    let mut drive = Drive::default();
    drive.begin(0);
    drive.tap(5, opened(&drive.job(), at(5), &Felt::default()));
    drive.tap(8, opened(&drive.job(), at(8), &Felt::default()));
    drive.tap(9, opened(&drive.job(), at(-80_000), &Felt::default()));
    assert_eq!(drive.seen().iter().filter(|(_, held)| held.is_some()).count(), 0);
    assert_eq!(drive.seen().len(), 3);
}

#[test]
fn a_clock_that_jumps_a_day_ahead_and_an_end_that_was_forgotten_make_no_silence() {
    const DAY: i64 = 24 * 3600;
    let mut drive = Drive::default();
    drive.begin(0);
    let late = ended(&drive.job(), at(DAY), &Felt::default());
    assert_eq!(late, [Act::RoadEnded {}]);
    // It opened on the way: that is so whatever the clock says.
    drive.tap(DAY, opened(&drive.job(), at(DAY), &Felt::default()));
    assert_eq!(drive.seen(), [(Motion::Smooth, None)]);
    let longest = DAY + (MOST_MINUTES * 60.0) as i64;
    drive.tap(longest, ended(&drive.job(), at(longest), &Felt::default()));
    assert_eq!(drive.seen()[1..], [(Motion::Smooth, Some(MOST_MINUTES))]);
}

#[test]
fn where_a_fresh_fuse_opens_at_once_no_silence_is_claimed() {
    let mut drive = Drive::default();
    drive.tap(0, [Act::Concern(Concern { fresh_fuse: FreshFuse::OpensAtOnce, ..Concern::default() })]);
    drive.begin(0);
    drive.tap(600, opened(&drive.job(), at(600), &Felt::default()));
    assert_eq!(drive.seen(), [(Motion::Smooth, None)]);
}

#[test]
fn an_opening_that_is_taken_back_gives_its_silence_back() {
    let mut drive = Drive::default();
    drive.begin(0);
    drive.tap(300, opened(&drive.job(), at(300), &Felt::default()));
    let last = drive.log.newest().unwrap();
    let before = drive.log.events().rev().nth(1).unwrap().id;
    drive.tap(310, [Act::TakenBack { event: last }, Act::TakenBack { event: before }]);
    assert_eq!(drive.seen(), []);
    drive.tap(600, ended(&drive.job(), at(600), &Felt::default()));
    assert_eq!(drive.seen(), [(Motion::Smooth, Some(10.0))], "from the beginning");
}

#[test]
fn the_key_takes_back_an_end_or_an_opening_with_the_silence_before_it() {
    for ends in [true, false] {
        let mut drive = Drive::default();
        drive.begin(0);
        let job = drive.job();
        let acts = if ends { ended(&job, at(600), &Felt::default()) } else { opened(&job, at(600), &Felt::default()) };
        assert_eq!(acts.len(), 2);
        drive.tap(600, acts);
        let session = Session::open(drive.job().id, drive.log.clone());
        let last = session.job.last_act.unwrap();
        let together = at_one_tap(&session, last, &session.log.get(last).unwrap().act().unwrap());
        assert_eq!(together.len(), 2);
        drive.tap(610, together.into_iter().map(|event| Act::TakenBack { event }));
        assert_eq!(drive.seen(), []);
        // Twenty minutes, not thirty.
        drive.tap(1200, ended(&drive.job(), at(1200), &Felt::default()));
        assert_eq!(drive.seen(), [(Motion::Smooth, Some(20.0))]);
    }
}

#[test]
fn a_silence_in_parts_comes_back_whole_with_its_end() {
    let mut drive = Drive::default();
    drive.begin(0);
    drive.tap(100, [Act::RoadMark { what: RoadMark::Bump }]);
    drive.tap(300, [Act::RoadMark { what: RoadMark::Turn }]);
    let acts = ended(&drive.job(), at(600), &Felt::default());
    assert_eq!(acts.len(), 4, "{acts:?}");
    drive.tap(600, acts);
    let session = Session::open(drive.job().id, drive.log.clone());
    let last = session.job.last_act.unwrap();
    let together = at_one_tap(&session, last, &session.log.get(last).unwrap().act().unwrap());
    drive.tap(610, together.into_iter().map(|event| Act::TakenBack { event }));
    assert_eq!(drive.seen(), []);
    assert!(drive.job().road.is_some());
}

#[test]
fn a_silence_of_another_time_stays_where_an_opening_is_taken_back() {
    let mut drive = Drive::default();
    let state = || vec!["key_on".into()];
    drive.tap(0, [Act::Held { state: state(), motion: Motion::Smooth, heat: Heat::Warm, minutes: 10.0 }]);
    drive.tap(60, [Act::Blow { state: state(), motion: Motion::Smooth, heat: Heat::Warm }]);
    let session = Session::open(drive.job().id, drive.log.clone());
    let last = session.job.last_act.unwrap();
    assert_eq!(at_one_tap(&session, last, &session.log.get(last).unwrap().act().unwrap()), [last]);
}

#[test]
fn without_a_drive_there_is_nothing_to_tap() {
    let drive = Drive::default();
    assert_eq!(opened(&drive.job(), at(1), &Felt::default()), []);
    assert_eq!(ended(&drive.job(), at(1), &Felt::default()), []);
    let why = may(&drive.job(), &Act::RoadMark { what: RoadMark::Bump }).unwrap_err();
    assert_eq!(why.to_string(), "No test drive is on: begin it first.");
}
