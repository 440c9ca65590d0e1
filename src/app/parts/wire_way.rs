//! Which way goes the wire to a load? As the loom goes, or another that the vehicle allows.

use dioxus::prelude::*;

use crate::app::house::House;
use crate::app::screens::load::changed;
use crate::circuit::expand::{feed_ways, metres};
use crate::circuit::harness::Place;
use crate::ids::{JobId, LoadId};
use crate::vehicle::body::{ZoneMap, fit};

/// What places are called, one after another.
fn named(map: &ZoneMap, places: &[Place]) -> String {
    let label = |place: &Place| match place {
        Place::Zone(id) => map.zone(id).map_or(id.as_str(), |zone| &zone.label).to_owned(),
        Place::Passage(id) => map.passage(id).map_or(id.as_str(), |passage| &passage.label).to_owned(),
    };
    places.iter().map(label).collect::<Vec<_>>().join(", ")
}

/// The ways of a load's wire, where nothing is stated of it.
#[component]
pub fn WireWay(job: JobId, load: LoadId) -> Element {
    let house = House::get();
    let open = house.open.read();
    let circuit = open.of(job).and_then(|session| session.job.circuit.as_ref());
    let Some(circuit) = circuit.filter(|circuit| circuit.fuse.rating_a > 0.0) else { return rsx! {} };
    let map = fit(&circuit.vehicle);
    let Some(ways) = feed_ways(circuit, &map, &load) else { return rsx! {} };
    let now = circuit.loads.iter().find(|known| known.id == load).map(|load| load.via.clone()).unwrap_or_default();
    let zones: Vec<Place> = ways.loom.iter().map(|stretch| stretch.place.clone()).collect();
    let zones: Vec<Place> = zones.into_iter().filter(|place| matches!(place, Place::Zone(_))).collect();
    let usual = format!("with the loom, {:.1} m: {}", metres(&ways.loom).0, named(&map.map, &zones));
    let mut answers = vec![(Vec::new(), usual)];
    answers.extend(ways.others.iter().map(|other| {
        let through = format!("through {}, {:.1} m", named(&map.map, &other.via), metres(&other.way).0);
        (other.via.clone(), through)
    }));
    if !answers.iter().any(|(via, _)| *via == now) {
        answers.push((now.clone(), format!("through {}, as stated", named(&map.map, &now))));
    }
    drop(open);
    let offered: Vec<Vec<Place>> = answers.iter().map(|(via, _)| via.clone()).collect();
    rsx! {
        div { class: "field",
            label { r#for: "wire-way", "Its wire goes" }
            select {
                id: "wire-way",
                onchange: move |event: FormEvent| {
                    let via = event.value().parse().ok().and_then(|at: usize| offered.get(at).cloned());
                    if let Some(via) = via {
                        house.change(|job| changed(job, &load, &|load| load.via.clone_from(&via)));
                    }
                },
                for (at, (via, answer)) in answers.into_iter().enumerate() {
                    option { key: "{at}", value: "{at}", selected: via == now, "{answer}" }
                }
            }
        }
    }
}
