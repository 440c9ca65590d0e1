//! The report as the customer will read it, in a frame that runs no script.

use std::collections::{BTreeMap, BTreeSet};
use std::rc::Rc;

use dioxus::prelude::*;
use wasm_bindgen::JsCast;

use crate::app::house::{House, WordKind};
use crate::app::learned::learn;
use crate::app::parts::{Choice, Screen, Waiting};
use crate::app::route::Route;
use crate::app::screens::handover::leaving_of;
use crate::away::report_question_for;
use crate::device::{self, ObjectUrl, object_url, to_the_end};
use crate::ids::{BundleId, JobId, PhotoHash};
use crate::job::event::{Act, HandOverWay};
use crate::report::Kind;
use crate::store::{IdbStore, Store};

/// A report with the pictures that it shows.
struct Page {
    html: String,
    /// Pictures live as long as the page.
    _pictures: BTreeMap<PhotoHash, ObjectUrl>,
}

/// For whom it is, and how that is called.
const KINDS: [(Kind, &str); 2] = [(Kind::File, "the file, all of it"), (Kind::Customer, "the customer, one sheet")];

/// The report.
#[component]
pub fn Report(job: JobId) -> Element {
    let house = House::get();
    // Written anew when the job changes, but not under the printer because it was printed.
    let told = use_memo(move || {
        let open = house.open.read();
        open.of(job).map(|session| session.log.events().filter(|event| event.kind != "handed_over").count())
    });
    let mut kind = use_signal(Kind::default);
    let page = use_resource(move || async move {
        let (there, kind) = (told.read().is_some(), *kind.read());
        if there { make(house, job, kind).await.map(Rc::new) } else { Err(String::new()) }
    });
    if told.read().is_none() {
        return rsx! { Waiting { job } };
    }
    let action = rsx! {
        button { class: "key main", id: "print", onclick: move |_| print(house, job), "Print, or save as PDF" }
    };
    let page = page.read().clone();
    rsx! {
        Screen { title: "Report", back: Route::HandOver { job }, job, action,
            Choice {
                name: "for-whom",
                legend: "For",
                chosen: KINDS.iter().position(|(known, _)| *known == *kind.read()),
                answers: KINDS.iter().map(|(_, words)| (*words).to_owned()).collect::<Vec<_>>(),
                onchoose: move |at: usize| kind.set(KINDS[at].0),
            }
            match page {
                None => rsx! { p { class: "hint", role: "status", "Writing the report …" } },
                Some(Err(why)) => rsx! { p { class: "trouble-text", role: "alert", "{why}" } },
                Some(Ok(page)) => rsx! {
                    iframe {
                        id: "report",
                        class: "report",
                        title: "The report",
                        "sandbox": "allow-same-origin allow-modals",
                        srcdoc: "{page.html}",
                    }
                },
            }
        }
    }
}

async fn make(house: House, job: JobId, kind: Kind) -> Result<Page, String> {
    let (leaving, hashes) = leaving_of(house, job).ok_or("This job is not open.")?;
    let store = house.store().ok_or("The store is not open.")?;
    let pictures = to_the_end(pictures(store, hashes)).await.ok_or("The pictures cannot be read.")??;
    let addresses = pictures.iter().map(|(hash, url)| (hash, url.as_str()));
    let question = report_question_for(&leaving, addresses, kind, &device::speak::language(), None)
        .map_err(|error| error.to_string())?;
    let html = device::worker::ask(question).await.map_err(|error| error.to_string())?;
    Ok(Page { html: device::speak::page(html), _pictures: pictures })
}

async fn pictures(store: Rc<IdbStore>, hashes: BTreeSet<PhotoHash>) -> Result<BTreeMap<PhotoHash, ObjectUrl>, String> {
    let mut pictures = BTreeMap::new();
    for hash in hashes {
        let small = store.preview(&hash).await.map_err(|error| error.to_string())?;
        let shown = match small {
            Some(small) => Some(small),
            // A recording has no preview: it is heard whole.
            None => store.photo(&hash).await.map_err(|error| error.to_string())?,
        };
        if let Some((media_type, bytes)) = shown.filter(|(kind, _)| kind.starts_with("audio/") || kind == "image/jpeg")
        {
            pictures.insert(hash, object_url(&bytes, &media_type).map_err(|error| error.to_string())?);
        }
    }
    Ok(pictures)
}

fn print(house: House, job: JobId) {
    let frame = web_sys::window()
        .and_then(|window| window.document()?.get_element_by_id("report"))
        .and_then(|element| element.dyn_into::<web_sys::HtmlIFrameElement>().ok())
        .and_then(|frame| frame.content_window());
    match frame.map(|frame| frame.print()) {
        Some(Ok(())) => {
            let bundle_id = BundleId(house.id());
            house.act_in(job, vec![Act::HandedOver { bundle_id, way: HandOverWay::Print }], Vec::new());
            learn(house, job);
        }
        _ => house.say(
            WordKind::Trouble,
            "This browser does not print from here. Hand over the file and print it at the desk.",
        ),
    }
}
