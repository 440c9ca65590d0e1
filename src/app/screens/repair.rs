//! Repair and release: what was done, and what must hold before the vehicle goes back.
//!
//! - `methods`: how such a place is repaired. `line`: a repair that was written down. `check`: an item of the release check.

mod check;
mod line;
mod methods;

use dioxus::prelude::*;

use self::check::check;
use self::line::line;
use self::methods::MethodList;
use crate::app::house::House;
use crate::app::parts::{Choice, Field, PhotoButton, PhotoStrip, Screen, Waiting};
use crate::app::route::Route;
use crate::ids::{JobId, LoadId, PointId};
use crate::job::drive::Drive;
use crate::job::event::{self, Act, ReleaseItem, Stage};
use crate::job::release::release;
use crate::job::session::Session;

/// Repairs and the release check.
#[component]
pub fn Repair(job: JobId) -> Element {
    let house = House::get();
    // Which of several findings is being repaired.
    let mut chosen = use_signal(|| None::<PointId>);
    let open = house.open.read();
    let Some(session) = open.of(job) else { return rsx! { Waiting { job } } };
    let repairs = session.job.repairs.clone();
    let places: Vec<(PointId, String)> = session
        .job
        .findings
        .keys()
        .map(|id| {
            let place = session.ready().and_then(|ready| ready.point(id));
            (id.clone(), place.map_or_else(|| id.to_string(), |place| place.title.clone()))
        })
        .collect();
    let found = |id: &PointId| places.iter().any(|(known, _)| known == id);
    let point = chosen().or_else(|| newest_finding(session)).filter(found).or(places.first().map(|(id, _)| id.clone()));
    let drive = session.ready().and_then(|ready| Drive::of(&session.job, &ready.plan));
    let items = release(&session.job, session.ready(), &mut session.log.events());
    let minutes = session.job.checked(ReleaseItem::RoadTest).minutes;
    let loads: Vec<(LoadId, String, Option<bool>)> = session
        .job
        .circuit
        .iter()
        .flat_map(|circuit| &circuit.loads)
        .map(|load| {
            let name = if load.label.is_empty() { load.id.to_string() } else { load.label.clone() };
            (load.id.clone(), name, session.job.worked(&load.id))
        })
        .collect();
    let photos =
        session.job.pictures().filter(|(_, photo)| photo.stage == Stage::Repaired).cloned().collect::<Vec<_>>();
    drop(open);
    let (done, of) = (items.iter().filter(|item| item.done).count(), items.len());
    let at = point.clone();
    let action = rsx! {
        Link { class: "key main", to: Route::HandOver { job }, "To the hand-over" }
    };
    rsx! {
        Screen { title: "Repair and release", back: Route::Walk { job }, job, action,
            section {
                h2 { "Repair" }
                p { class: "hint", "The maker's repair procedure comes first. What is written here is what was done or is recommended." }
                ul { class: "told",
                    for repair in repairs {
                        {line(house, &repair)}
                    }
                }
                if places.len() > 1 {
                    Choice {
                        name: "repaired-at",
                        legend: "At",
                        chosen: places.iter().position(|(id, _)| Some(id) == point.as_ref()),
                        answers: places.iter().map(|(_, title)| title.clone()).collect::<Vec<_>>(),
                        onchoose: {
                            let places = places.clone();
                            move |place: usize| chosen.set(places.get(place).map(|(id, _)| id.clone()))
                        },
                    }
                }
                MethodList { point: point.clone() }
                Field {
                    id: "repair",
                    label: "What was done or is recommended, in your words",
                    hint: "Method, sealing, edge protection, parts. Kept when you leave the field.",
                    long: true,
                    patient: true,
                    value: "",
                    onkeep: move |what: String| {
                        if !what.is_empty() {
                            let (point, materials) = (at.clone(), Vec::new());
                            house.act(Act::Repair { of: None, point, what, done: false, minutes: None, method: None, materials });
                        }
                    },
                }
                PhotoButton { point, stage: Stage::Repaired, label: "Photograph after the repair" }
                PhotoStrip { job, photos }
            }
            section {
                h2 { "Before it goes back" }
                p { class: "progress", "{done} of {of} done. What is not done is printed as not done." }
                ul { class: "checks",
                    for item in items {
                        {
                            let on_road = item.item == ReleaseItem::RoadTest;
                            let worked = if item.item == ReleaseItem::AllWorked { loads.clone() } else { Vec::new() };
                            check(house, item, drive.filter(|_| on_road), minutes.filter(|_| on_road), worked)
                        }
                    }
                }
            }
        }
    }
}

/// Where something was found last: that is what is repaired next, as a rule.
fn newest_finding(session: &Session) -> Option<PointId> {
    let counts = |event: &&event::Event| event.kind == "finding" && !session.job.taken_back.contains(&event.id);
    session.log.events().rev().find(counts)?.act().ok()?.point().cloned()
}
