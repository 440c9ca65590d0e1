//! What of a whole does an act change? So that two people who write about one thing at the same time both keep their words.
//!
//! Some acts say all that there is about one thing: the concern, a finding, an item of the release check, a repair. Who
//! changes one of its fields writes down all of them, as they stood on that phone, and beside them in `only` the names of
//! those that changed. The fold takes those and leaves the others as they are by then: another phone may have changed them
//! meanwhile, and neither knew of the other. Where nothing is known of the thing yet, all fields count.

use std::borrow::Cow;

use serde_json::{Map, Value};

use crate::job::event::Event;
use crate::job::state::Job;

/// The field with the names of those that changed.
const ONLY: &str = "only";
/// The field that says of which repair these are other words: a part of the name, and of no whole.
const OF: &str = "of";

/// What the event says all about. `None`: it is no such act.
fn whole(event: &Event) -> Option<String> {
    let of = |field: &str| event.body.get(field).and_then(Value::as_str);
    let which = match event.kind.as_str() {
        "concern" => String::new(),
        "finding" => of("point")?.to_owned(),
        "release" => of("item")?.to_owned(),
        "repair" => of(OF).map_or_else(|| event.id.to_string(), str::to_owned),
        _ => return None,
    };
    Some(format!("{} {which}", event.kind))
}

/// The event with the names of the fields that it changes of what the job has. Unchanged where the job has nothing of it.
pub fn changing(job: &Job, mut event: Event) -> Event {
    let known = whole(&event).and_then(|whole| job.wholes.get(&whole)?.as_object());
    if let (Some(known), Value::Object(fields)) = (known, &mut event.body) {
        let names = known.keys().chain(fields.keys().filter(|name| !known.contains_key(*name)));
        let changed = names.filter(|name| *name != OF && known.get(*name) != fields.get(*name));
        let changed: Vec<Value> = changed.map(|name| Value::from(name.as_str())).collect();
        fields.insert(ONLY.to_owned(), Value::Array(changed));
    }
    event
}

/// The event as it counts by now: what it does not change is as it was before it.
pub(super) fn over<'e>(wholes: &Map<String, Value>, event: &'e Event) -> Cow<'e, Event> {
    let fields = event.body.as_object();
    let only = fields.and_then(|fields| fields.get(ONLY)?.as_array());
    let known = whole(event).and_then(|whole| wholes.get(&whole)?.as_object());
    let (Some(fields), Some(only), Some(known)) = (fields, only, known) else { return Cow::Borrowed(event) };
    let mut now = known.clone();
    for name in only.iter().filter_map(Value::as_str).chain([OF]) {
        match fields.get(name) {
            Some(value) => drop(now.insert(name.to_owned(), value.clone())),
            None => drop(now.remove(name)),
        }
    }
    Cow::Owned(Event { body: Value::Object(now), ..event.clone() })
}

/// Takes down what an event that counts came to.
pub(super) fn remember(wholes: &mut Map<String, Value>, event: &Event) {
    if let (Some(whole), Value::Object(fields)) = (whole(event), &event.body) {
        let mut fields = fields.clone();
        fields.remove(ONLY);
        fields.remove(OF);
        wholes.insert(whole, Value::Object(fields));
    }
}
