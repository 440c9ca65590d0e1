//! Walk: the next step, large: where to go, what to open, why here, what to look for. Below, the rest of this zone.

use std::rc::Rc;

use dioxus::prelude::*;

use crate::app::house::House;
use crate::app::parts::picture::Sketch;
use crate::app::parts::{
    BesideWalk, Chance, Doubts, Hold, HoldView, Holding, Later, Marks, Picture, Screen, TakeBack, Unfold, Waiting,
    is_unfolded, last_act,
};
use crate::app::route::Route;
use crate::app::words;
use crate::ids::{AccessId, EventId, JobId, PointId, ZoneId};
use crate::job::event::Act;
use crate::job::held::Held;
use crate::job::marking::Spot;
use crate::job::session::{CircuitView, Ready, Session};
use crate::job::tale::{doubt, tales};
use crate::search::doubt::Doubt;
use crate::search::mind::cautions_at;
use crate::search::plan::{Plan, Step, StepKind};
use crate::search::point::Point;
use crate::vehicle::body::way_to;

/// Most places of this zone that stand below the step; the others are drawn once they are unfolded.
const FEW: usize = 8;

/// What the walk shows, taken from the session in one go.
#[derive(Debug, Clone, PartialEq)]
struct View {
    next: Option<Step>,
    point: Option<Point>,
    /// What the loads at that place ask to be minded.
    minds: Vec<&'static str>,
    zone: String,
    /// Where the plan goes by now, if a mark that was just set has turned it away from the step that is shown.
    elsewhere: Option<String>,
    rest: Vec<Step>,
    /// How many more there are in this zone.
    more: usize,
    /// Those, where they are unfolded.
    beyond: Vec<Step>,
    then: Vec<Step>,
    looked: usize,
    to_look: usize,
    minutes_left: f64,
    not_listed: f64,
    notes: Vec<String>,
    /// What was tried does not fit this fuse.
    doubt: Option<String>,
    /// The places do not explain what was seen.
    doubts: Vec<Doubt>,
    last: Option<(Vec<EventId>, String)>,
    found: Vec<(PointId, String)>,
    /// What was opened on the way, and is to be closed again.
    open: Vec<(AccessId, String)>,
    /// Places behind the next thing that must be opened.
    behind: Vec<PointId>,
    practice: bool,
    hold: HoldView,
}

impl View {
    /// With this step shown as long as the plan has it and nothing closed stands before it, wherever it stands: a new plan
    /// never moves what is under the thumb, but where someone asks for a place. Else the first.
    fn of(session: &Session, plan: Option<&Plan>, held: Option<&Held>, shown: Option<&str>, unfolded: bool) -> Self {
        let progress = session.progress_by(plan);
        let ready = session.ready();
        let steps: &[Step] = plan.map_or(&[], |plan| &plan.steps);
        let asked = session.job.first.is_some();
        let stays = |step: &&Step| !asked && shown == Some(step.id.as_str()) && step.after.is_none();
        let next = steps.iter().find(stays).or(steps.first()).cloned();
        let others = || steps.iter().filter(|step| next.as_ref().is_none_or(|next| next.id != step.id));
        let point = next.as_ref().and_then(|step| ready?.point(&PointId(step.id.clone()))).cloned();
        let zone_id = next.as_ref().and_then(|step| step.zone.clone());
        let zone = zone_id.as_ref().and_then(|zone| ready?.map.map.zone(zone)).map(|zone| zone.label.clone());
        let in_zone = |step: &&Step| zone_id.is_some() && step.zone == zone_id;
        Self {
            rest: others().filter(in_zone).take(FEW).cloned().collect(),
            more: others().filter(in_zone).skip(FEW).count(),
            beyond: others().filter(in_zone).skip(FEW).filter(|_| unfolded).cloned().collect(),
            elsewhere: next
                .as_ref()
                .zip(steps.first())
                .and_then(|(next, first)| (next.id != first.id).then(|| first.title.clone())),
            then: others().filter(|step| !in_zone(step)).take(3).cloned().collect(),
            minds: point
                .as_ref()
                .zip(ready)
                .map_or_else(Vec::new, |(at, ready)| cautions_at(&ready.file, &ready.harness, at)),
            point,
            zone: zone.unwrap_or_default(),
            looked: progress.looked,
            to_look: progress.to_look,
            minutes_left: progress.minutes_left,
            not_listed: ready.map_or(0.0, |ready| ready.plan.not_listed),
            notes: ready.map(news).unwrap_or_default(),
            doubt: doubt(&tales(&session.job, ready.map(|ready| &ready.harness))),
            doubts: ready.map(|ready| ready.plan.doubts.clone()).unwrap_or_default(),
            last: last_act(session),
            found: session.job.findings.keys().map(|id| (id.clone(), title(ready, id))).collect(),
            open: session.job.open.iter().map(|id| (id.clone(), access_label(ready, id))).collect(),
            behind: behind(session, next.as_ref()),
            practice: session.job.practice,
            hold: HoldView::of(session, held),
            next,
        }
    }
}

fn title(ready: Option<&Ready>, id: &PointId) -> String {
    ready
        .and_then(|ready| ready.point(id))
        .map_or_else(|| "a place no longer on the list".to_owned(), |point| point.title.clone())
}

fn access_label(ready: Option<&Ready>, id: &AccessId) -> String {
    let step = ready.and_then(|ready| ready.map.map.access(id));
    step.map_or_else(|| id.to_string(), |step| step.label.clone())
}

/// The places that a person does not get to who cannot do the next step, if that opens something.
fn behind(session: &Session, next: Option<&Step>) -> Vec<PointId> {
    let Some((ready, step)) = session.ready().zip(next).filter(|(_, step)| step.kind == StepKind::Access) else {
        return Vec::new();
    };
    let shut = AccessId(step.id.clone());
    let needs = |point: &&Point| {
        way_to(|id| ready.map.map.access(id), point.access.as_ref()).into_iter().any(|step| step.id == shut)
    };
    let planned = |point: &&Point| ready.plan.steps.iter().any(|step| step.id == point.id.0);
    ready.search.points().iter().filter(needs).filter(planned).map(|point| point.id.clone()).collect()
}

/// What the plan has to say beyond what was assumed, which stands with the circuit.
fn news(ready: &Ready) -> Vec<String> {
    let notes = ready.plan.notes.iter();
    notes.filter(|note| !ready.harness.assumptions.contains(note)).cloned().collect()
}

/// A place: what it is called, and how likely it is.
type Place = (PointId, String, f64);

/// A zone's name, and its places.
fn places_in(ready: &Ready, zone: &ZoneId) -> Option<(String, Vec<Place>)> {
    let label = ready.map.map.zone(zone)?.label.clone();
    let points = ready.search.points().iter().filter(|point| point.zone == *zone);
    let places = points.map(|point| (point.id.clone(), point.title.clone(), ready.chance(&point.id)));
    Some((label, places.collect()))
}

/// The places of a part that was tapped in the picture.
fn places_there(job: JobId, zone: &str, places: Vec<Place>) -> Element {
    rsx! {
        section { id: "there", role: "status",
            h2 { "{zone}" }
            if places.is_empty() {
                p { "No wire of this circuit is known to lie there." }
            }
            ol { class: "lines",
                for (point, title, chance) in places {
                    li { key: "{point}",
                        Link { class: "line", to: Route::Point { job, point: point.0.clone() },
                            span { "{title}" }
                            Chance { chance }
                        }
                    }
                }
            }
        }
    }
}

/// The next step.
#[component]
pub fn Walk(job: JobId) -> Element {
    let house = House::get();
    let _awake = use_hook(crate::device::keep_awake);
    let open = house.open.read();
    let Some(session) = open.of(job) else { return rsx! { Waiting { job } } };
    let missing = match &session.circuit {
        CircuitView::Ready(_) => None,
        _ if !session.job.has_fuse() => {
            Some("There is nothing to walk yet: the fuse and its rating are missing.".to_owned())
        }
        CircuitView::None => Some("There is nothing to walk yet: the circuit needs at least one load.".to_owned()),
        CircuitView::Unsound(error) => Some(format!("This circuit cannot be searched yet:\n{error}")),
    };
    if let Some(missing) = missing {
        let (to, label) = if session.job.has_fuse() {
            (Route::Circuit { job }, "To the circuit")
        } else {
            (Route::Concern { job }, "Choose the fuse")
        };
        let last = last_act(session);
        return rsx! {
            Screen { title: "Walk", back: Route::Circuit { job }, job,
                action: rsx! { Link { class: "key main", to, "{label}" } },
                p { class: "trouble-text", "{missing}" }
                TakeBack { last }
            }
        };
    }
    let mut shown = use_signal(|| None::<String>);
    let mut asked = use_signal(|| None::<ZoneId>);
    let mut unfolded = use_signal(|| is_unfolded(house, "more-here"));
    let held = house.held.read();
    let plan = session.plan_held(held.as_ref(), crate::device::now());
    let view = View::of(session, plan.as_deref(), held.as_ref(), shown.read().as_deref(), unfolded());
    let sketch = Sketch::of(session, plan.as_deref());
    let there = asked.read().as_ref().and_then(|zone| places_in(session.ready()?, zone));
    drop(plan);
    drop(held);
    drop(open);
    let now = view.next.as_ref().map(|step| step.id.clone());
    use_effect(use_reactive!(|now| {
        if *shown.peek() != now {
            shown.set(now);
        }
    }));
    let action = match &view.next {
        Some(step) if step.kind == StepKind::Access => {
            let access = AccessId(step.id.clone());
            let (behind, why) = (view.behind.clone(), format!("cannot be opened: {}", step.title));
            rsx! {
                button {
                    class: "key main",
                    id: "access-done",
                    "data-of": "{step.id}",
                    onclick: move |_| house.act(Act::Access { access: access.clone(), open: true }),
                    "Done, it is open"
                }
                button {
                    class: "key",
                    id: "cannot-open",
                    "data-of": "{step.id}",
                    onclick: move |_| {
                        let out_of_reach = |point: &PointId| Act::CannotReach { point: point.clone(), why: why.clone() };
                        house.change(|_| behind.iter().map(out_of_reach).collect());
                    },
                    "Can't open it"
                }
                Link { class: "key", to: Route::List { job }, "Do another first" }
            }
        }
        Some(step) => {
            let point = PointId(step.id.clone());
            rsx! {
                Link { class: "key main", id: "look-here", to: Route::Point { job, point: step.id.clone() }, "Look here" }
                button {
                    class: "key",
                    id: "cannot-reach",
                    "data-of": "{step.id}",
                    onclick: move |_| house.act(Act::CannotReach { point: point.clone(), why: String::new() }),
                    "Can't get there"
                }
                Link { class: "key", to: Route::List { job }, "Do another first" }
            }
        }
        None if view.hold.on.is_some() => rsx! {
            button { class: "key main", id: "go-on", onclick: move |_| house.hold(None), "Go on with the whole walk" }
            Link { class: "key", to: Route::List { job }, "All places" }
        },
        None => rsx! {
            Link { class: "key main", to: Route::HandOver { job }, "To the hand-over" }
            Link { class: "key", to: Route::List { job }, "All places" }
        },
    };
    rsx! {
        Screen { title: "Walk", back: Route::Circuit { job }, job, action,
            if view.practice {
                p { class: "tag", "Practice" }
            }
            if !view.found.is_empty() {
                div { class: "note",
                    for (point, title) in view.found.iter() {
                        p { key: "{point}",
                            "Found: "
                            Link { to: Route::Finding { job, point: point.0.clone() }, "{title}" }
                        }
                    }
                    p { "Go on if you like: a second bare place is often close by." }
                }
            }
            if let Some(doubt) = &view.doubt {
                p { class: "note", id: "doubt",
                    "{doubt} "
                    Link { to: Route::Dead { job }, "What is dead" }
                }
            }
            for note in view.notes.iter() {
                p { class: "note", key: "{note}", "{note}" }
            }
            Doubts { job, doubts: view.doubts.clone() }
            Holding { view: view.hold.clone() }
            match &view.next {
                Some(step) => rsx! { Next { step: step.clone(), point: view.point.clone(), minds: view.minds.clone(), zone: view.zone.clone() } },
                None if view.hold.on.is_some() => rsx! { Paused {} },
                None => rsx! { Finished { not_listed: view.not_listed } },
            }
            BesideWalk { job, shown: view.next.as_ref().map(|step| step.id.clone()).unwrap_or_default() }
            if let Some(elsewhere) = &view.elsewhere {
                div { class: "note",
                    p { "The plan now goes first to: {elsewhere}" }
                    button { class: "key", id: "follow", onclick: move |_| shown.set(None), "Go there first" }
                }
            }
            if let Some(step) = view.next.clone().filter(|step| step.kind == StepKind::Look) {
                details {
                    summary { "Mark this place" }
                    Marks {
                        key: "{step.id}",
                        legend: "Mark: {step.title}",
                        spot: Spot::Point(PointId(step.id.clone())),
                        onmark: move |()| {},
                    }
                }
            }
            p { class: "progress",
                "{view.looked} looked at · {view.to_look} to look at · about {words::minutes(view.minutes_left)} if all of it must be walked"
            }
            if !view.rest.is_empty() {
                h2 { "Also here" }
                Steps { job, steps: view.rest.clone() }
            }
            if view.more > 0 {
                Unfold {
                    id: "more-here",
                    onunfold: move |()| unfolded.set(true),
                    summary: rsx! { "{view.more} more here" },
                    Steps { job, steps: view.beyond.clone() }
                }
            }
            if !view.then.is_empty() {
                h2 { "Then" }
                Steps { job, steps: view.then.clone() }
            }
            Hold { job, view: view.hold.clone() }
            TakeBack { last: view.last.clone() }
            if !view.open.is_empty() {
                details {
                    summary { "Opened on the way: {view.open.len()}" }
                    ul { class: "told",
                        for (access, label) in view.open.clone() {
                            li { key: "{access}",
                                span { "{label}" }
                                button {
                                    class: "plain",
                                    "aria-label": "It is not open: {label}",
                                    onclick: move |_| house.act(Act::Access { access: access.clone(), open: false }),
                                    "It is not open"
                                }
                            }
                        }
                    }
                }
            }
            Later {
                Picture {
                    sketch,
                    caption: "Length of the bar in a part: chance that the place is there. Thick frame: the next place. Dot: where you looked last. Tap a part for its places.",
                    list: true,
                    onchoose: move |zone| asked.set(Some(zone)),
                }
                if let Some((zone, places)) = there {
                    {places_there(job, &zone, places)}
                }
                Link { class: "key", to: Route::Opening { job }, "It opened again" }
            }
        }
    }
}

/// The step itself. A new one takes the focus, as its key goes where the old one had it: so it is read out too.
#[component]
fn Next(step: Step, point: Option<Point>, minds: Vec<&'static str>, zone: String) -> Element {
    let mut heading: Signal<Option<Rc<MountedData>>> = use_signal(|| None);
    let mut first = use_hook(|| CopyValue::new(true));
    let id = step.id.clone();
    use_effect(use_reactive!(|id| {
        let _ = id;
        if first.replace(false) {
            return;
        }
        let heading = heading.peek().clone();
        spawn(async move {
            if let Some(heading) = heading {
                let _ = heading.set_focus(true).await;
            }
        });
    }));
    rsx! {
        section { class: "next", "aria-label": "Next step", id: "next-step", "data-step": "{step.id}",
            if step.kind == StepKind::Access {
                p { class: "eyebrow", "Get there" }
            } else {
                p { class: "eyebrow", "Next place · {zone}" }
            }
            h2 { tabindex: "-1", onmounted: move |event| heading.set(Some(event.data())), "{step.title}" }
            if step.kind == StepKind::Look {
                Chance { chance: step.probability }
            }
            p { {words::minutes(step.minutes)} }
            if let Some(caution) = &step.caution {
                p { class: "caution", "{caution}" }
            }
            for caution in minds {
                p { key: "{caution}", class: "caution", "{caution}" }
            }
            if !step.colours.is_empty() {
                p { "Wires: {step.colours.join(\", \")}" }
            }
            if let Some(point) = point {
                p { "{point.look_for}" }
                if let Some(protected_by) = &point.protected_by {
                    p { "Should be there: {protected_by}" }
                }
            }
            if !step.why.is_empty() {
                ul { class: "why", "aria-label": "Why here",
                    for reason in step.why.iter() {
                        li { key: "{reason}", "{reason}" }
                    }
                }
            }
        }
    }
}

#[component]
fn Finished(not_listed: f64) -> Element {
    rsx! {
        section { class: "next", id: "next-step", "data-step": "",
            p { class: "eyebrow", "End of this pass" }
            h2 { "Every place that can be reached was looked at" }
            p { "Chance that it is somewhere that is not on the list: {words::chance(not_listed)}." }
            p { "Look again at what was only marked, with better light or the cover open. Check the list of loads, and whether it is the right fuse. Can something that was out of reach be reached now?" }
        }
    }
}

#[component]
fn Paused() -> Element {
    rsx! {
        section { class: "next", id: "next-step", "data-step": "",
            p { class: "eyebrow", "As far as it goes for now" }
            h2 { "Nothing more fits into the time, or within reach" }
            p { "What waits keeps its chance, and what was seen is kept. Go on whenever there is time." }
        }
    }
}

/// Steps as a short list that leads to their points.
#[component]
fn Steps(job: JobId, steps: Vec<Step>) -> Element {
    rsx! {
        ol { class: "lines",
            for step in steps {
                li { key: "{step.id}",
                    if step.kind == StepKind::Look {
                        Link { class: "line", to: Route::Point { job, point: step.id.clone() },
                            span { "{words::step(&step)}" }
                            Chance { chance: step.probability }
                        }
                    } else {
                        span { class: "line quiet", "{words::step(&step)}" }
                    }
                }
            }
        }
    }
}
