//! Press: the telltale, what to switch on, the count, and "it opened", large.

use dioxus::prelude::*;

use crate::app::house::House;
use crate::app::parts::{Conditions, Screen, TakeBack, Waiting, last_act};
use crate::app::route::Route;
use crate::app::screens::point::NoPlace;
use crate::ids::{Condition, JobId, PointId};
use crate::job::event::Act;
use crate::job::watched::out_at;
use crate::search::evidence::Observation;

/// Pressing at one point.
#[component]
pub fn Press(job: JobId, point: String) -> Element {
    let house = House::get();
    let id = PointId(point);
    let _awake = use_hook(crate::device::keep_awake);
    let mut state: Signal<Option<Vec<Condition>>> = use_signal(|| None);
    let open = house.open.read();
    let Some(session) = open.of(job) else { return rsx! { Waiting { job } } };
    let telltale = session.job.concern.telltale.clone();
    let at = session.job.points.get(&id).cloned().unwrap_or_default();
    let ready = session.ready();
    let Some((ready, place)) = ready.and_then(|ready| Some((ready, ready.point(&id)?))) else {
        return rsx! { NoPlace { job } };
    };
    let title = place.title.clone();
    // Wires of other circuits' restraints are there: what the vehicle's map says of them comes first.
    let caution = place.caution.clone().filter(|_| place.restraint);
    if let Some(why) = ready.why_no_press(place) {
        return rsx! { NoPress { job, id, title, why } };
    }
    let last = last_act(session);
    let outs = out_at(&mut session.log.events(), &session.job, &id);
    let resets = session.job.fuse_style().resets();
    let more = session.conditions();
    // Until something else is ticked: as at the newest press, else as when it opened.
    let usual = session.job.observations.iter().rev().find_map(|(_, observation)| match observation {
        Observation::Press { state, .. } | Observation::Blow { state, .. } => Some(state.clone()),
        _ => None,
    });
    drop(open);
    let set = state.read().clone().or(usual).unwrap_or_else(|| vec![Condition::from("key_on")]);
    let held = {
        let (point, state) = (id.clone(), set.clone());
        move |_| house.act(Act::Press { point: point.clone(), opened: false, presses: 1, state: state.clone() })
    };
    let opened = {
        let (point, state) = (id.clone(), set.clone());
        move |_| house.act(Act::Press { point: point.clone(), opened: true, presses: 1, state: state.clone() })
    };
    let action = rsx! {
        button { class: "key main", id: "pressed-held", onclick: held, "Pressed: it held" }
        button { class: "key strong", id: "pressed-opened", onclick: opened, "It opened" }
    };
    rsx! {
        Screen { title: "Press", back: Route::Point { job, point: id.0.clone() }, job, action,
            p { class: "eyebrow", "{title}" }
            if let Some(caution) = caution {
                p { class: "caution", "{caution}" }
            }
            p { class: "caution",
                "A press can spark. No fuel vapour about, eyes covered, finger off the bare place. Airbag and pretensioner wires are never pressed live. Press gently, as the vehicle would."
            }
            p { class: "telltale",
                if telltale.is_empty() {
                    "Watch something on this fuse that shows at once that it has opened: a lamp or a display."
                } else {
                    "Watch: {telltale}"
                }
            }
            p { class: "count", "aria-live": "polite",
                strong { "{at.presses}" }
                if at.presses == 1 { " press here" } else { " presses here" }
                if at.opened { ", it opened" } else if at.presses > 0 { ", it held" }
            }
            for (number, out) in outs.iter().enumerate() {
                p { key: "{number}", class: "note", {out.words()} }
            }
            if at.opened {
                p { class: "note",
                    if resets {
                        "It tripped here. Switch off and let the wire and the breaker cool before you press again. "
                    } else {
                        "It opened here. Put a fresh fuse of the same rating in before you press again. "
                    }
                    Link { to: Route::Finding { job, point: id.0.clone() }, "Write down the finding" }
                }
            }
            TakeBack { last }
            Link { class: "line", id: "to-watch", to: Route::Watch { job }, "This phone, propped in the cabin, can watch it" }
            Conditions { legend: "Switched on meanwhile", state: set, more, onchange: move |chosen| state.set(Some(chosen)) }
        }
    }
}

/// What stands where nobody may press.
#[component]
fn NoPress(job: JobId, id: PointId, title: String, why: &'static str) -> Element {
    let back = Route::Point { job, point: id.0 };
    rsx! {
        Screen { title: "No press here", back: back.clone(), job,
            action: rsx! { Link { class: "key main", to: back, "Back to the place" } },
            p { class: "eyebrow", "{title}" }
            p { class: "caution", id: "never-live", "{why}" }
            p { "Looking and photographing touch nothing: that much can be done here." }
        }
    }
}
