//! The report of a job, for the file or for the customer, in a frame that runs no script: of a job on this phone, or of one
//! in a hand-over file, of which nothing is kept unless asked.

use std::collections::{BTreeMap, BTreeSet};
use std::rc::Rc;

use dioxus::core::spawn_forever;
use dioxus::prelude::*;
use gloo_storage::{LocalStorage, Storage};
use js_sys::ArrayBuffer;
use wasm_bindgen::JsCast;
use web_sys::Blob;

use crate::app::house::{House, WordKind};
use crate::app::learned::learn;
use crate::app::parts::{Choice, FileKey, Screen, Waiting};
use crate::app::route::Route;
use crate::app::screens::handover::leaving_of;
use crate::app::screens::jobs::take_in;
use crate::app::small;
use crate::away::report_question_for;
use crate::device::{self, ObjectUrl, object_url, to_the_end};
use crate::ids::{BundleId, JobId, PhotoHash};
use crate::job::event::{Act, HandOverWay};
use crate::report::Kind;
use crate::store::{IdbStore, Store};

/// For whom it is, and how that is called.
const KINDS: [(Kind, &str); 2] = [(Kind::File, "the file, all of it"), (Kind::Customer, "the customer, one sheet")];

/// Where the shop's prices are kept in this browser.
const PRICES: &str = "loomwalk/prices";

/// What a report is written of: the JSON of a [`Leaving`], and its pictures, which live as long as this.
///
/// [`Leaving`]: crate::bundle::Leaving
type Told = Rc<(String, BTreeMap<PhotoHash, ObjectUrl>)>;

/// A file that was chosen: still being read, or what is in it.
#[derive(Clone)]
struct Chosen {
    file: Blob,
    told: Option<Result<Told, String>>,
}

/// The report. Without a job: of a file.
#[component]
pub fn Report(job: Option<JobId>) -> Element {
    let house = House::get();
    let navigator = use_navigator();
    let mut kind = use_signal(Kind::default);
    let mut prices = use_signal(|| LocalStorage::get::<String>(PRICES).ok());
    let mut chosen = use_signal(|| None::<Chosen>);
    // Written anew when the job changes, but not under the printer because it was printed.
    let there = use_memo(move || {
        let open = house.open.read();
        open.of(job?).map(|session| session.log.events().filter(|event| event.kind != "handed_over").count())
    });
    // The pictures live as long as the page that shows them.
    let page = use_resource(move || {
        let (there, chosen) = (there.read().is_some(), chosen.read().clone());
        let (kind, prices) = (*kind.read(), prices.read().clone());
        async move {
            let told = match job {
                Some(job) if there => tell(house, job).await,
                Some(_) => return None,
                None => chosen?.told?,
            };
            let told = match told {
                Ok(told) => told,
                Err(why) => return Some(Err(why)),
            };
            Some(write(house, &told, kind, prices).await.map(|html| (html, told)))
        }
    });
    let read_file = move |file: Blob| {
        chosen.set(Some(Chosen { file: file.clone(), told: None }));
        spawn_forever(async move {
            let told = read(file.clone()).await;
            // Whoever asked may have left the screen.
            let _ = chosen.try_write().map(|mut chosen| *chosen = Some(Chosen { file, told: Some(told) }));
        });
    };
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
    let file = chosen.read().clone().map(|chosen| chosen.file);
    // While another one is written there is none: the old one is not printed in its place.
    let page = match *page.state().read() {
        UseResourceState::Ready => page.read().clone().flatten(),
        _ => None,
    };
    let is_there = matches!(page, Some(Ok(_)));
    let action = rsx! {
        if job.is_some() || file.is_some() {
            button { class: "key main", id: "print", disabled: !is_there, onclick: move |_| print(house, job), "Print, or save as PDF" }
        }
        if let Some(file) = file.clone() {
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
    rsx! {
        Screen { title, back, job, action,
            if job.is_none() {
                p { "Choose the file, or drop it here. Its report is shown; nothing of it is kept unless you say so." }
                FileKey {
                    id: "read-file",
                    label: "Choose a file",
                    accept: ".json,application/json",
                    onfile: read_file,
                }
            }
            if job.is_some() || file.is_some() {
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
                            small::has_changed(house);
                            prices.set(None);
                        },
                        "No estimate"
                    }
                }
                match page {
                    None => rsx! { p { class: "hint", role: "status", "Writing the report …" } },
                    Some(Err(why)) => rsx! { p { class: "trouble-text", role: "alert", "{why}" } },
                    Some(Ok((page, _))) => rsx! {
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
    let pictures = to_the_end(pictures(house, store, hashes)).await.ok_or("The pictures cannot be read.")??;
    Ok(Rc::new((serde_json::to_string(&leaving).map_err(|error| error.to_string())?, pictures)))
}

async fn pictures(
    house: House,
    store: Rc<IdbStore>,
    hashes: BTreeSet<PhotoHash>,
) -> Result<BTreeMap<PhotoHash, ObjectUrl>, String> {
    let in_touch = house.outbox.peek().is_in_touch();
    let mut pictures = BTreeMap::new();
    for hash in hashes {
        let mut shown = shown(&store, &hash).await?;
        // Someone else's, that was never looked at here.
        if shown.is_none() && in_touch && house.bring_small(&hash).await {
            shown = self::shown(&store, &hash).await?;
        }
        if let Some((media_type, bytes)) = shown.filter(|(kind, _)| kind.starts_with("audio/") || kind == "image/jpeg")
        {
            pictures.insert(hash, object_url(&bytes, &media_type).map_err(|error| error.to_string())?);
        }
    }
    Ok(pictures)
}

/// What a report shows of a photograph: its preview. A recording has none, and is heard whole.
async fn shown(store: &IdbStore, hash: &PhotoHash) -> Result<Option<(String, ArrayBuffer)>, String> {
    match store.preview(hash).await.map_err(|error| error.to_string())? {
        Some(small) => Ok(Some(small)),
        None => store.photo(hash).await.map_err(|error| error.to_string()),
    }
}

/// What a job in a file tells.
async fn read(file: Blob) -> Result<Told, String> {
    let unpacked = device::worker::unpack(file, |_| {}).await.map_err(|error| error.to_string())?;
    let mut pictures = BTreeMap::new();
    for photo in unpacked.photos {
        let shown = match photo.preview {
            Some(small) => object_url(&small, "image/jpeg"),
            None if photo.media_type.starts_with("audio/") => object_url(&photo.original, &photo.media_type),
            None => continue,
        };
        pictures.insert(photo.photo_hash, shown.map_err(|error| error.to_string())?);
    }
    Ok(Rc::new((unpacked.leaving, pictures)))
}

/// The page. Prices that served once are kept for the next report.
async fn write(house: House, told: &Told, kind: Kind, prices: Option<String>) -> Result<String, String> {
    let addresses = told.1.iter().map(|(hash, url)| (hash, url.as_str()));
    let question = report_question_for(&told.0, addresses, kind, &device::speak::language(), prices.as_deref());
    let question = question.map_err(|error| error.to_string())?;
    let html = device::worker::ask(question).await.map_err(|error| error.to_string())?;
    if let Some(prices) = prices.filter(|prices| LocalStorage::get(PRICES).ok().as_ref() != Some(prices)) {
        // Without room for them they are asked for again.
        let _ = LocalStorage::set(PRICES, prices);
        small::has_changed(house);
    }
    Ok(device::speak::page(html))
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
