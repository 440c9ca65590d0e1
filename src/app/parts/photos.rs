//! Taking photographs, and the small pictures of those that were kept.

use std::rc::Rc;

use dioxus::prelude::*;

use crate::app::house::House;
use crate::app::parts::{Aim, FileKey};
use crate::app::route::Route;
use crate::app::words;
use crate::device::{ObjectUrl, object_url, to_the_end};
use crate::ids::{EventId, JobId, PhotoHash, PointId};
use crate::job::bring_back::TakenBack;
use crate::job::event::{Act, Photo, Stage};
use crate::store::Store;

/// A key that opens the phone's own camera; beside it one for a picture that was taken before.
#[component]
pub fn PhotoButton(
    /// At which point.
    point: Option<PointId>,
    /// What the photograph will show.
    stage: Stage,
    /// What stands on the key.
    label: String,
    /// The main action of its screen.
    #[props(default)]
    main: bool,
) -> Element {
    let house = House::get();
    let taken_before = point.clone();
    rsx! {
        div { class: "photo-pair",
            FileKey {
                id: "photo-{stage_id(stage)}",
                label: label.clone(),
                accept: "image/*",
                camera: true,
                main,
                onfile: move |file| house.take_photo(point.clone(), stage, file),
            }
            FileKey {
                id: "photo-{stage_id(stage)}-file",
                label: "File",
                says: "{label}: from a file",
                accept: "image/*",
                onfile: move |file| house.take_file(taken_before.clone(), stage, file),
            }
        }
    }
}

fn stage_id(stage: Stage) -> &'static str {
    match stage {
        Stage::Lie => "lie",
        Stage::Lifted => "lifted",
        Stage::Close => "close",
        Stage::Repaired => "repaired",
        Stage::Other => "other",
    }
}

/// Small pictures in a row, each with what it shows, and a way to take back a wrong one; or to bring back one that was.
#[component]
pub fn PhotoStrip(job: JobId, photos: Vec<(EventId, Photo)>, #[props(default)] taken_back: bool) -> Element {
    let house = House::get();
    if photos.is_empty() {
        return rsx! {};
    }
    rsx! {
        ul { class: "strip", "aria-label": "Photographs",
            for (event, photo) in photos {
                li { key: "{event}",
                    Thumb { hash: photo.sha256.clone(), alt: words::stage(photo.stage) }
                    span { {words::stage(photo.stage)} }
                    if photo.shape().is_some() && !taken_back {
                        Link { class: "plain", to: Route::Draw { job, photo: event }, "aria-label": "Draw, measure: {words::stage(photo.stage)}", "Draw, measure" }
                    }
                    button {
                        class: "plain",
                        "aria-label": if taken_back {
                            "Bring back this photograph: {words::stage(photo.stage)}"
                        } else {
                            "Take back this photograph: {words::stage(photo.stage)}"
                        },
                        onclick: move |_| turn(house, event, &photo, taken_back),
                        if taken_back { "Bring back" } else { "Take back" }
                    }
                }
            }
        }
    }
}

/// Takes a photograph or a recording back, or brings it back.
pub fn turn(house: House, event: EventId, photo: &Photo, taken_back: bool) {
    if taken_back {
        house.bring_back(event, TakenBack::Photo(photo.clone()));
    } else {
        house.act(Act::TakenBack { event });
    }
}

/// How large something kept is wanted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Size {
    /// For a strip.
    Thumb,
    /// For the whole screen.
    Preview,
    /// As it was kept: the only one of a recording.
    Original,
}

/// An address under which the page can show or play what is kept, as long as it lives. `None`: it is not on this phone, or
/// this browser cannot make it so small.
pub async fn address(house: House, hash: PhotoHash, size: Size) -> Option<Rc<ObjectUrl>> {
    let store = house.store()?;
    let in_touch = house.outbox.peek().is_in_touch();
    let read = async move {
        let read = async || match size {
            Size::Thumb => store.thumb(&hash).await,
            Size::Preview => store.preview(&hash).await,
            Size::Original => store.photo(&hash).await,
        };
        match read().await {
            // Someone else took it: the desk has it.
            Ok(None) if in_touch && size != Size::Original && house.bring_small(&hash).await => read().await,
            found => found,
        }
    };
    let (media_type, bytes) = to_the_end(read).await?.ok()??;
    object_url(&bytes, &media_type).ok().map(Rc::new)
}

/// A small picture, read from the store when it is shown.
#[component]
fn Thumb(hash: PhotoHash, alt: String) -> Element {
    let house = House::get();
    // Tried again once the desk can be asked.
    let in_touch = use_memo(move || house.outbox.read().is_in_touch());
    let picture = use_resource(move || {
        let _ = in_touch();
        address(house, hash.clone(), Size::Thumb)
    });
    let shown = picture.read().clone();
    rsx! {
        match shown {
            None => rsx! { span { class: "thumb-wait", "aria-label": "{alt}, being read" } },
            Some(None) => rsx! { span { class: "thumb-none", "{alt}: kept, but not shown: it lies at the desk, or this browser cannot draw it" } },
            Some(Some(url)) => rsx! { img { src: "{url.as_str()}", alt: "{alt}", loading: "lazy", decoding: "async" } },
        }
    }
}

/// A key that opens the camera in the app, which has the lamp and the timer.
#[component]
pub fn ShootKey(point: Option<PointId>, stage: Stage) -> Element {
    let house = House::get();
    rsx! {
        button {
            class: "key",
            id: "shoot-{stage_id(stage)}",
            onclick: move |_| {
                let mut aim = house.aim;
                aim.set(house.job_here().map(|job| Aim { job, point: point.clone(), stage }));
            },
            "Photograph with lamp and timer"
        }
    }
}
