//! Jobs: what is open, with the next place to look on each.

use std::rc::{Rc, Weak};

use dioxus::core::spawn_forever;
use dioxus::prelude::*;
use dioxus::router::Navigator;

use crate::app::address;
use crate::app::here;
use crate::app::house::{House, Open, WordKind, opened};
use crate::app::parts::{AtDesk, FileKey, Screen};
use crate::app::route::Route;
use crate::app::words;
use crate::device::worker::Unpacked;
use crate::device::{self, DeviceError};
use crate::gather::Order as _;
use crate::ids::JobId;
use crate::job::event::Event;
use crate::job::log::Log;
use crate::job::session::Session;
use crate::objects;
use crate::store::{IdbStore, Store};

/// Where the practice job lies.
const PRACTICE: &str = "/demo/van.loomwalk.json";

/// A job in the list.
#[derive(Debug, Clone, PartialEq)]
struct Line {
    job: JobId,
    title: String,
    /// Whether a user wrote the title.
    written: bool,
    vehicle: String,
    next: String,
    looked: usize,
    practice: bool,
}

impl Line {
    fn of(session: &Session) -> Self {
        let job = &session.job;
        let circuit = job.circuit.as_ref();
        let vehicle = circuit.map(|circuit| circuit.vehicle.label.clone()).unwrap_or_default();
        let fuse = circuit.map(|circuit| circuit.fuse.label.clone()).unwrap_or_default();
        let title = [job.concern.words.clone(), fuse].into_iter().find(|text| !text.is_empty());
        let next = if job.findings.is_empty() {
            session.next().map_or_else(|| "Nothing to look at yet".to_owned(), |step| format!("Next: {}", step.title))
        } else if job.is_handed_over() {
            "Found and handed over".to_owned()
        } else {
            "Found: repair, prove it, hand over".to_owned()
        };
        Self {
            job: job.id,
            written: title.is_some(),
            title: title.unwrap_or_else(|| "New job".to_owned()),
            vehicle,
            next,
            looked: session.progress().looked,
            practice: job.practice,
        }
    }

    fn unread(job: JobId, why: String) -> Self {
        Self {
            job,
            title: "A job that cannot be read".to_owned(),
            written: false,
            vehicle: String::new(),
            next: why,
            looked: 0,
            practice: false,
        }
    }
}

/// The first screen.
#[component]
pub fn Jobs() -> Element {
    let house = House::get();
    let navigator = use_navigator();
    use_future(move || async move {
        if let Some(route) = here::left_off(house).await {
            navigator.replace(route);
        }
    });
    let lines = use_resource(move || async move {
        let _ = house.jobs_changed.read();
        let starting = matches!(&*house.open.read(), Open::Starting);
        let store = house.store().filter(|_| !starting)?;
        // Dropped with this future: when the list is made anew, or nobody looks at it any more.
        let wanted = Rc::new(());
        device::to_the_end(read_lines(store, Rc::downgrade(&wanted))).await
    });
    let failed = match &*house.open.read() {
        Open::Failed(why) => Some(why.clone()),
        _ => None,
    };
    let mut opening = use_signal(|| false);
    let no_store = failed.is_some();
    let begin = move |_| {
        // A second tap of the same thumb opens no second job.
        if opening.replace(true) {
            return;
        }
        spawn_forever(async move {
            match house.new_job(false).await {
                Ok(job) => {
                    device::begin_to_persist();
                    navigator.push(Route::Concern { job });
                }
                Err(error) => {
                    opening.set(false);
                    house.say(WordKind::Trouble, format!("No job was opened: {error}"));
                }
            }
        });
    };
    let action = rsx! {
        button { class: "key main", id: "new-job", onclick: begin, "New job" }
    };
    let lines = lines.read().clone().flatten();
    let is_read = lines.is_some();
    let here_already = match &lines {
        Some(Ok(lines)) => lines.iter().map(|line| line.job).collect(),
        _ => Vec::new(),
    };
    rsx! {
        Screen { title: "Jobs", action,
            if let Some(failed) = failed {
                p { class: "trouble-text", role: "alert", "{failed}" }
            }
            match lines {
                None if no_store => rsx! {},
                None => rsx! { p { class: "hint", role: "status", "Reading the jobs …" } },
                Some(Err(error)) => rsx! { p { class: "trouble-text", role: "alert", "{error}" } },
                Some(Ok(lines)) if lines.is_empty() => welcome(),
                Some(Ok(lines)) => rsx! {
                    ul { class: "lines",
                        for line in lines {
                            li { key: "{line.job}",
                                Link { class: "line", to: line_route(&line),
                                    strong { translate: if line.written { "no" }, "{line.title}" }
                                    if line.practice {
                                        span { class: "tag", "Practice" }
                                    }
                                    if !line.vehicle.is_empty() {
                                        span { class: "hint", translate: "no", "{line.vehicle}" }
                                    }
                                    span { "{line.next}" }
                                    if line.looked > 0 {
                                        span { class: "hint", "{words::count(line.looked, \"place\", \"places\")} looked at" }
                                    }
                                }
                            }
                        }
                    }
                },
            }
            // Not before the jobs, which would push it down under somebody's thumb.
            if is_read || no_store {
                AtDesk { here: here_already }
                div { class: "side",
                    OpenFile {}
                    Link { class: "key", id: "to-read", to: Route::Read {}, "Read a hand-over file, keep nothing" }
                    Link { class: "key", id: "to-shelf", to: Route::Shelf {}, "Circuits on the shelf" }
                    button { class: "key", id: "practice", onclick: move |_| practice(house, navigator), "Practise on the demo van" }
                    Link { class: "key", id: "to-watch-alone", to: Route::WatchAlone {}, "Watch a telltale for another phone" }
                    Link { class: "key", to: Route::Guide { at: String::new() }, "How it works" }
                    Link { class: "key", to: Route::Settings {}, "Settings and storage" }
                }
                p { class: "caution",
                    "For trained people. The maker's service information and your local rules come first."
                }
            }
        }
    }
}

/// What Loomwalk is about. It stands in index.html, where who comes for the first time sees it before the program is there.
fn welcome() -> Element {
    let told = web_sys::window()
        .and_then(|window| window.document()?.get_element_by_id("welcome"))
        .map(|welcome| welcome.inner_html())
        .unwrap_or_default();
    rsx! {
        // Said in the reader's language there already.
        section { class: "empty", translate: "no", dangerous_inner_html: told }
    }
}

/// A key that opens a hand-over file.
#[component]
fn OpenFile() -> Element {
    let house = House::get();
    let navigator = use_navigator();
    rsx! {
        FileKey {
            id: "open-file",
            label: "Open a hand-over file",
            accept: ".json,application/json",
            onfile: move |file| take_in(house, navigator, file),
        }
    }
}

fn line_route(line: &Line) -> Route {
    if line.vehicle.is_empty() && line.looked == 0 {
        Route::Concern { job: line.job }
    } else {
        Route::Walk { job: line.job }
    }
}

/// The list, as far as it was read while it was wanted.
async fn read_lines(store: Rc<IdbStore>, wanted: Weak<()>) -> Result<Vec<Line>, String> {
    let mut lines = Vec::new();
    for job in store.jobs().await.map_err(|error| error.to_string())? {
        if wanted.strong_count() == 0 {
            break;
        }
        let log = match store.log(job).await {
            Ok(events) => Log::of(events).map_err(|error| error.to_string()),
            Err(error) => Err(error.to_string()),
        };
        lines.push(match log {
            Ok(log) => {
                let session = opened(job, log).await;
                (session.job.changed_at, Line::of(&session))
            }
            // One job that cannot be read hides none of the others.
            Err(why) => (None, Line::unread(job, why)),
        });
    }
    lines.order_by(|(one, _), (other, _)| other.cmp(one));
    Ok(lines.into_iter().map(|(_, line)| line).collect())
}

/// Takes in a hand-over file: all of it, or nothing and why.
pub fn take_in(house: House, navigator: Navigator, file: web_sys::Blob) {
    spawn_forever(take_in_as(house, navigator, file, None));
}

/// The same, as another job than the file's if one is named.
async fn take_in_as(house: House, navigator: Navigator, file: web_sys::Blob, job: Option<JobId>) {
    let work = house.work(format!("Reading the file, {} …", words::size(file.size())));
    let asked_at = address::path();
    let unpacking = device::worker::unpack(file, work.progress());
    let Some(unpacked) = work.unless_stopped(unpacking).await else { return };
    let taken = keep_unpacked(house, unpacked, job).await;
    drop(work);
    match taken {
        Ok(job) => {
            // Whoever went on elsewhere meanwhile stays there.
            if address::path() == asked_at {
                navigator.push(Route::Walk { job });
            }
            house.say(WordKind::Done, "The job is on this phone now.");
        }
        Err(why) => house.say(WordKind::Trouble, format!("Nothing was taken in: {why}")),
    }
}

async fn keep_unpacked(
    house: House,
    unpacked: Result<Unpacked, DeviceError>,
    job: Option<JobId>,
) -> Result<JobId, String> {
    let unpacked = unpacked.map_err(|error| error.to_string())?;
    let job = job.unwrap_or(unpacked.job);
    let events: Vec<Event> = objects::from_str(&unpacked.log).map_err(|error| error.to_string())?;
    house.keep(job, events, unpacked.photos).await.map_err(|error| error.to_string())?;
    Ok(job)
}

/// Each time another job, with the same events: two phones of a shop that practise see nothing of each other, and one that
/// was taken off does not come back from the desk with what was done in it.
fn practice(house: House, navigator: Navigator) {
    const OPENING: &str = "Opening the practice job …";
    // A second tap of the same thumb opens no second job.
    if house.busy.peek().iter().any(|busy| busy.words == OPENING) {
        return;
    }
    let work = house.work(OPENING);
    spawn_forever(async move {
        match device::fetch_blob(PRACTICE).await {
            Ok(file) => take_in_as(house, navigator, file, Some(JobId(house.id()))).await,
            Err(error) => house.say(WordKind::Trouble, error.to_string()),
        }
        drop(work);
    });
}
