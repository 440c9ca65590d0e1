//! Shelf: circuits that are kept for the next time.

use std::rc::Rc;

use dioxus::core::spawn_forever;
use dioxus::prelude::*;

use crate::app::house::{House, WordKind};
use crate::app::parts::{FileKey, Find, Screen, UseIt, Waiting};
use crate::app::route::Route;
use crate::app::shelf::{about, use_shelf};
use crate::app::words;
use crate::away::shelf_file_question;
use crate::device;
use crate::ids::JobId;
use crate::objects;
use crate::shelf::file::ShelfFile;
use crate::shelf::read::{MOST_BYTES, ShelfError};
use crate::shelf::{Brought, Shelf as Kept, Shelved};

/// The name of the file that the shelf is saved as.
const FILE: &str = "circuits.shelf.json";

/// All circuits that are kept.
#[component]
pub fn Shelf() -> Element {
    let house = House::get();
    let shelf = use_shelf();
    let full = matches!(&shelf, Some(Ok(shelf)) if !shelf.entries().is_empty());
    let to_save = shelf.clone();
    let save = move |_| {
        if let Some(Ok(shelf)) = &to_save {
            save(house, Rc::clone(shelf));
        }
    };
    let action = rsx! {
        Link { class: "key main", to: Route::Jobs {}, "To the jobs" }
    };
    rsx! {
        Screen { title: "Shelf", back: Route::Jobs {}, action,
            match shelf {
                None => rsx! { p { class: "hint", role: "status", "Reading the shelf …" } },
                Some(Err(why)) => rsx! { p { class: "trouble-text", role: "alert", "{words::sentence(&why)}" } },
                Some(Ok(shelf)) => rsx! {
                    Found { shelf, line: |shelved: Shelved| rsx! { Line { shelved } } }
                },
            }
            div { class: "side",
                if full {
                    button { class: "key", id: "save-shelf", onclick: save, "Save the whole shelf as a file" }
                }
                FileKey {
                    id: "open-shelf",
                    label: "Take in a shelf file",
                    accept: ".json,application/json",
                    onfile: move |file| take_in(house, file),
                }
            }
        }
    }
}

/// The same, to use one in a job.
#[component]
pub fn ShelfIn(job: JobId) -> Element {
    let house = House::get();
    let navigator = use_navigator();
    let shelf = use_shelf();
    if house.open.read().of(job).is_none() {
        return rsx! { Waiting { job } };
    }
    let action = rsx! {
        Link { class: "key main", to: Route::Concern { job }, "Back to the concern" }
    };
    rsx! {
        Screen { title: "From the shelf", back: Route::Concern { job }, job, action,
            match shelf {
                None => rsx! { p { class: "hint", role: "status", "Reading the shelf …" } },
                Some(Err(why)) => rsx! { p { class: "trouble-text", role: "alert", "{words::sentence(&why)}" } },
                Some(Ok(shelf)) => rsx! {
                    Found {
                        shelf,
                        line: move |shelved: Shelved| rsx! {
                            UseIt { job, shelved, onused: move |()| { navigator.push(Route::Circuit { job }); } }
                        },
                    }
                },
            }
        }
    }
}

/// What fits the words that are typed.
#[component]
fn Found(shelf: Rc<Kept>, line: Callback<Shelved, Element>) -> Element {
    let typed = use_signal(String::new);
    let field = use_signal(|| None);
    if shelf.entries().is_empty() {
        return rsx! {
            p { id: "shelf-empty",
                "Nothing on it yet. “Keep this circuit on the shelf” on a job's circuit screen puts it here: the next time that this vehicle comes, or a sister of it, its circuit need not be entered again."
            }
        };
    }
    let found: Vec<Shelved> = shelf.find(&typed.read()).into_iter().cloned().collect();
    rsx! {
        Find { id: "find-shelf", label: "Find", hint: "Vehicle, fuse, body, or anything on the fuse", typed, field }
        if found.is_empty() {
            p { class: "hint", role: "status", "No circuit on the shelf has all of these words." }
        }
        ul { class: "told",
            for shelved in found {
                li { key: "{shelved.id}", {line.call(shelved)} }
            }
        }
    }
}

#[component]
fn Line(shelved: Shelved) -> Element {
    rsx! {
        Link { class: "shelf-line", to: Route::Shelved { entry: shelved.id },
            strong { translate: "no", "{shelved.label}" }
            span { class: "hint", "{about(&shelved)}" }
            span { class: "hint", "Kept {words::day(shelved.kept_at)}" }
        }
    }
}

fn save(house: House, shelf: Rc<Kept>) {
    spawn_forever(async move {
        let saved = async {
            let text = serde_json::to_string(&shelf.file()).map_err(|error| error.to_string())?;
            let blob = device::json_blob(&text).map_err(|error| error.to_string())?;
            device::share_or_download(blob, FILE).await.map_err(|error| error.to_string())
        };
        match saved.await {
            Ok(device::Shared::Dismissed) => {}
            Ok(_) => house.say(WordKind::Done, "The file is made."),
            Err(why) => house.say(WordKind::Trouble, format!("The shelf was not saved as a file: {why}")),
        }
    });
}

/// Takes in a shelf file: all of it, or nothing and why.
fn take_in(house: House, file: web_sys::Blob) {
    let work = house.work(format!("Reading the file, {} …", words::size(file.size())));
    spawn_forever(async move {
        let taken = take_in_now(house, file).await;
        drop(work);
        match taken {
            Ok(brought) => house.say(WordKind::Done, told(brought)),
            Err(why) => house.say(WordKind::Trouble, format!("Nothing was taken in: {why}")),
        }
    });
}

async fn take_in_now(house: House, file: web_sys::Blob) -> Result<Brought, String> {
    if file.size() > MOST_BYTES as f64 {
        return Err(ShelfError::TooLarge { bytes: file.size() as usize }.to_string());
    }
    let text = device::read_text(&file).await.map_err(|error| error.to_string())?;
    let asked = shelf_file_question(&text).map_err(|error| error.to_string())?;
    let answer = device::worker::ask(asked).await.map_err(|error| error.to_string())?;
    let read: Result<ShelfFile, String> = objects::from_str(&answer).map_err(|error| error.to_string())?;
    let ShelfFile { entries, taken_off, .. } = read?;
    let theirs = Kept::of(entries, taken_off);
    house.keep_on_shelf(theirs).await.map_err(|error| error.to_string())
}

/// What a file has brought.
fn told(brought: Brought) -> String {
    let Brought { new, newer, off } = brought;
    let parts = [
        (new, format!("{} new", words::count(new, "circuit", "circuits"))),
        (newer, format!("{newer} newer than here")),
        (off, format!("{off} taken off")),
    ];
    let parts: Vec<String> = parts.into_iter().filter(|(number, _)| *number > 0).map(|(_, words)| words).collect();
    if parts.is_empty() {
        "Everything in it was here already.".to_owned()
    } else {
        format!("Taken in: {}.", parts.join(", "))
    }
}
