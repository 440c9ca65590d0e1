//! What did one tap do? It comes back together: half of it alone would say what nobody said.

use chrono::TimeDelta;

use crate::ids::EventId;
use crate::job::event::{Act, Event};
use crate::job::session::Session;

/// Within so many seconds is what one tap did, s.
const ONE_TAP: i64 = 1;

/// The newest act that counts, with what the same tap did: all places that it put out of reach, all options that it struck out
/// as a group, and the silence that it ended on a drive.
pub fn at_one_tap(session: &Session, last: EventId, act: &Act) -> Vec<EventId> {
    let counts = |event: &&Event| !session.job.taken_back.contains(&event.id) && event.kind != "taken_back";
    let back = session.log.events().rev().filter(counts);
    match act {
        Act::CannotReach { why, .. } | Act::Option { why, .. } if !why.is_empty() => {
            let same = |event: &&Event| {
                event.kind == act.kind()
                    && matches!(event.act(), Ok(Act::CannotReach { why: told, .. } | Act::Option { why: told, .. }) if told == *why)
            };
            back.take_while(same).map(|event| event.id).collect()
        }
        Act::Blow { .. } | Act::RoadEnded {} => {
            let mut back = back.skip_while(|event| event.id != last);
            let Some(newest) = back.next() else { return vec![last] };
            let silence = back.take_while(|before| {
                before.kind == "held"
                    && before.device_id == newest.device_id
                    && (newest.at - before.at).abs() < TimeDelta::seconds(ONE_TAP)
            });
            [last].into_iter().chain(silence.map(|before| before.id)).collect()
        }
        // A photograph that was brought back with what was drawn on it.
        Act::Drawn { photo, .. } => {
            let at = |id: EventId| session.log.get(id).map(|event| (event.at, event.device_id));
            let (Some((drawn, by)), Some((kept, whose))) = (at(last), at(*photo)) else { return vec![last] };
            let stands = !session.job.taken_back.contains(photo);
            let together = stands && by == whose && (drawn - kept).abs() < TimeDelta::seconds(ONE_TAP);
            [last].into_iter().chain(together.then_some(*photo)).collect()
        }
        _ => vec![last],
    }
}
