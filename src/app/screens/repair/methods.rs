//! How is such a place repaired? Methods to read and to choose; the worker knows them.

use dioxus::prelude::*;

use crate::app::house::House;
use crate::away::methods_question;
use crate::device;
use crate::ids::PointId;
use crate::job::event::Act;
use crate::job::methods::{Method, Methods};
use crate::objects;

/// The methods, each to be opened and taken over.
#[component]
pub fn MethodList(point: Option<PointId>) -> Element {
    let known = use_resource(|| async {
        let answer = device::worker::ask(methods_question()).await.map_err(|error| error.to_string())?;
        objects::from_str::<Methods>(&answer).map_err(|error| error.to_string())
    });
    rsx! {
        match &*known.read() {
            None => rsx! {},
            Some(Err(why)) => rsx! { p { class: "hint", "The methods of repair are not to be had: {why}" } },
            Some(Ok(known)) => rsx! {
                details { id: "methods",
                    summary { "Methods of repair" }
                    p { class: "caution", "{known.maker_first}" }
                    for method in known.methods.iter().cloned() {
                        One { key: "{method.id}", method, point: point.clone() }
                    }
                }
            },
        }
    }
}

#[component]
fn One(method: Method, point: Option<PointId>) -> Element {
    let house = House::get();
    let chosen = method.clone();
    let take = move |_| {
        let Method { id, name, materials, minutes, .. } = chosen.clone();
        let (point, method) = (point.clone(), Some(id));
        house.act(Act::Repair { point, what: name, done: false, minutes: Some(minutes), method, materials });
    };
    rsx! {
        details { class: "method", "data-method": "{method.id}",
            summary { "{method.name}" }
            p { b { "Right: " } "{method.right_when}" }
            p { b { "Not: " } "{method.not_when}" }
            ol {
                for step in &method.steps {
                    li { "{step}" }
                }
            }
            if !method.sealing.is_empty() {
                p { "{method.sealing}" }
            }
            for caution in &method.cautions {
                p { class: "caution", "{caution}" }
            }
            for source in &method.sources {
                p { class: "hint", "{source.criterion}: {source.source}" }
            }
            button { class: "key", onclick: take, "Recommend this" }
        }
    }
}
