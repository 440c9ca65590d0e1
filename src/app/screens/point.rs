//! One point: look, lie photo, press, lift, each one tap, in that order.

use dioxus::prelude::*;

use crate::app::house::House;
use crate::app::parts::{
    BringBack, Chance, Field, Marks, PhotoButton, PhotoStrip, Recordings, Screen, SeenLine, ShootKey, TakeBack, Voice,
    Waiting, last_act,
};
use crate::app::route::Route;
use crate::app::words;
use crate::ids::{Condition, EventId, JobId, PointId};
use crate::job::bring_back::{TakenBack, taken_back_at};
use crate::job::event::{Act, Photo, Stage};
use crate::job::held::Held;
use crate::job::marking::Spot;
use crate::job::session::Session;
use crate::job::state::PointState;
use crate::search::evidence::{Observation, Seen};
use crate::search::mind::cautions_at;
use crate::search::plan::StepKind;
use crate::search::point::Point as Place;
use crate::search::short;

/// What the screen shows, taken from the session in one go.
#[derive(Debug, Clone, PartialEq)]
struct View {
    place: Place,
    zone: String,
    chance: f64,
    why: Vec<String>,
    state: PointState,
    photos: Vec<(EventId, Photo)>,
    spoken: Vec<(EventId, Photo)>,
    taken_back: Vec<(EventId, TakenBack)>,
    /// Where the plan goes after this place.
    next: Option<(String, Option<String>)>,
    last: Option<(Vec<EventId>, String)>,
    /// Nobody may press here.
    no_press: Option<&'static str>,
    /// What the loads that are plugged in here ask to be minded.
    minds: Vec<&'static str>,
}

impl View {
    fn of(session: &Session, held: Option<&Held>, id: &PointId) -> Option<Self> {
        let ready = session.ready()?;
        let place = ready.point(id)?.clone();
        let step = ready.plan.steps.iter().find(|step| step.id == id.0);
        let plan = session.plan_held(held, crate::device::now())?;
        let next = plan.steps.iter().find(|step| step.id != id.0);
        Some(Self {
            zone: ready.map.map.zone(&place.zone).map_or(place.zone.0.clone(), |zone| zone.label.clone()),
            chance: ready.chance(id),
            why: step.map(|step| step.why.clone()).unwrap_or_default(),
            state: session.job.points.get(id).cloned().unwrap_or_default(),
            photos: session.job.pictures_at(id).cloned().collect(),
            spoken: session.job.recordings().filter(|(_, kept)| kept.point.as_ref() == Some(id)).cloned().collect(),
            taken_back: taken_back_at(&session.job, &session.log, id),
            next: next.map(|step| (step.title.clone(), (step.kind == StepKind::Look).then(|| step.id.clone()))),
            last: last_act(session),
            no_press: ready.why_no_press(&place),
            minds: cautions_at(&ready.file, &ready.harness, &place),
            place,
        })
    }
}

/// Look, press, lift.
#[component]
pub fn Point(job: JobId, point: String) -> Element {
    // A list of one: going on to another place makes the screen anew, so that nothing half-typed goes along.
    rsx! {
        for id in [PointId(point)] {
            AtPoint { key: "{id}", job, id }
        }
    }
}

#[component]
fn AtPoint(job: JobId, id: PointId) -> Element {
    let house = House::get();
    let _awake = use_hook(crate::device::keep_awake);
    let open = house.open.read();
    let Some(session) = open.of(job) else { return rsx! { Waiting { job } } };
    let Some(view) = View::of(session, house.held.read().as_ref(), &id) else {
        return rsx! { NoPlace { job } };
    };
    drop(open);
    let reach = id.clone();
    let seen = view.state.seen();
    let damaged = matches!(seen, Some(Seen::Bare | Seen::Severed | Seen::Thinned)) || view.state.opened;
    // The lie photo is the main action until something was seen; then it stays within the page.
    let lie_first = seen.is_none() && !view.state.lie_photo;
    let action = if damaged {
        rsx! {
            Link { class: "key main", id: "to-finding", to: Route::Finding { job, point: id.0.clone() }, "This is the place" }
            Link { class: "key", id: "next-place", to: Route::Walk { job }, "Go on" }
        }
    } else {
        let label = match (&seen, &view.next) {
            (Some(_), Some((title, _))) => format!("Next: {title}"),
            (Some(_), None) => "To the walk".to_owned(),
            (None, _) => "Back to the walk".to_owned(),
        };
        let to = match (&seen, &view.next) {
            (Some(_), Some((_, Some(point)))) => Route::Point { job, point: point.clone() },
            _ => Route::Walk { job },
        };
        rsx! {
            if lie_first {
                PhotoButton { point: id.clone(), stage: Stage::Lie, label: "Photograph as it lies", main: true }
            }
            Link { class: if seen.is_some() { "key main" } else { "key" }, id: "next-place", to, "{label}" }
        }
    };
    rsx! {
        Screen { title: view.place.title.clone(), back: Route::Walk { job }, job, action,
            p { class: "eyebrow", "{view.zone}" }
            Chance { chance: view.chance }
            if view.state.out_of_reach.is_some() {
                div { class: "note",
                    p { "Marked as out of reach. A look, a press or this takes it back onto the walk:" }
                    button { class: "key", id: "reach", onclick: move |_| house.act(Act::DoFirst { point: reach.clone() }), "I can get there now" }
                }
            }
            if let Some(caution) = &view.place.caution {
                p { class: "caution", "{caution}" }
            }
            for caution in view.minds.iter() {
                p { key: "{caution}", class: "caution", "{caution}" }
            }
            ShortHere { job, id: id.clone() }
            {differ(house, job, &id)}
            LookPart { id: id.clone(), view: view.clone() }
            section { class: "act",
                Marks { legend: "Mark this place", spot: Spot::Point(id.clone()) }
            }
            section { class: "act",
                h2 { "As it lies" }
                p { class: "hint", "Before anything is touched. Once it was moved, the chance to see it again is gone." }
                if view.state.lie_photo {
                    p { "Photographed." }
                }
                if !lie_first {
                    PhotoButton { point: id.clone(), stage: Stage::Lie, label: "Photograph as it lies" }
                }
            }
            PressPart { job, id: id.clone(), state: view.state.clone(), no_press: view.no_press }
            LiftPart { id: id.clone(), state: view.state.clone() }
            PhotoStrip { job, photos: view.photos.clone() }
            Notes { id: id.clone(), notes: view.state.notes.clone(), spoken: view.spoken.clone() }
            BringBack { job, taken_back: view.taken_back.clone() }
            TakeBack { last: view.last.clone() }
        }
    }
}

/// What stands where a place was that the circuit no longer has.
#[component]
pub fn NoPlace(job: JobId) -> Element {
    let house = House::get();
    let last = house.open.read().of(job).and_then(last_act);
    rsx! {
        Screen { title: "This place is not on the list", back: Route::List { job }, job,
            action: rsx! { Link { class: "key main", to: Route::Walk { job }, "To the walk" } },
            p { "The circuit was changed since. What was kept here is still in the job and in its report." }
            TakeBack { last }
        }
    }
}

/// What a short here would do, with what was on when it opened last. Asked once: it does not change while one is here.
#[component]
fn ShortHere(job: JobId, id: PointId) -> Element {
    let house = House::get();
    let words = use_hook(|| {
        let open = house.open.peek();
        let session = open.of(job)?;
        let ready = session.ready()?;
        let state = session.job.observations.iter().rev().find_map(|(_, observation)| match observation {
            Observation::Press { state, .. } | Observation::Blow { state, .. } => Some(state.clone()),
            _ => None,
        });
        let state = state.unwrap_or_else(|| vec![Condition::from("key_on")]);
        short::at_point(&ready.harness, &ready.file.fuse, ready.point(&id)?, &state)
    });
    rsx! {
        if let Some(words) = words {
            p { class: "hint", "{words}" }
        }
    }
}

/// Where two devices saw a different thing: who and what.
fn differ(house: House, job: JobId, id: &PointId) -> Element {
    let open = house.open.read();
    let seen = open
        .of(job)
        .and_then(|session| Some(session.job.points.get(id)?.seen_differently(|event| session.log.get(event))));
    let Some(seen) = seen.filter(|seen| !seen.is_empty()) else { return rsx! {} };
    let own = house.device();
    rsx! {
        div { class: "note", id: "differ",
            p { "Seen differently here. Look again: the newest look counts in the plan, the report names them all." }
            ul {
                for (event, seen) in seen {
                    li { key: "{event.id}",
                        {words::seen(seen)}
                        if own == Some(event.device_id) { ": this phone" } else { ": another phone" }
                    }
                }
            }
        }
    }
}

/// Look: eyes only, then one tap.
#[component]
fn LookPart(id: PointId, view: View) -> Element {
    let house = House::get();
    let seen = view.state.seen();
    rsx! {
        section { class: "act",
            h2 { "Look" }
            p { "{view.place.look_for}" }
            if let Some(protected_by) = &view.place.protected_by {
                p { "Should be there: {protected_by}" }
            }
            if !view.place.contacts.is_empty() {
                p { "It may rub on: {view.place.contacts.join(\", \")}." }
            }
            if !view.place.colours.is_empty() {
                p { "Wires: {view.place.colours.join(\", \")}." }
            }
            if !view.why.is_empty() {
                ul { class: "why", "aria-label": "Why here",
                    for reason in view.why.iter() {
                        li { key: "{reason}", "{reason}" }
                    }
                }
            }
            div { class: "outcomes", role: "group", "aria-label": "What the look shows",
                for outcome in words::OUTCOMES {
                    button {
                        key: "{outcome:?}",
                        class: "outcome",
                        id: "seen-{outcome:?}",
                        "aria-pressed": if seen == Some(outcome) { "true" } else { "false" },
                        onclick: {
                            let point = id.clone();
                            move |_| house.act(Act::Look { point: point.clone(), seen: outcome })
                        },
                        SeenLine { seen: outcome }
                        strong { {words::seen(outcome)} }
                        span { class: "hint", {words::seen_means(outcome)} }
                    }
                }
            }
        }
    }
}

/// Press: on the next screen, or nowhere.
#[component]
fn PressPart(job: JobId, id: PointId, state: PointState, no_press: Option<&'static str>) -> Element {
    rsx! {
        section { class: "act",
            h2 { "Press" }
            if let Some(why) = no_press {
                p { class: "caution", id: "never-live", "{why}" }
            } else {
                p { class: "hint", "A fresh fuse or the breaker in, the right things switched on, an eye on the telltale." }
            }
            if state.presses > 0 {
                p {
                    "{words::count(state.presses as usize, \"press\", \"presses\")}: "
                    if state.opened { "it opened." } else { "it held." }
                }
            }
            if no_press.is_none() {
                Link { class: "key", id: "to-press", to: Route::Press { job, point: id.0 }, "Press here" }
            }
        }
    }
}

/// Lift: closed until there is a lie photo, or a reason why not.
#[component]
fn LiftPart(id: PointId, state: PointState) -> Element {
    let house = House::get();
    let mut why = use_signal(String::new);
    let lift = id.clone();
    let waive = id.clone();
    let reason_given = !why.read().trim().is_empty();
    rsx! {
        section { class: "act",
            h2 { "Lift" }
            if state.lifted {
                p { "Lifted." }
                PhotoButton { point: id.clone(), stage: Stage::Lifted, label: "Photograph lifted" }
                PhotoButton { point: id.clone(), stage: Stage::Close, label: "Photograph close, with scale" }
            } else if state.may_lift() {
                p { class: "hint", "Fuse or breaker out before you turn the harness over. Finger off the bare place." }
                button { class: "key", id: "lift", onclick: move |_| house.act(Act::Lift { point: lift.clone() }), "I lift it now" }
            } else {
                p { class: "hint", "Closed until there is a photograph as it lies." }
                button { class: "key", id: "lift", disabled: true, "I lift it now" }
                details {
                    summary { "No photograph is possible here" }
                    div { class: "field",
                        label { r#for: "waive-why", "Why not" }
                        input { id: "waive-why", r#type: "text", autocomplete: "off", value: "{why}", oninput: move |event| why.set(event.value()) }
                    }
                    button {
                        class: "key",
                        id: "waive",
                        disabled: !reason_given,
                        onclick: move |_| house.act(Act::LieWaived { point: waive.clone(), why: why.read().trim().to_owned() }),
                        "Go on without"
                    }
                }
            }
        }
    }
}

/// Notes of this point, and room for one more.
#[component]
fn Notes(id: PointId, notes: Vec<(EventId, String)>, spoken: Vec<(EventId, Photo)>) -> Element {
    let house = House::get();
    rsx! {
        section { class: "act",
            h2 { "Notes" }
            if !notes.is_empty() {
                ul { class: "plainlist",
                    for (event, text) in notes {
                        li { key: "{event}",
                            span { translate: words::own(&text), "{text}" }
                            " "
                            button {
                                class: "plain",
                                "aria-label": "Take back the note: {text}",
                                onclick: move |_| house.act(Act::TakenBack { event }),
                                "Take back"
                            }
                        }
                    }
                }
            }
            Recordings { kept: spoken }
            Voice { point: Some(id.clone()) }
            ShootKey { point: Some(id.clone()), stage: Stage::Lie }
            div { class: "outcomes", role: "group", "aria-label": "Note with one tap",
                for phrase in words::PHRASES {
                    button {
                        key: "{phrase}",
                        class: "key",
                        onclick: {
                            let point = id.clone();
                            move |_| house.act(Act::Note { point: Some(point.clone()), text: phrase.to_owned() })
                        },
                        "{phrase}"
                    }
                }
            }
            Field {
                id: "note",
                label: "A note",
                hint: "Kept when you leave the field",
                long: true,
                patient: true,
                value: "",
                onkeep: move |text: String| {
                    if !text.is_empty() {
                        house.act(Act::Note { point: Some(id.clone()), text });
                    }
                },
            }
        }
    }
}
