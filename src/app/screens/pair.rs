//! Pairing: by a code that the desk shows, this phone is let in there; and let out again.

use dioxus::core::spawn_forever;
use dioxus::prelude::*;

use crate::app::address;
use crate::app::house::{House, WordKind};
use crate::app::learned;
use crate::app::parts::Screen;
use crate::app::route::Route;
use crate::app::words;
use crate::device;
use crate::device::Listener;

/// Whether this phone holds a pairing; not before its store is open.
pub(super) fn use_is_paired(house: House) -> bool {
    let paired = use_resource(move || {
        let _ = house.pairings.read();
        async move {
            let store = house.opened().await.ok()?;
            device::to_the_end(async move { store.desk_token().await }).await?.ok().flatten()
        }
    });
    matches!(&*paired.read(), Some(Some(_)))
}

/// Pairs this phone with the desk.
#[component]
pub fn Pair() -> Element {
    let house = House::get();
    let mut code = house.code;
    let mut name = use_signal(|| "Phone".to_owned());
    let mut pairing = use_signal(|| false);
    let mut paired_as = use_signal(|| None::<String>);
    let mut refused = use_signal(|| None::<String>);
    let paired = use_is_paired(house);
    // A second code that is scanned while this screen is open.
    use_hook(|| {
        let window = web_sys::window()?;
        let listener = Listener::new(window, "hashchange", move |_| {
            if let Some(new) = address::take_code() {
                code.set(new);
            }
        });
        Some(CopyValue::new(listener))
    });
    let pair = move |_| {
        if pairing.replace(true) {
            return;
        }
        refused.set(None);
        let (typed, called) = (code.peek().trim().to_owned(), name.peek().trim().to_owned());
        spawn_forever(async move {
            let answer = device::desk::pair(&typed, &called).await;
            // The screen may be gone by then; the pairing holds all the same.
            let _ = pairing.try_write().map(|mut pairing| *pairing = false);
            match answer {
                Ok(called) => {
                    // Good for once.
                    code.set(String::new());
                    let _ = paired_as.try_write().map(|mut paired_as| *paired_as = Some(called));
                    house.pairing_changed();
                }
                Err(why) => {
                    let why = words::sentence(&format!("This phone was not paired: {why}"));
                    let _ = refused.try_write().map(|mut refused| *refused = Some(why));
                }
            }
        });
    };
    let unpair = move |_| {
        spawn_forever(async move {
            let forgotten = async { house.opened().await?.keep_desk_token(None).await };
            match forgotten.await {
                Ok(()) => {
                    learned::leave_desk(house);
                    house.pairing_changed();
                    house.say(WordKind::Done, "This phone is not paired any more.");
                    let _ = paired_as.try_write().map(|mut paired_as| *paired_as = None);
                }
                Err(why) => house.say(WordKind::Trouble, format!("This phone is still paired: {why}")),
            }
        });
    };
    let empty = code.read().trim().is_empty();
    let done = paired_as.read().clone();
    let action = rsx! {
        if done.is_some() {
            Link { class: "key main", id: "to-jobs", to: Route::Jobs {}, "To the jobs" }
        } else {
            button { class: "key main", id: "pair", disabled: empty || pairing(), onclick: pair, "Pair this phone" }
        }
    };
    rsx! {
        Screen { title: "Pair with the desk", back: Route::Settings {}, action,
            if let Some(called) = done {
                p { class: "note", id: "paired", role: "status", "This phone is paired with the desk, which calls it “{called}”. What is kept here is sent there from now on." }
            } else {
                p { "A paired phone sends every job on it to the desk at this address, and can show and take over the jobs that are there. Pair only phones of your shop." }
                p { class: "hint", "At the desk, under “Phones”, let it show a code: scan its picture with this phone’s camera, or type the code here." }
                if paired {
                    p { class: "note", "This phone is paired already. A new code takes the place of the old pairing." }
                }
                div { class: "field",
                    label { r#for: "code", "The code that the desk shows" }
                    input {
                        id: "code",
                        r#type: "text",
                        autocomplete: "off",
                        autocapitalize: "characters",
                        spellcheck: "false",
                        value: "{code}",
                        oninput: move |event| code.set(event.value()),
                    }
                }
                div { class: "field",
                    label { r#for: "phone-name", "What the desk is to call this phone" }
                    input {
                        id: "phone-name",
                        r#type: "text",
                        autocomplete: "off",
                        value: "{name}",
                        oninput: move |event| name.set(event.value()),
                    }
                }
                if let Some(why) = refused.read().clone() {
                    p { class: "trouble-text", id: "not-paired", role: "alert", "{why}" }
                }
            }
            if paired {
                section {
                    h2 { "Not any more" }
                    p { class: "hint", "The desk then gets nothing more from this phone, and shows it nothing. What it has stays there, and what is here stays here. A phone that is lost is shut out at the desk, under “Phones”." }
                    button { class: "key", id: "unpair", onclick: unpair, "Unpair this phone" }
                }
            }
        }
    }
}
