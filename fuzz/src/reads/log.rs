//! Does any log bring down what reads it, or depend on the order in which it came?

use loomwalk::bundle::digest::log_digest;
use loomwalk::job::event::ActError;
use loomwalk::job::log::Log;
use loomwalk::job::{Act, Event};

use super::{is_pointer, only_numbers, told};

/// Whether it was read: a list of events, as the store, the desk and bundles hold them.
pub fn read(bytes: &[u8]) -> bool {
    let Ok(events) = serde_json::from_slice::<Vec<Event>>(bytes) else { return false };
    only_numbers(&events);
    events.iter().for_each(act);
    let log = match Log::of(events.clone()) {
        Ok(log) => log,
        Err(error) => {
            told(error);
            return false;
        }
    };
    let ids: Vec<_> = log.events().map(|event| event.id).collect();
    assert!(ids.is_sorted() && ids.len() == log.len());
    assert_eq!(Log::of(events.iter().rev().cloned()).as_ref(), Ok(&log), "order of arrival");
    let mut twice = log.clone();
    assert_eq!(twice.union(events.clone()), Ok(Vec::new()), "nothing new in what is here");
    assert_eq!(twice, log);
    assert_eq!(log_digest(&events), log_digest(log.events()), "the digest is of the set");
    true
}

/// What an event says is the same whichever reader tells it, and is the same once written.
fn act(event: &Event) {
    match (event.act(), event.act_or_where()) {
        (Ok(act), Ok(same)) => {
            assert_eq!(act, same);
            assert_eq!(act.kind(), event.kind);
            only_numbers::<Act>(&act);
            let written = Event::new(event.id, event.at, event.device_id, &act);
            assert_eq!(written.act().as_ref(), Ok(&act));
        }
        (Err(ActError::FromNewer { .. }), Err(error @ ActError::FromNewer { .. })) => {
            assert!(!Act::KINDS.contains(&event.kind.as_str()));
            told(error);
        }
        (Err(ActError::Malformed { .. }), Err(ActError::Malformed { path, why, .. })) => {
            assert!(is_pointer(&path), "{path}");
            told(why);
        }
        (one, other) => panic!("two readers, two answers: {one:?}, {other:?}"),
    }
}
