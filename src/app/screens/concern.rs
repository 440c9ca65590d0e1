//! Concern: the vehicle, what died, which fuse, and whether a fresh one holds.

use dioxus::prelude::*;

use crate::app::house::{House, WordKind};
use crate::app::parts::{Choice, Field, Screen, ShelfOffers, Vin, Waiting};
use crate::app::route::Route;
use crate::app::words;
use crate::circuit::file::{Body, EnginePlace, Fuse, FuseStyle, Side, Vehicle};
use crate::ids::JobId;
use crate::job::event::{Act, Concern as About, FreshFuse, Often};
use crate::vehicle::fit::{engine_places, has_sizes};

/// A fuse of which nothing is known yet.
pub fn no_fuse() -> Fuse {
    Fuse {
        label: String::new(),
        rating_a: 0.0,
        style: Default::default(),
        zone: None,
        ohms: None,
        live_when: Vec::new(),
    }
}

/// Changes one thing about the concern, as it is by then.
fn keep(house: House, change: impl FnOnce(&mut About)) {
    house.change(|job| {
        let mut concern = job.concern.clone();
        change(&mut concern);
        vec![Act::Concern(concern)]
    });
}

fn keep_often(house: House, text: &str, change: fn(&mut Often, f64)) {
    if let Some(figure) = words::figure_or_none(house, text) {
        if figure.is_some_and(|figure| figure > Often::MOST_HOURS) {
            let told = format!("“{text}” is more than any vehicle is driven. What was kept before stays.");
            return house.say(WordKind::Trouble, told);
        }
        keep(house, |concern| change(concern.often.get_or_insert_default(), figure.unwrap_or_default()));
    }
}

/// Changes one thing about the vehicle, as it is by then.
pub fn keep_vehicle(house: House, change: impl FnOnce(&mut Vehicle)) {
    house.change(|job| {
        let mut vehicle = job.circuit.as_ref().map(|circuit| circuit.vehicle.clone()).unwrap_or_default();
        change(&mut vehicle);
        vec![Act::Vehicle(vehicle)]
    });
}

/// Another body style: an engine place that it does not offer would be a choice that nobody sees.
fn take_body(vehicle: &mut Vehicle, body: Body) {
    vehicle.body = body;
    if !engine_places(body).contains(&vehicle.engine) {
        vehicle.engine = EnginePlace::Front;
    }
}

fn keep_fuse(house: House, change: impl FnOnce(&mut Fuse)) {
    house.change(|job| {
        let mut fuse = job.circuit.as_ref().map_or_else(no_fuse, |circuit| circuit.fuse.clone());
        change(&mut fuse);
        let supply = job.circuit.as_ref().map(|circuit| circuit.supply).unwrap_or_default();
        vec![Act::Fuse { fuse, supply }]
    });
}

/// Takes in the concern.
#[component]
pub fn Concern(job: JobId) -> Element {
    let house = House::get();
    let open = house.open.read();
    let Some(session) = open.of(job) else { return rsx! { Waiting { job } } };
    let concern = session.job.concern.clone();
    let circuit = session.job.circuit.clone();
    let vehicle = circuit.as_ref().map(|circuit| circuit.vehicle.clone()).unwrap_or_default();
    // A circuit without a fuse yet has one rated 0 A: nothing is chosen then.
    let fuse = circuit.as_ref().map_or_else(no_fuse, |circuit| circuit.fuse.clone());
    drop(open);

    let often = concern.often.unwrap_or_default();
    let said = |number: f64| if number > 0.0 { number.to_string() } else { String::new() };
    let resets = fuse.style.resets();
    let fresh = [FreshFuse::NotTried, FreshFuse::Holds, FreshFuse::OpensAtOnce];
    let bodies = words::BODIES;
    let engines = engine_places(vehicle.body);
    let sizes = words::SIZES;
    let action = rsx! {
        Link { class: "key main", to: Route::Opening { job }, "When it opened" }
    };
    rsx! {
        Screen { title: "Concern", back: Route::Jobs {}, job, action,
            section {
                h2 { "Vehicle" }
                Field {
                    id: "vehicle",
                    label: "What people call it",
                    hint: "Year, kind, plate: what tells it from the others in the yard",
                    value: vehicle.label.clone(),
                    onkeep: move |label| keep_vehicle(house, |vehicle| vehicle.label = label),
                }
                ShelfOffers { job }
                Vin { job }
                Choice {
                    name: "body",
                    legend: "Body",
                    answers: bodies.iter().map(|body| words::body(*body).to_owned()).collect::<Vec<_>>(),
                    chosen: circuit.as_ref().and_then(|_| bodies.iter().position(|body| *body == vehicle.body)),
                    onchoose: move |chosen: usize| keep_vehicle(house, |vehicle| take_body(vehicle, bodies[chosen])),
                }
                if engines.len() > 1 {
                    Choice {
                        name: "engine",
                        legend: "Engine",
                        answers: engines.iter().map(|place| words::engine_place(*place).to_owned()).collect::<Vec<_>>(),
                        chosen: circuit.as_ref().and_then(|_| engines.iter().position(|place| *place == vehicle.engine)),
                        onchoose: {
                            let engines = engines.clone();
                            move |chosen: usize| keep_vehicle(house, |vehicle| vehicle.engine = engines[chosen])
                        },
                    }
                }
                if has_sizes(vehicle.body) {
                    Choice {
                        name: "size",
                        legend: "Wheelbase, among vehicles of this body",
                        answers: sizes.iter().map(|size| words::size_class(*size).to_owned()).collect::<Vec<_>>(),
                        chosen: circuit.as_ref().and_then(|_| sizes.iter().position(|size| *size == vehicle.size)),
                        onchoose: move |chosen: usize| keep_vehicle(house, |vehicle| vehicle.size = sizes[chosen]),
                    }
                }
                Choice {
                    name: "drive-side",
                    legend: "Driver sits on the",
                    answers: vec!["Left".to_owned(), "Right".to_owned()],
                    chosen: circuit.as_ref().map(|_| usize::from(vehicle.drive_side == Side::Right)),
                    onchoose: move |chosen| {
                        let side = if chosen == 1 { Side::Right } else { Side::Left };
                        keep_vehicle(house, |vehicle| vehicle.drive_side = side);
                    },
                }
            }
            section {
                h2 { "Fuse" }
                Field {
                    id: "fuse",
                    label: "Its name in the fuse box",
                    value: fuse.label.clone(),
                    onkeep: move |label| keep_fuse(house, |fuse| fuse.label = label),
                }
                div { class: "field",
                    label { r#for: "rating", "Rating" }
                    p { class: "hint", id: "rating-hint", "The rating that the maker states, not what is fitted now" }
                    select {
                        id: "rating",
                        "aria-describedby": "rating-hint",
                        onchange: move |event: FormEvent| {
                            if let Ok(rating_a) = event.value().parse() {
                                keep_fuse(house, |fuse| fuse.rating_a = rating_a);
                            }
                        },
                        if fuse.rating_a <= 0.0 {
                            option { value: "", selected: true, disabled: true, "Choose" }
                        }
                        // From a file or a list: what is not offered is shown all the same.
                        if fuse.rating_a > 0.0 && !words::RATINGS.contains(&fuse.rating_a) {
                            option { value: "{fuse.rating_a}", selected: true, "{fuse.rating_a} A" }
                        }
                        for rating in words::RATINGS {
                            option { key: "{rating}", value: "{rating}", selected: rating == fuse.rating_a, "{rating} A" }
                        }
                    }
                }
                Choice {
                    name: "fuse-style",
                    legend: "How it is built",
                    answers: FuseStyle::ALL.map(|style| words::fuse_style(style).to_owned()).to_vec(),
                    chosen: circuit.as_ref().and_then(|_| FuseStyle::ALL.iter().position(|style| *style == fuse.style)),
                    onchoose: move |chosen: usize| keep_fuse(house, |fuse| fuse.style = FuseStyle::ALL[chosen]),
                }
                if resets {
                    p { class: "caution", id: "resets",
                        "It trips and closes again by itself: a short is fed again and again, and the wire heats at every closing. Take the breaker out before you look."
                    }
                }
                Choice {
                    name: "fresh-fuse",
                    legend: if resets { "Does the breaker stay closed?" } else { "Does a fresh fuse hold?" },
                    answers: fresh.iter().map(|fresh| words::fresh_fuse(*fresh, fuse.style).to_owned()).collect::<Vec<_>>(),
                    chosen: fresh.iter().position(|fresh| *fresh == concern.fresh_fuse),
                    onchoose: move |chosen: usize| keep(house, |concern| concern.fresh_fuse = fresh[chosen]),
                }
                if concern.fresh_fuse == FreshFuse::OpensAtOnce {
                    p { class: "caution",
                        "The short is there now. "
                        if resets {
                            "Do not let the breaker close on it again and again: out with it, "
                        } else {
                            "Do not feed it with fuse after fuse: "
                        }
                        "a current-limiting test lamp in its place shows it without harm. Unplug one thing after another; when the lamp goes dim, the short is behind what you unplugged last."
                    }
                    Link { class: "key", id: "to-unplug", to: Route::Unplug { job }, "What to unplug first" }
                }
                p { class: "caution", "Never fit a larger fuse or breaker, and never bridge one." }
            }
            section {
                h2 { "What happens" }
                Field {
                    id: "concern",
                    label: "In the customer's words",
                    long: true,
                    value: concern.words.clone(),
                    onkeep: move |text| keep(house, |concern| concern.words = text),
                }
                Field {
                    id: "dead",
                    label: "What is dead while the fuse is open",
                    hint: "Everything on this fuse must be. If something else is dead too, or something on it works, it is another fuse or a second fault.",
                    long: true,
                    value: concern.dead.clone(),
                    onkeep: move |text| keep(house, |concern| concern.dead = text),
                }
                Link { class: "key", id: "to-dead", to: Route::Dead { job }, "Try thing by thing whether it fits" }
                Field {
                    id: "how-often",
                    label: "How often",
                    value: concern.how_often.clone(),
                    onkeep: move |text| keep(house, |concern| concern.how_often = text),
                }
                Field {
                    id: "times",
                    label: "It opened so many times",
                    hint: "As far as anyone can say: how long the drive after the repair must be depends on it.",
                    keyboard: "decimal",
                    value: said(f64::from(often.times)),
                    onkeep: move |text: String| keep_often(house, &text, |often, times| often.times = times as u32),
                }
                Field {
                    id: "hours",
                    label: "In so many hours of use",
                    keyboard: "decimal",
                    value: said(often.hours),
                    onkeep: move |text: String| keep_often(house, &text, |often, hours| often.hours = hours),
                }
                Field {
                    id: "doing",
                    label: "Doing what",
                    value: concern.doing.clone(),
                    onkeep: move |text| keep(house, |concern| concern.doing = text),
                }
                Field {
                    id: "telltale",
                    label: "What shows at once that it has opened",
                    hint: "A lamp or display on this fuse that you can watch while you press",
                    value: concern.telltale.clone(),
                    onkeep: move |text| keep(house, |concern| concern.telltale = text),
                }
            }
        }
    }
}
