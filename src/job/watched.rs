//! At which press did the telltale go out? The taps of one phone beside what a phone in the cabin saw.
//!
//! The clocks of two phones differ, and a tap follows its press: a telltale that went out within a stated time of a tap is
//! told with the nearest one, and how far off that may be is told with it.

use std::collections::BTreeMap;

use chrono::{DateTime, Utc};
use serde_json::Value;

use crate::ids::{DeviceId, PointId};
use crate::job::act::Act;
use crate::job::event::Event;
use crate::job::state::Job;

/// A telltale that went out beside a press.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct OutAt {
    /// Which press at this place, counted from 1.
    pub press: u32,
    /// How long after that press was tapped it was seen dark, ms; below 0: before.
    pub after_ms: i64,
    /// By how much the clocks may differ, ms; 0 where one phone did both.
    pub clocks_ms: i64,
}

/// Within which times they belong together, ms.
struct Window {
    before: i64,
    after: i64,
    clocks: i64,
}

impl Window {
    fn shipped() -> Self {
        // Built in: it is read in the tests, and cannot change after.
        let all: Value =
            serde_json::from_str(include_str!(concat!(env!("OUT_DIR"), "/values/clocks.json"))).unwrap_or_default();
        let of = |name: &str| all.get(name).and_then(Value::as_i64).unwrap_or_default();
        Self { before: of("tap_after_press_ms"), after: of("out_after_tap_ms"), clocks: of("clocks_apart_ms") }
    }
}

/// A press or a telltale that went out, of those events that count.
enum Seen {
    Out { at: DateTime<Utc>, by: DeviceId },
    Tap { at: DateTime<Utc>, by: DeviceId, point: PointId, press: u32 },
}

/// Each time that the telltale went out beside a press at a point, in order of the log's events. Presses elsewhere count
/// too: where one of them is nearer, it was not this place.
pub fn out_at(events: &mut dyn Iterator<Item = &Event>, job: &Job, point: &PointId) -> Vec<OutAt> {
    outs(events, job).into_iter().filter(|(at, _)| at == point).map(|(_, out)| out).collect()
}

/// The same for all points at once, each with its point.
pub fn outs(events: &mut dyn Iterator<Item = &Event>, job: &Job) -> Vec<(PointId, OutAt)> {
    let window = Window::shipped();
    let mut pressed: BTreeMap<PointId, u32> = BTreeMap::new();
    let mut seen = Vec::new();
    for event in events.filter(|event| matches!(&*event.kind, "press" | "telltale")) {
        let by = event.device_id;
        match event.act() {
            _ if job.taken_back.contains(&event.id) => {}
            Ok(Act::Telltale { lit: false, seen_at }) => seen.push(Seen::Out { at: seen_at, by }),
            Ok(Act::Press { point, presses, .. }) => {
                let press = pressed.entry(point.clone()).or_default();
                *press = press.saturating_add(presses);
                seen.push(Seen::Tap { at: event.at, by, press: *press, point });
            }
            _ => {}
        }
    }
    let mut found = Vec::new();
    for out in &seen {
        let Seen::Out { at: out_at, by: watcher } = out else { continue };
        let mut nearest = i64::MAX;
        let mut there = None;
        for tap in &seen {
            let Seen::Tap { at, by, point, press } = tap else { continue };
            let after_ms = (*out_at - *at).num_milliseconds();
            let clocks_ms = if by == watcher { 0 } else { window.clocks };
            let fits = (-window.before - clocks_ms..=window.after + clocks_ms).contains(&after_ms);
            if fits && after_ms.abs() < nearest {
                nearest = after_ms.abs();
                there = Some((point, OutAt { press: *press, after_ms, clocks_ms }));
            }
        }
        found.extend(there.map(|(point, out)| (point.clone(), out)));
    }
    found
}

impl OutAt {
    /// In a sentence.
    pub fn words(&self) -> String {
        let tenths = (self.after_ms.abs() + 50) / 100;
        let side = if self.after_ms < 0 { "before" } else { "after" };
        let mut text = format!(
            "The telltale went out {}.{} s {side} the tap for press {} here",
            tenths / 10,
            tenths % 10,
            self.press
        );
        if self.clocks_ms > 0 {
            text += &format!("; seen by another phone, whose clock may be {} s off", self.clocks_ms / 1000);
        }
        text += ".";
        text
    }
}
