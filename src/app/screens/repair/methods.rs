//! How is such a place repaired? Methods to read and to choose; the worker knows them.

use dioxus::prelude::*;
use js_sys::{Array, JSON, Object, Reflect};
use wasm_bindgen::JsValue;

use crate::app::house::House;
use crate::app::parts::Unfold;
use crate::away::methods_question;
use crate::device::{self, field, object};
use crate::ids::PointId;
use crate::job::event::Act;
use crate::objects;

/// A method as it is shown, and what choosing it does.
///
/// Read field by field: a reader of the type itself would make the first start's download larger for a list that the
/// program's own worker has written.
#[derive(Debug, Clone, PartialEq)]
struct Shown {
    id: String,
    name: String,
    right_when: String,
    not_when: String,
    steps: Vec<String>,
    sealing: String,
    cautions: Vec<String>,
    sources: Vec<String>,
    act: Option<Act>,
}

impl Shown {
    fn of(method: &JsValue) -> Self {
        let sources = Array::from(&field(method, "sources"));
        Self {
            id: text(method, "id"),
            name: text(method, "name"),
            right_when: text(method, "right_when"),
            not_when: text(method, "not_when"),
            steps: texts(method, "steps"),
            sealing: text(method, "sealing"),
            cautions: texts(method, "cautions"),
            sources: sources
                .iter()
                .map(|source| format!("{}: {}", text(&source, "criterion"), text(&source, "source")))
                .collect(),
            act: act(method),
        }
    }
}

fn text(of: &JsValue, name: &str) -> String {
    field(of, name).as_string().unwrap_or_default()
}

fn texts(of: &JsValue, name: &str) -> Vec<String> {
    Array::from(&field(of, name)).iter().filter_map(|line| line.as_string()).collect()
}

/// The repair that choosing the method writes down, at no place yet.
fn act(method: &JsValue) -> Option<Act> {
    let repair = object([
        ("what", field(method, "name")),
        ("done", JsValue::FALSE),
        ("minutes", field(method, "minutes")),
        ("method", field(method, "id")),
        ("materials", field(method, "materials")),
    ]);
    let act = Object::new();
    Reflect::set(&act, &"repair".into(), &repair).ok()?;
    objects::from_str(&String::from(JSON::stringify(&act).ok()?)).ok()
}

/// The methods, each to be opened and taken over.
#[component]
pub fn MethodList(point: Option<PointId>) -> Element {
    let house = House::get();
    let known = use_resource(|| async {
        let answer = device::worker::ask(methods_question()).await.map_err(|error| error.to_string())?;
        let known = JSON::parse(&answer).unwrap_or_default();
        let methods: Vec<Shown> =
            Array::from(&field(&known, "methods")).iter().map(|method| Shown::of(&method)).collect();
        Ok::<_, String>((text(&known, "maker_first"), methods))
    });
    rsx! {
        match &*known.read() {
            None => rsx! {},
            Some(Err(why)) => rsx! { p { class: "hint", "The methods of repair are not to be had: {why}" } },
            Some(Ok((maker_first, methods))) => rsx! {
                Unfold { id: "methods", summary: rsx! { "Methods of repair" },
                    p { class: "caution", "{maker_first}" }
                    for method in methods.iter().cloned() {
                        {one(house, &method, point.clone())}
                    }
                }
            },
        }
    }
}

/// A method. No component of its own: it keeps nothing.
fn one(house: House, method: &Shown, point: Option<PointId>) -> Element {
    let chosen = method.act.clone();
    let take = move |_| {
        let Some(Act::Repair { what, done, minutes, method, materials, .. }) = chosen.clone() else { return };
        let point = point.clone();
        // Once at a place: a second tap would price it twice.
        house.saying("It is on the list of repairs.", || {
            house.change(|job| {
                let there = job.repairs.iter().any(|made| made.method == method && made.point == point && !made.done);
                let repair = Act::Repair { of: None, point, what, done, minutes, method, materials };
                if there { Vec::new() } else { vec![repair] }
            });
        });
    };
    rsx! {
        details { key: "{method.id}", class: "method", "data-method": "{method.id}",
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
                p { class: "hint", "{source}" }
            }
            button { class: "key", onclick: take, "Recommend this" }
        }
    }
}
