//! How often is the watch right? Openings that it finds, and alarms that it should not have given.

use loomwalk::watch::{Change, Values, Watch};

use super::Scene;

/// How the watch did.
#[derive(Debug, Default)]
pub struct Tally {
    /// Openings there were.
    pub openings: u32,
    /// Found within 300 ms.
    pub seen: u32,
    /// Found later.
    pub late: u32,
    /// The longest from dark to found, of those in time, ms.
    pub longest: f64,
    /// Found where there was none.
    pub false_alarms: u32,
    /// Watched with the lamp lit, hours.
    pub hours: f64,
}

/// The most from dark to found, ms.
const MOST: f64 = 300.0;

/// Lamps of every kind that go out once, each after hands and a new exposure.
pub fn openings(count: u32) -> Tally {
    let mut tally = Tally { openings: count, ..Tally::default() };
    for seed in 0..u64::from(count) {
        let mut scene = Scene::new(1_000 + seed);
        let mut watch = Watch::new(Values::shipped());
        let opens = scene.now + scene.chance.between(15e3, 40e3);
        let began = scene.now;
        let (mut handed, mut exposed) = (false, false);
        while scene.now < opens {
            if !handed && scene.now > began + 4e3 {
                scene.hand();
                handed = true;
            }
            if !exposed && scene.now > began + 9e3 {
                scene.expose_anew();
                scene.cloud();
                exposed = true;
            }
            if matches!(watch.see(&scene.frame(true)), Some(Change::WentOut(_))) {
                tally.false_alarms += 1;
            }
        }
        tally.hours += (scene.now - began) / 3.6e6;
        let dark = scene.now;
        let found = loop {
            if scene.now > dark + 3e3 {
                break None;
            }
            if let Some(Change::WentOut(_)) = watch.see(&scene.frame(false)) {
                break Some(scene.now - dark);
            }
        };
        match found {
            Some(after) if after <= MOST => {
                tally.seen += 1;
                tally.longest = tally.longest.max(after);
            }
            Some(_) => tally.late += 1,
            None => {}
        }
    }
    tally
}

/// Hours with the lamp lit, an hour a lamp: a hand each 20 s or so, a cloud and a new exposure each minute or so.
pub fn hours_lit(hours: u32) -> Tally {
    let mut tally = Tally { hours: f64::from(hours), ..Tally::default() };
    for seed in 0..u64::from(hours) {
        let mut scene = Scene::new(seed);
        let mut watch = Watch::new(Values::shipped());
        let end = scene.now + 3.6e6;
        while scene.now < end {
            let frame_s = 1.0 / scene.rate;
            if scene.now > 5e3 && scene.chance.share() < frame_s / 20.0 {
                scene.hand();
            }
            if scene.chance.share() < frame_s / 60.0 {
                scene.cloud();
            }
            if scene.chance.share() < frame_s / 60.0 {
                scene.expose_anew();
            }
            if matches!(watch.see(&scene.frame(true)), Some(Change::WentOut(_))) {
                tally.false_alarms += 1;
            }
        }
    }
    tally
}

impl Tally {
    /// As a confusion table. Where nothing goes out there is no count of cases, only hours.
    pub fn print(openings: &Self, lit: &Self) {
        println!("the watch, on made-up series:");
        println!("                      alarm within 300 ms   later   none");
        let none = openings.openings - openings.seen - openings.late;
        println!("went out  {:>11} {:>20} {:>7} {none:>6}", openings.openings, openings.seen, openings.late);
        println!("stayed lit {:>8.1} h {:>20}", lit.hours + openings.hours, lit.false_alarms + openings.false_alarms);
        println!("longest from dark to alarm: {:.0} ms", openings.longest);
    }
}
