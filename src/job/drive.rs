//! What must the drive before the hand-over be, and what was it worth? See [`crate::search::silence`].

use crate::job::act::Often;
use crate::job::state::Job;
use crate::search::evidence::Observation;
use crate::search::plan::Plan;
use crate::search::said::chance;
use crate::search::silence::Silence;

/// Sure enough, and surer where that is reached without any drive.
const WANTED: [f64; 2] = [0.95, 0.99];

/// The drive of a job in which something was found.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Drive {
    /// How often the fuse opened. 0: not known.
    times: u32,
    /// In how many hours of use. 0: not known.
    hours: f64,
    /// The concern states the hours, and the times are of what was recorded: they do not belong together.
    apart: bool,
    silence: Silence,
}

impl Drive {
    /// `None` where nothing was found yet. What the concern states about how often it opened in how much use counts; where
    /// it does not state both, what was recorded of both does. The times of one source and the hours of the other are no
    /// rate, nor is either alone: a common one is taken then.
    pub fn of(job: &Job, plan: &Plan) -> Option<Self> {
        if job.findings.is_empty() {
            return None;
        }
        let found = plan.points.iter().filter(|point| job.findings.contains_key(&point.id));
        let found = found.map(|point| point.probability).sum();
        let (mut blows, mut held) = (0, 0.0);
        for (_, observation) in job.telling() {
            match observation {
                Observation::Blow { .. } => blows += 1,
                Observation::Held { minutes, .. } => held += minutes / 60.0,
                _ => {}
            }
        }
        let often = job.concern.often.unwrap_or_default();
        let both = |(times, hours): &(u32, f64)| *times > 0 && *hours > 0.0;
        let stated = often.hours_of_use();
        let recorded = Often { times: blows, hours: held }.hours_of_use();
        let rate = [(often.times, stated), (blows, recorded)].into_iter().find(both);
        let (counted, use_hours) = rate.unwrap_or_default();
        let silence = Silence::new(counted.into(), use_hours, found);
        let times = if rate.is_some() { counted } else { often.times.max(blows) };
        let apart = rate.is_none() && stated > 0.0;
        Some(Self { times, hours: use_hours, apart, silence })
    }

    /// What to drive, and why.
    pub fn asked(&self) -> String {
        let Self { times, hours, apart, silence } = self;
        let before = silence.sure_after(0.0);
        let known = match (times, *hours > 0.0) {
            (0, _) => "How often it opened is not recorded, so a common rate is taken".to_owned(),
            (_, false) if *apart => {
                "How often it opened, and in how much use, are not both known, so a common rate is taken".to_owned()
            }
            (times, true) => format!("It opened {times} × in {} of use", long(hours * 60.0)),
            (times, false) => {
                format!("It opened {times} ×; in how much use is not recorded, so a common rate is taken")
            }
        };
        let wanted = WANTED.into_iter().find(|wanted| before < *wanted);
        let aim = match wanted.and_then(|wanted| Some((wanted, silence.minutes_until(wanted)?))) {
            Some((wanted, minutes)) => format!(
                "{} in the same way without an opening make it {} sure that it was this place; {} before the drive",
                long(minutes),
                chance(wanted),
                chance(before)
            ),
            None if wanted.is_some() => "nothing recorded speaks for this place, so no drive proves it".to_owned(),
            None => format!("what was seen leaves it {} sure; drive as the maker and the shop ask", chance(before)),
        };
        format!("{known}. {}.", capital(&aim))
    }

    /// What so many minutes without an opening were worth.
    pub fn worth(&self, minutes: f64) -> String {
        let (before, after) = (self.silence.sure_after(0.0), self.silence.sure_after(minutes));
        format!(
            "It held for {}: {} sure that it was this place, {} before. A second place that opens the fuse more rarely \
             would not have shown.",
            long(minutes),
            chance(after),
            chance(before)
        )
    }
}

/// Minutes as a plan for the day: rounded up, never shorter than it must be.
fn long(minutes: f64) -> String {
    match minutes {
        minutes if minutes < 90.0 => format!("{:.0} min", minutes.ceil().max(1.0)),
        minutes if minutes < 600.0 => format!("{} h", (minutes / 6.0).ceil() / 10.0),
        minutes => format!("{:.0} h", (minutes / 60.0).ceil()),
    }
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}
