//! Finding: the place, what it rubbed on, the wire's colour against the circuit's, what else was hurt, the cause.

use dioxus::prelude::*;

use crate::app::house::House;
use crate::app::parts::{Field, KeepOnShelf, PhotoButton, PhotoStrip, Screen, Waiting};
use crate::app::route::Route;
use crate::circuit::colour;
use crate::device::speak;
use crate::ids::{EventId, JobId, PointId};
use crate::job::event::{self, Act, Stage};
use crate::job::state::Job;

/// Causes that come up again and again (common practice, no source).
const CAUSES: [&str; 7] = [
    "Grommet missing",
    "Clip missing or broken",
    "Harness misrouted",
    "Makeshift part",
    "Added after the vehicle was built",
    "Earlier repair",
    "Worn by movement",
];

/// What stands between ready words that were tapped, and words of one's own.
const BETWEEN: &str = "; ";

/// Adds ready words to a text, or takes them out again; what else stands there stays.
fn toggle(text: &mut String, word: &str) {
    let mut parts: Vec<&str> = text.split(BETWEEN).filter(|part| !part.is_empty()).collect();
    match parts.iter().position(|part| *part == word) {
        Some(at) => drop(parts.remove(at)),
        None => parts.push(word),
    }
    *text = parts.join(BETWEEN);
}

/// A finding of which only the place is known.
fn empty(point: &PointId) -> event::Finding {
    event::Finding {
        point: point.clone(),
        rubbed_on: String::new(),
        colour_seen: String::new(),
        also_hurt: String::new(),
        cause: String::new(),
        aside: String::new(),
    }
}

/// Writes down the place.
#[component]
pub fn Finding(job: JobId, point: String) -> Element {
    let house = House::get();
    let id = PointId(point);
    let open = house.open.read();
    let Some(session) = open.of(job) else { return rsx! { Waiting { job } } };
    let place = session.ready().and_then(|ready| ready.point(&id)).cloned();
    let kept = session.job.findings.get(&id).cloned();
    let photos = session.job.pictures_at(&id).cloned().collect::<Vec<_>>();
    drop(open);
    let title = place.as_ref().map_or_else(|| id.0.clone(), |place| place.title.clone());
    let colours = place.as_ref().map(|place| place.colours.clone()).unwrap_or_default();
    let contacts = place.map(|place| place.contacts).unwrap_or_default();
    let written = kept.is_some();
    let finding = kept.unwrap_or_else(|| empty(&id));
    let differs = !finding.colour_seen.is_empty()
        && !colours.is_empty()
        && !colours.iter().any(|known| colour::same(&finding.colour_seen, known));
    // One thing about the finding, as it is by then.
    let keep = {
        let id = id.clone();
        move |change: fn(&mut event::Finding, String), text: String| {
            house.change(|job| {
                let mut finding = job.findings.get(&id).cloned().unwrap_or_else(|| empty(&id));
                change(&mut finding, text);
                vec![Act::Finding(finding)]
            });
        }
    };
    let write = {
        let id = id.clone();
        move |_| house.change(|job| vec![Act::Finding(job.findings.get(&id).cloned().unwrap_or_else(|| empty(&id)))])
    };
    let take_back = {
        let id = id.clone();
        move |_| {
            house.change(|job| findings_at(house, job, &id).into_iter().map(|event| Act::TakenBack { event }).collect())
        }
    };
    let action = if written {
        rsx! { Link { class: "key main", id: "to-repair", to: Route::Repair { job }, "To the repair" } }
    } else {
        rsx! { button { class: "key main", id: "found-here", onclick: write, "It was here" } }
    };
    rsx! {
        Screen { title: "Finding", back: Route::Point { job, point: id.0.clone() }, job, action,
            p { class: "eyebrow", "{title}" }
            if written {
                p { class: "note", "Written down as the place. What you add below is kept as you go." }
            }
            Chips {
                legend: "It rubbed on",
                offered: contacts,
                chosen: finding.rubbed_on.clone(),
                onchoose: { let keep = keep.clone(); move |word| keep(|finding, word| toggle(&mut finding.rubbed_on, &word), word) },
            }
            Field {
                id: "rubbed-on",
                label: "It rubbed on, in your words",
                value: finding.rubbed_on.clone(),
                onkeep: { let keep = keep.clone(); move |text| keep(|finding, text| finding.rubbed_on = text, text) },
            }
            Field {
                id: "colour",
                label: "Colour of the wire as you see it",
                hint: if colours.is_empty() { "IEC 60757 letters, such as BK/YE".to_owned() } else { format!("The circuit says {}", colours.join(", ")) },
                value: finding.colour_seen.clone(),
                onkeep: { let keep = keep.clone(); move |text| keep(|finding, text| finding.colour_seen = text, text) },
            }
            if differs {
                p { class: "caution", role: "alert",
                    "This is not a colour that the circuit has here ({colours.join(\", \")}). Make sure that this wire belongs to this fuse before you repair it."
                }
            }
            Field {
                id: "also-hurt",
                label: "What else was hurt",
                hint: "Neighbouring wires, other poor repairs close by",
                long: true,
                value: finding.also_hurt.clone(),
                onkeep: { let keep = keep.clone(); move |text| keep(|finding, text| finding.also_hurt = text, text) },
            }
            Chips {
                legend: "Why it came to that",
                offered: CAUSES.iter().map(|cause| (*cause).to_owned()).collect::<Vec<_>>(),
                chosen: finding.cause.clone(),
                onchoose: { let keep = keep.clone(); move |word| keep(|finding, word| toggle(&mut finding.cause, &word), word) },
            }
            Field {
                id: "cause",
                label: "Why, in your words",
                long: true,
                value: finding.cause.clone(),
                onkeep: { let keep = keep.clone(); move |text| keep(|finding, text| finding.cause = text, text) },
            }
            Field {
                id: "aside",
                label: "Noticed, perhaps unrelated",
                long: true,
                value: finding.aside.clone(),
                onkeep: { let keep = keep.clone(); move |text| keep(|finding, text| finding.aside = text, text) },
            }
            PhotoButton { point: id.clone(), stage: Stage::Close, label: "Photograph close, with scale" }
            PhotoStrip { job, photos }
            if written {
                KeepOnShelf { job }
                button {
                    class: "plain",
                    id: "not-here",
                    onclick: take_back,
                    "It was not here: take the finding back"
                }
            }
        }
    }
}

/// Everything that was written down as the finding at a point and still counts.
fn findings_at(house: House, job: &Job, point: &PointId) -> Vec<EventId> {
    let of_point = |event: &&event::Event| {
        event.kind == "finding"
            && !job.taken_back.contains(&event.id)
            && event.act().is_ok_and(|act| act.point() == Some(point))
    };
    let keeping = house.keeping_of(job.id);
    let open = house.open.peek();
    let kept = open.of(job.id).into_iter().flat_map(|session| session.log.events());
    kept.chain(&keeping).filter(of_point).map(|event| event.id).collect()
}

/// Ready words to tap.
#[component]
fn Chips(legend: String, offered: Vec<String>, chosen: String, onchoose: EventHandler<String>) -> Element {
    if offered.is_empty() {
        return rsx! {};
    }
    rsx! {
        fieldset { class: "choice",
            legend { "{legend}" }
            div { class: "choice-keys",
                for word in offered {
                    button {
                        key: "{word}",
                        class: "chip",
                        "aria-pressed": if chosen.split(BETWEEN).any(|chosen| chosen == speak::say(&word)) { "true" } else { "false" },
                        onclick: {
                            let word = word.clone();
                            // It becomes the user's own text, so it is in the user's language.
                            move |_| onchoose.call(speak::say(&word))
                        },
                        "{word}"
                    }
                }
            }
        }
    }
}
