//! Repair and release: what was done, and what must hold before the vehicle goes back.

use dioxus::prelude::*;

use crate::app::house::House;
use crate::app::parts::{Choice, Field, PhotoButton, PhotoStrip, Screen, Waiting};
use crate::app::route::Route;
use crate::app::words;
use crate::circuit::meter::draw;
use crate::ids::{Condition, JobId, PointId};
use crate::job::drive::Drive;
use crate::job::event::{Act, ReleaseItem, Stage};
use crate::job::session::Session;
use crate::job::state::{Checked, Repair as Made};

/// Repairs and the release check.
#[component]
pub fn Repair(job: JobId) -> Element {
    let house = House::get();
    // Which of several findings is being repaired.
    let mut chosen = use_signal(|| 0usize);
    let open = house.open.read();
    let Some(session) = open.of(job) else { return rsx! { Waiting { job } } };
    let repairs = session.job.repairs.clone();
    let release = session.job.release.clone();
    let places: Vec<(PointId, String)> = session
        .job
        .findings
        .keys()
        .map(|id| {
            let place = session.ready().and_then(|ready| ready.point(id));
            (id.clone(), place.map_or_else(|| id.to_string(), |place| place.title.clone()))
        })
        .collect();
    let point = places.get(chosen()).or(places.first()).map(|(id, _)| id.clone());
    let predicted = predicted(session);
    let drive = session.ready().and_then(|ready| Drive::of(&session.job, &ready.plan));
    let photos =
        session.job.pictures().filter(|(_, photo)| photo.stage == Stage::Repaired).cloned().collect::<Vec<_>>();
    drop(open);
    let done =
        words::RELEASE.iter().filter(|(item, _, _)| release.get(item).is_some_and(|checked| checked.done)).count();
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
                        RepairLine { key: "{repair.event}", repair }
                    }
                }
                if places.len() > 1 {
                    Choice {
                        name: "repaired-at",
                        legend: "At",
                        chosen: places.iter().position(|(id, _)| Some(id) == point.as_ref()),
                        answers: places.iter().map(|(_, title)| title.clone()).collect::<Vec<_>>(),
                        onchoose: move |place| chosen.set(place),
                    }
                }
                Field {
                    id: "repair",
                    label: "What was done or is recommended",
                    hint: "Method, sealing, edge protection, parts. Kept when you leave the field.",
                    long: true,
                    patient: true,
                    value: "",
                    onkeep: move |what: String| {
                        if !what.is_empty() {
                            house.act(Act::Repair { point: at.clone(), what, done: false, minutes: None });
                        }
                    },
                }
                PhotoButton { point, stage: Stage::Repaired, label: "Photograph after the repair" }
                PhotoStrip { job, photos }
            }
            section {
                h2 { "Before it goes back" }
                p { class: "progress", "{done} of {words::RELEASE.len()} done. What is not done is printed as not done." }
                ul { class: "checks",
                    for (item, label, hint) in words::RELEASE {
                        Check {
                            key: "{label}",
                            item,
                            label,
                            hint: match (&predicted, item) {
                                (Some(predicted), ReleaseItem::DrawMeasured) => format!("{hint}; {predicted}"),
                                _ => hint.to_owned(),
                            },
                            drive: drive.filter(|_| item == ReleaseItem::RoadTest),
                            checked: release.get(&item).cloned(),
                        }
                    }
                }
            }
        }
    }
}

/// A repair in the list.
#[component]
fn RepairLine(repair: Made) -> Element {
    let house = House::get();
    let event = repair.event;
    let finished = repair.clone();
    rsx! {
        li {
            span {
                "{repair.what} "
                em { if repair.done { "Done." } else { "Recommended." } }
            }
            if !repair.done {
                button {
                    class: "plain",
                    onclick: move |_| {
                        let Made { point, what, minutes, .. } = finished.clone();
                        house.change(|_| vec![Act::TakenBack { event }, Act::Repair { point, what, done: true, minutes }]);
                    },
                    "It is done"
                }
            }
            button { class: "plain", onclick: move |_| house.act(Act::TakenBack { event }), "Take back" }
        }
    }
}

/// What the fuse should carry with everything on, to hold the measured draw against. `None`: it cannot be computed.
fn predicted(session: &Session) -> Option<String> {
    let harness = &session.ready()?.harness;
    let everything: Vec<Condition> = harness.conditions().into_iter().collect();
    let draw = draw(harness, &everything).ok()?.fuse_a;
    Some(format!("computed {:.1} A, {:.1} to {:.1}", draw.value, draw.least, draw.most))
}

/// One item of the release check.
#[component]
fn Check(item: ReleaseItem, label: String, hint: String, drive: Option<Drive>, checked: Option<Checked>) -> Element {
    let house = House::get();
    let Checked { done, value, minutes } = checked.unwrap_or_default();
    // One half of it, the other as it is by then.
    let keep = move |change: &dyn Fn(&mut Checked)| {
        house.change(|job| {
            let mut checked = job.release.get(&item).cloned().unwrap_or_default();
            change(&mut checked);
            vec![Act::Release { item, done: checked.done, value: checked.value, minutes: checked.minutes }]
        });
    };
    rsx! {
        li { class: "check",
            label { class: "choice-key",
                input {
                    r#type: "checkbox",
                    checked: done,
                    onchange: move |event| keep(&|kept| kept.done = event.checked()),
                }
                span { "{label}" }
            }
            Field {
                id: "value-{item:?}",
                label: "What was read: {hint}",
                value,
                onkeep: move |read: String| keep(&|kept| kept.value.clone_from(&read)),
            }
            if item == ReleaseItem::RoadTest {
                Field {
                    id: "drive-minutes",
                    label: "Minutes driven in which it held",
                    hint: drive.map(|drive| drive.asked()).unwrap_or_default(),
                    keyboard: "decimal",
                    value: minutes.map(|minutes| minutes.to_string()).unwrap_or_default(),
                    onkeep: move |read: String| {
                        if let Some(minutes) = words::figure_or_none(house, &read) {
                            keep(&|kept| kept.minutes = minutes);
                        }
                    },
                }
            }
            if let (Some(drive), Some(minutes)) = (drive, minutes) {
                p { id: "drive-worth", role: "status", {drive.worth(minutes)} }
            }
        }
    }
}
