//! All places, zone by zone: what was seen, what is to come, and any of them first.

use dioxus::prelude::*;

use crate::app::house::House;
use crate::app::parts::{Chance, CourseChart, Marks, Screen, SeenLine, Waiting};
use crate::app::route::Route;
use crate::app::words;
use crate::ids::{JobId, PointId, ZoneId};
use crate::job::event::Act;
use crate::job::marking::Spot;
use crate::job::session::{Ready, Session};
use crate::search::evidence::Seen;

/// A zone with its points.
#[derive(Debug, Clone, PartialEq)]
struct Group {
    id: String,
    label: String,
    chance: f64,
    looked: usize,
    places: Vec<Place>,
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

fn groups(session: &Session, ready: &Ready) -> Vec<Group> {
    let mut groups: Vec<Group> = Vec::new();
    for (point, chance) in ready.search.points().iter().zip(&ready.plan.points) {
        let state = session.job.points.get(&point.id);
        let place = Place {
            id: point.id.clone(),
            title: point.title.clone(),
            chance: chance.probability,
            seen: state.and_then(|state| state.seen()),
            out_of_reach: state.is_some_and(|state| state.out_of_reach.is_some()),
            photos: session.job.pictures_at(&point.id).count(),
        };
        let same = groups.iter().position(|group| group.id == point.zone.0);
        let index = same.unwrap_or_else(|| {
            let label = ready.map.map.zone(&point.zone).map_or(point.zone.0.clone(), |zone| zone.label.clone());
            groups.push(Group { id: point.zone.0.clone(), label, chance: 0.0, looked: 0, places: Vec::new() });
            groups.len() - 1
        });
        let group = &mut groups[index];
        group.chance += place.chance;
        group.looked += usize::from(place.seen.is_some());
        group.places.push(place);
    }
    groups
}

/// Every point of this job.
#[component]
pub fn List(job: JobId) -> Element {
    let house = House::get();
    let open = house.open.read();
    let Some(session) = open.of(job) else { return rsx! { Waiting { job } } };
    let groups = session.ready().map(|ready| groups(session, ready)).unwrap_or_default();
    let not_listed = session.ready().map_or(0.0, |ready| ready.plan.not_listed);
    let next = session.next().and_then(|step| step.zone.clone());
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
                details { class: "group", key: "{group.id}", open: here.as_ref().is_some_and(|zone| zone.0 == group.id),
                    summary {
                        span { class: "group-name", "{group.label}" }
                        span { class: "hint", "{group.looked} of {group.places.len()}" }
                        Chance { chance: group.chance }
                    }
                    ul { class: "lines",
                        for place in group.places {
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
                    Marks { legend: "Mark all of this: {group.label}", spot: Spot::Zone(ZoneId(group.id.clone())) }
                }
            }
            CourseChart { job }
            p { "Somewhere that is not on this list: {words::chance(not_listed)}." }
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
