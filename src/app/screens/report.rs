//! The report of a job, for the file or for the customer, in a frame that runs no script: of a job on this phone, or of one
//! in a hand-over file, of which nothing is kept unless asked.

use std::collections::{BTreeMap, BTreeSet};
use std::rc::Rc;

use dioxus::core::spawn_forever;
use dioxus::prelude::*;
use gloo_storage::{LocalStorage, Storage};
use wasm_bindgen::JsCast;
use web_sys::Blob;

use crate::app::house::{House, WordKind};
use crate::app::learned::learn;
use crate::app::parts::{Choice, FileKey, Screen, Waiting};
use crate::app::route::Route;
use crate::app::screens::handover::leaving_of;
use crate::app::screens::jobs::take_in;
use crate::away::report_question_for;
use crate::bundle::Leaving;
use crate::device::{self, ObjectUrl, object_url, to_the_end};
use crate::ids::{BundleId, JobId, PhotoHash};
use crate::job::event::{Act, HandOverWay};
use crate::report::Kind;
use crate::store::{IdbStore, Store};

/// For whom it is, and how that is called.
const KINDS: [(Kind, &str); 2] = [(Kind::File, "the file, all of it"), (Kind::Customer, "the customer, one sheet")];

/// Where the shop's prices are kept in this browser.
const PRICES: &str = "loomwalk/prices";

/// A job and its pictures, which live as long as this.
type Told = (Leaving<'static>, BTreeMap<PhotoHash, ObjectUrl>);

/// The report. Without a job: of a file.
#[component]
pub fn Report(job: Option<JobId>) -> Element {
    let house = House::get();
    let navigator = use_navigator();
    let mut kind = use_signal(Kind::default);
    let mut prices = use_signal(|| LocalStorage::get::<String>(PRICES).ok());
    let mut file = use_signal(|| None::<Blob>);
    // Written anew when the job changes, but not under the printer because it was printed.
    let there = use_memo(move || {
        let open = house.open.read();
        open.of(job?).map(|session| session.log.events().filter(|event| event.kind != "handed_over").count())
    });
    let told = use_resource(move || {
        let (there, file) = (there.read().is_some(), file.read().clone());
        async move {
            match (job, file) {
                (Some(job), _) if there => tell(house, job).await.map(Rc::new),
                (None, Some(file)) => read(file).await.map(Rc::new),
                _ => Err(String::new()),
            }
        }
    });
    let page = use_resource(move || {
        let (told, kind, prices) = (told.read().clone(), *kind.read(), prices.read().clone());
        async move { write(told?, kind, prices).await }
    });
    if let Some(job) = job.filter(|_| there.read().is_none()) {
        return rsx! { Waiting { job } };
    }
    let take_prices = move |file| {
        spawn_forever(async move {
            match device::read_text(&file).await {
                Ok(text) => drop(prices.try_write().map(|mut prices| *prices = Some(text))),
                Err(error) => house.say(WordKind::Trouble, error.to_string()),
            }
        });
    };
    let chosen = file.read().clone();
    let action = rsx! {
        button { class: "key main", id: "print", onclick: move |_| print(house, job), "Print, or save as PDF" }
        if let Some(file) = chosen.clone() {
            button {
                class: "key",
                id: "keep-it",
                onclick: move |_| take_in(house, navigator, file.clone()),
                "Keep the job here"
            }
        }
    };
    let (title, back) = match job {
        Some(job) => ("Report", Route::HandOver { job }),
        None => ("Read a hand-over file", Route::Jobs {}),
    };
    let page = page.read().clone().flatten();
    rsx! {
        Screen { title, back, job, action,
            if job.is_none() {
                p { "Choose the file, or drop it here. Its report is shown; nothing of it is kept unless you say so." }
                FileKey {
                    id: "read-file",
                    label: "Choose a file",
                    accept: ".json,application/json",
                    onfile: move |chosen| file.set(Some(chosen)),
                }
            }
            if job.is_some() || chosen.is_some() {
                Choice {
                    name: "for-whom",
                    legend: "For",
                    chosen: KINDS.iter().position(|(known, _)| *known == *kind.read()),
                    answers: KINDS.iter().map(|(_, words)| (*words).to_owned()).collect::<Vec<_>>(),
                    onchoose: move |at: usize| kind.set(KINDS[at].0),
                }
                FileKey {
                    id: "prices",
                    label: "An estimate by a file of prices",
                    accept: ".json,application/json",
                    onfile: take_prices,
                }
                if prices.read().is_some() {
                    button {
                        class: "key",
                        id: "no-prices",
                        onclick: move |_| {
                            LocalStorage::delete(PRICES);
                            prices.set(None);
                        },
                        "No estimate"
                    }
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
                            srcdoc: "{page}",
                        }
                    },
                }
            }
        }
    }
}

/// What a job on this phone tells.
async fn tell(house: House, job: JobId) -> Result<Told, String> {
    let (leaving, hashes) = leaving_of(house, job).ok_or("This job is not open.")?;
    let store = house.store().ok_or("The store is not open.")?;
    let pictures = to_the_end(pictures(store, hashes)).await.ok_or("The pictures cannot be read.")??;
    Ok((leaving, pictures))
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

/// What a job in a file tells.
async fn read(file: Blob) -> Result<Told, String> {
    let unpacked = device::worker::unpack(file).await.map_err(|error| error.to_string())?;
    let mut pictures = BTreeMap::new();
    for photo in unpacked.photos {
        let shown = match photo.preview {
            Some(small) => object_url(&small, "image/jpeg"),
            None if photo.media_type.starts_with("audio/") => object_url(&photo.original, &photo.media_type),
            None => continue,
        };
        pictures.insert(photo.photo_hash, shown.map_err(|error| error.to_string())?);
    }
    Ok((unpacked.leaving, pictures))
}

/// The page. `None`: nothing is told yet. Prices that served once are kept for the next report.
async fn write(told: Result<Rc<Told>, String>, kind: Kind, prices: Option<String>) -> Option<Result<String, String>> {
    let told = match told {
        Ok(told) => told,
        Err(why) if why.is_empty() => return None,
        Err(why) => return Some(Err(why)),
    };
    let addresses = told.1.iter().map(|(hash, url)| (hash, url.as_str()));
    let question = report_question_for(&told.0, addresses, kind, &device::speak::language(), prices.as_deref());
    let html = match question {
        Ok(question) => device::worker::ask(question).await.map(device::speak::page).map_err(|error| error.to_string()),
        Err(error) => Err(error.to_string()),
    };
    if let (Ok(_), Some(prices)) = (&html, prices) {
        // Without room for them they are asked for again.
        let _ = LocalStorage::set(PRICES, prices);
    }
    Some(html)
}

fn print(house: House, job: Option<JobId>) {
    let frame = web_sys::window()
        .and_then(|window| window.document()?.get_element_by_id("report"))
        .and_then(|element| element.dyn_into::<web_sys::HtmlIFrameElement>().ok())
        .and_then(|frame| frame.content_window());
    match (frame.map(|frame| frame.print()), job) {
        (Some(Ok(())), Some(job)) => {
            let bundle_id = BundleId(house.id());
            house.act_in(job, vec![Act::HandedOver { bundle_id, way: HandOverWay::Print }], Vec::new());
            learn(house, job);
        }
        (Some(Ok(())), None) => {}
        _ => house.say(
            WordKind::Trouble,
            "This browser does not print from here. Hand over the file and print it at the desk.",
        ),
    }
}
