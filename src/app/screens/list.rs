//! All places, zone by zone: what was seen, what is to come, and any of them first.

use dioxus::prelude::*;

use crate::app::house::House;
use crate::app::parts::{Chance, CourseChart, Marks, Screen, SeenLine, Unfold, Waiting};
use crate::app::route::Route;
use crate::app::words;
use crate::ids::{JobId, PointId, ZoneId};
use crate::job::event::Act;
use crate::job::marking::Spot;
use crate::job::session::{Ready, Session};
use crate::search::evidence::Seen;
use crate::search::plan::PointChance;
use crate::search::point::Point;

/// A zone, as it stands folded.
#[derive(Debug, Clone, PartialEq)]
struct Group {
    zone: ZoneId,
    label: String,
    chance: f64,
    looked: usize,
    places: usize,
}

fn groups(session: &Session, ready: &Ready) -> Vec<Group> {
    let mut groups: Vec<Group> = Vec::new();
    for (point, chance) in ready.search.points().iter().zip(&ready.plan.points) {
        let same = groups.iter().position(|group| group.zone == point.zone);
        let index = same.unwrap_or_else(|| {
            let zone = point.zone.clone();
            let label = ready.map.map.zone(&zone).map_or(zone.0.clone(), |zone| zone.label.clone());
            groups.push(Group { zone, label, chance: 0.0, looked: 0, places: 0 });
            groups.len() - 1
        });
        let group = &mut groups[index];
        group.chance += chance.probability;
        group.looked += usize::from(session.job.points.get(&point.id).is_some_and(|state| state.seen().is_some()));
        group.places += 1;
    }
    groups
}

/// A point in the list.
#[derive(Debug, Clone, PartialEq)]
struct Place {
    id: PointId,
    title: String,
    chance: f64,
    seen: Option<Seen>,
    out_of_reach: bool,
    photos: usize,
}

fn places(session: &Session, ready: &Ready, zone: &ZoneId) -> Vec<Place> {
    let points = ready.search.points().iter().zip(&ready.plan.points).filter(|(point, _)| point.zone == *zone);
    let place = |(point, chance): (&Point, &PointChance)| {
        let state = session.job.points.get(&point.id);
        Place {
            id: point.id.clone(),
            title: point.title.clone(),
            chance: chance.probability,
            seen: state.and_then(|state| state.seen()),
            out_of_reach: state.is_some_and(|state| state.out_of_reach.is_some()),
            photos: session.job.pictures_at(&point.id).count(),
        }
    };
    points.map(place).collect()
}

/// Every point of this job.
#[component]
pub fn List(job: JobId) -> Element {
    let house = House::get();
    let open = house.open.read();
    let Some(session) = open.of(job) else { return rsx! { Waiting { job } } };
    let groups = session.ready().map(|ready| groups(session, ready)).unwrap_or_default();
    let not_listed = session.ready().map_or(0.0, |ready| ready.plan.not_listed);
    // What must be opened first lies in no zone.
    let next = session.ready().and_then(|ready| ready.plan.steps.iter().find_map(|step| step.zone.clone()));
    drop(open);
    // What is unfolded stays so, whatever the plan turns to meanwhile.
    let here = use_hook(|| next);
    let action = rsx! {
        Link { class: "key main", to: Route::Walk { job }, "Back to the walk" }
    };
    rsx! {
        Screen { title: "All places", back: Route::Walk { job }, job, action,
            p { class: "hint", "Tap a place to look at it, or put it first and let the walk lead there with what must be opened." }
            for group in groups {
                Unfold {
                    key: "{group.zone}",
                    id: "zone-{group.zone}",
                    class: "group",
                    open: here.as_ref() == Some(&group.zone),
                    summary: rsx! {
                        span { class: "group-name", "{group.label}" }
                        span { class: "hint", "{group.looked} of {group.places}" }
                        Chance { chance: group.chance }
                    },
                    Places { job, zone: group.zone.clone() }
                    Marks { legend: "Mark all of this: {group.label}", spot: Spot::Zone(group.zone) }
                }
            }
            CourseChart { job }
            p { "Somewhere that is not on this list: {words::chance(not_listed)}." }
        }
    }
}

#[component]
fn Places(job: JobId, zone: ZoneId) -> Element {
    let house = House::get();
    let open = house.open.read();
    let ready = open.of(job).and_then(|session| Some((session, session.ready()?)));
    let places = ready.map_or_else(Vec::new, |(session, ready)| places(session, ready, &zone));
    drop(open);
    rsx! {
        ul { class: "lines",
            for place in places {
                li { key: "{place.id}", class: "place",
                    Link { class: "line", to: Route::Point { job, point: place.id.0.clone() },
                        span { "{place.title}" }
                        span { class: "seen-word",
                            SeenLine { seen: place.seen }
                            match place.seen {
                                Some(seen) => words::seen(seen),
                                None if place.out_of_reach => "out of reach",
                                None => "not yet",
                            }
                            if place.photos > 0 {
                                " · {words::count(place.photos, \"photograph\", \"photographs\")}"
                            }
                        }
                        Chance { chance: place.chance }
                    }
                    if place.seen.is_none() {
                        First { job, point: place.id.clone(), title: place.title.clone() }
                    }
                }
            }
        }
    }
}

/// A key that puts a place first.
#[component]
fn First(job: JobId, point: PointId, title: String) -> Element {
    let house = House::get();
    let navigator = use_navigator();
    rsx! {
        button {
            class: "plain",
            "aria-label": "Do this first: {title}",
            onclick: move |_| {
                house.act(Act::DoFirst { point: point.clone() });
                navigator.push(Route::Walk { job });
            },
            "Do this first"
        }
    }
}
