//! Settings: how this device shows things, and what is kept on it.

use dioxus::core::spawn_forever;
use dioxus::prelude::*;

use crate::app::house::{House, WordKind};
use crate::app::learned;
use crate::app::parts::{Choice, Screen};
use crate::app::route::Route;
use crate::app::screens::pair::use_is_paired;
use crate::app::settings::{Hand, Language, Settings as Chosen, Theme};
use crate::app::words;
use crate::device;
use crate::gather::Order as _;
use crate::sync::status::OutboxStatus;

const THEMES: [(Theme, &str); 4] = [
    (Theme::Phone, "As the phone"),
    (Theme::Paper, "Light"),
    (Theme::Slate, "Dark"),
    (Theme::UnderVehicle, "Under the vehicle"),
];
const HANDS: [(Hand, &str); 2] = [(Hand::Left, "Left"), (Hand::Right, "Right")];
/// Each in its own words, so that whoever cannot read the others finds it.
const LANGUAGES: [(Language, &str, Option<&str>); 4] = [
    (Language::Phone, "As the phone", None),
    (Language::English, "English", Some("en")),
    (Language::German, "Deutsch", Some("de")),
    (Language::Spanish, "Español", Some("es")),
];

/// How many kinds of place are told of.
const MOST_LESSONS: usize = 6;

/// Settings and storage.
#[component]
pub fn Settings() -> Element {
    let house = House::get();
    let mut settings = house.settings;
    let mut asked = use_signal(|| 0u32);
    let room = use_resource(move || async move {
        let _ = asked.read();
        (device::room().await, device::persisted().await)
    });
    let mut choose = move |chosen: Chosen| {
        chosen.keep(house);
        settings.set(chosen);
    };
    let now = *settings.read();
    let action = rsx! {
        Link { class: "key main", to: Route::Jobs {}, "To the jobs" }
    };
    rsx! {
        Screen { title: "Settings and storage", back: Route::Jobs {}, action,
            Choice {
                name: "theme",
                legend: "Screen",
                answers: THEMES.iter().map(|(_, label)| (*label).to_owned()).collect::<Vec<_>>(),
                chosen: THEMES.iter().position(|(theme, _)| *theme == now.theme),
                onchoose: move |chosen: usize| choose(Chosen { theme: THEMES[chosen].0, ..now }),
            }
            Choice {
                name: "hand",
                legend: "Phone is held in the",
                answers: HANDS.iter().map(|(_, label)| (*label).to_owned()).collect::<Vec<_>>(),
                chosen: HANDS.iter().position(|(hand, _)| *hand == now.hand),
                onchoose: move |chosen: usize| choose(Chosen { hand: HANDS[chosen].0, ..now }),
            }
            Choice {
                name: "language",
                legend: "Language",
                answers: LANGUAGES.iter().map(|(_, label, _)| (*label).to_owned()).collect::<Vec<_>>(),
                langs: LANGUAGES.iter().map(|(_, _, lang)| *lang).collect::<Vec<_>>(),
                chosen: LANGUAGES.iter().position(|(language, ..)| *language == now.language),
                onchoose: move |chosen: usize| choose(Chosen { language: LANGUAGES[chosen].0, ..now }),
            }
            section {
                h2 { "What is kept here" }
                match &*room.read() {
                    None => rsx! { p { class: "hint", "Asking the browser …" } },
                    Some((room, persisted)) => rsx! {
                        match room {
                            Some(room) => rsx! {
                                p { id: "room", "{words::size(room.used)} used, room for about {words::size(room.quota - room.used)} more." }
                            },
                            None => rsx! { p { id: "room", "This browser does not say how much room there is." } },
                        }
                        match persisted {
                            Some(true) => rsx! { p { "The browser has promised not to clear it." } },
                            Some(false) => rsx! {
                                p { "The browser may clear it when the phone runs full. Put the app on the home screen, or ask for a promise." }
                                button {
                                    class: "key",
                                    onclick: move |_| {
                                        spawn_forever(async move {
                                            if device::persist().await == Some(false) {
                                                house.say(WordKind::Trouble, "The browser did not promise it. On the home screen it usually does.");
                                            }
                                            asked += 1;
                                        });
                                    },
                                    "Ask the browser to keep it"
                                }
                            },
                            None => rsx! { p { "This browser gives no promise. Put the app on the home screen and hand jobs over soon." } },
                        }
                    },
                }
            }
            Desk {}
            Lessons {}
            p { class: "hint", "Loomwalk {env!(\"CARGO_PKG_VERSION\")}. What you keep goes to the desk that this phone is paired with, if it is, and into the files that you hand over; to nobody else." }
        }
    }
}

/// Whether there is a desk, and whether it knows this phone.
#[component]
fn Desk() -> Element {
    let house = House::get();
    let is_paired = use_is_paired(house);
    let status = house.outbox.read().clone();
    let state = match status {
        OutboxStatus::NoDesk if is_paired => {
            "This phone is paired with a desk, which cannot be found at this address now."
        }
        OutboxStatus::NoDesk => {
            "No desk was found at this address. Everything stays on this phone, and leaves it by files."
        }
        OutboxStatus::Unpaired if is_paired => "The desk does not know this phone any more: pair it again.",
        OutboxStatus::Unpaired => words::UNPAIRED,
        OutboxStatus::Waiting { why, .. } => &format!("Not yet at the desk: {why}"),
        _ => "This phone and the desk at this address are in touch: what is kept here is sent there.",
    };
    rsx! {
        section { id: "desk",
            h2 { "Desk" }
            p { id: "desk-state", "{state}" }
            Link { class: "key", id: "to-pair", to: Route::Pair {}, if is_paired { "Pairing with the desk" } else { "Pair with the desk" } }
        }
    }
}

/// What closed jobs have taught, to be handed on or forgotten.
#[component]
fn Lessons() -> Element {
    let house = House::get();
    let mut shop = use_signal(learned::shop);
    let mut forgotten = use_signal(String::new);
    let kept = shop.read().clone();
    let readable = kept.is_some();
    let known = kept.unwrap_or_default();
    let own = !learned::text().is_empty();
    let of_desk = learned::of_desk().is_some_and(|desk| desk == known);
    // The kinds of place that differ most from what ships.
    let mut counts = known.counts.clone();
    counts.order_by(|one, other| other.factor().ln().abs().total_cmp(&one.factor().ln().abs()));
    counts.truncate(MOST_LESSONS);
    let save = move |_| {
        spawn_forever(async move {
            let saved = async {
                let blob = device::json_blob(&learned::text()).map_err(|error| error.to_string())?;
                device::share_or_download(blob, "shop.learned.json").await.map_err(|error| error.to_string())
            };
            if let Err(why) = saved.await {
                house.say(WordKind::Trouble, format!("What was learned was not handed on: {why}"));
            }
        });
    };
    rsx! {
        section { id: "lessons",
            h2 { "What closed jobs have taught" }
            if !readable {
                p { "What is kept here cannot be read by this version; a newer one may have written it. It stays as it is, and new jobs begin without it." }
            } else if known.jobs == 0 {
                p { class: "hint", "Nothing yet. A job teaches when its place was found and it is handed over: in what kinds of place faults are, here. New jobs then begin with that." }
            } else {
                p { {words::count(known.jobs as usize, "closed job", "closed jobs")} ". New jobs begin with this:" }
                if of_desk {
                    p { class: "hint", "From the desk, where the shop's closed jobs come together." }
                }
                ul {
                    for count in counts {
                        li { key: "{count.feature}", "×{count.factor():.1} {count.in_words(known.jobs)}" }
                    }
                }
            }
            if own {
                button { class: "key", id: "save-lessons", onclick: save, "Hand it on as a file" }
                button {
                    class: "key",
                    id: "forget-lessons",
                    onclick: move |_| {
                        forgotten.set(learned::forget(house));
                        shop.set(learned::shop());
                        house.say(WordKind::Done, "Forgotten. New jobs begin with the tables that ship; others stay as they are.");
                    },
                    "Forget it"
                }
            } else if !forgotten.read().is_empty() {
                button {
                    class: "key",
                    id: "put-back-lessons",
                    onclick: move |_| {
                        if learned::put_back(house, &forgotten.read()) {
                            forgotten.set(String::new());
                            shop.set(learned::shop());
                        } else {
                            house.say(WordKind::Trouble, "This browser gives no room for it any more.");
                        }
                    },
                    "Take back: keep what was learned"
                }
            }
        }
    }
}
