//! Does any log bring down the job that it makes: its plan, and the pages that leave the house?

use std::sync::LazyLock;

use loomwalk::bundle::file::{self, Bundle};
use loomwalk::ids::{BundleId, DeviceId, JobId};
use loomwalk::job::log::Log;
use loomwalk::job::session::Session;
use loomwalk::job::{Event, Job};
use loomwalk::report::{self, Kind, Wish, estimate_of, prices};

use super::only_numbers;

static PRICES: LazyLock<prices::Prices> =
    LazyLock::new(|| prices::read(include_bytes!("../../../assets/demo/prices.json")).expect("they are sound"));

/// Whether it was read: a list of events.
pub fn read(bytes: &[u8]) -> bool {
    let Ok(events) = serde_json::from_slice::<Vec<Event>>(bytes) else { return false };
    let Ok(log) = Log::of(events.clone()) else { return false };
    let Some(last) = events.last() else { return false };
    // Of the input alone: ids of a job and a bundle are spelt as those of events.
    let id: JobId = last.id.to_string().parse().expect("it is an id");
    job(id, &log, &events);
    let bundle_id: BundleId = last.id.to_string().parse().expect("it is an id");
    pages(id, &log, bundle_id, last.device_id);
    true
}

/// The job is the same however its events come in: all at once, one by one, in two halves.
fn job(id: JobId, log: &Log, events: &[Event]) {
    let folded = Job::fold(id, log);
    let (mut grown, mut so_far) = (Job::fold(id, &Log::default()), Log::default());
    for event in events {
        if so_far.union([event.clone()]).is_ok_and(|fresh| !fresh.is_empty()) {
            grown.advance(&so_far, &[event.id]);
        }
    }
    assert_eq!(grown, folded, "one by one");
    let mut session = Session::open(id, Log::default());
    let (early, late) = events.split_at(events.len() / 2);
    for part in [late, early, late] {
        session.take(part.to_vec()).expect("the log took them all");
    }
    assert_eq!(session.job, folded, "in halves, the last first");
    let whole = Session::open(id, log.clone());
    match (session.ready(), whole.ready()) {
        (Some(one), Some(other)) => {
            assert_eq!(one.plan, other.plan);
            only_numbers(&other.plan);
            assert!(whole.progress().minutes_left.is_finite());
        }
        (None, None) => {}
        _ => panic!("one of two equal jobs has no plan"),
    }
}

/// Both pages, with an estimate, which is in numbers.
fn pages(id: JobId, log: &Log, bundle_id: BundleId, device_id: DeviceId) {
    let job = Job::fold(id, log);
    let made_at = job.changed_at.unwrap_or_default();
    let bundle = &file::make(&job, log.events(), bundle_id, device_id, made_at);
    only_numbers(&estimate_of(bundle, &PRICES));
    for kind in [Kind::File, Kind::Customer] {
        let wish = Wish { kind, prices: Some(&PRICES), ..Wish::default() };
        let page = report::html_for(bundle, &|_| None, &wish);
        assert!(page.starts_with("<!DOCTYPE html>") && page.trim_end().ends_with("</html>"));
        for odd in ["NaN", "inf ", "-inf"] {
            assert!(!page.contains(odd) || mentions(bundle, odd), "{odd} on the page");
        }
    }
}

/// Whether what is on the page may be someone's own words.
fn mentions(bundle: &Bundle, words: &str) -> bool {
    serde_json::to_string(bundle).is_ok_and(|text| text.contains(words.trim()))
}
