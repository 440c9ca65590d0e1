//! What is likely wrong when the places no longer explain what was seen: each doubt with what speaks for it and the way to act.

use dioxus::prelude::*;

use crate::app::route::Route;
use crate::ids::JobId;
use crate::search::doubt::{Doubt, DoubtKind};

/// The likeliest doubt stands open; the others wait behind their titles.
#[component]
pub fn Doubts(job: JobId, doubts: Vec<Doubt>) -> Element {
    if doubts.is_empty() {
        return rsx! {};
    }
    rsx! {
        section { class: "note", id: "doubts", "aria-labelledby": "doubts-title",
            h2 { id: "doubts-title", "Is the list right?" }
            for (number, doubt) in doubts.into_iter().enumerate() {
                details { key: "{doubt.title}", open: number == 0,
                    summary { "{doubt.title}" }
                    ul { class: "why", "aria-label": "What speaks for it",
                        for words in doubt.speaks.iter() {
                            li { key: "{words}", "{words}" }
                        }
                    }
                    p { "What tells: {doubt.check}" }
                    p { Link { to: way(doubt.what, job), {label(doubt.what)} } }
                }
            }
        }
    }
}

/// Where the check is made, or what it shows is entered.
fn way(what: DoubtKind, job: JobId) -> Route {
    match what {
        DoubtKind::WrongFuse | DoubtKind::LoadMissing => Route::Dead { job },
        DoubtKind::OtherWay => Route::Circuit { job },
        DoubtKind::SecondFault | DoubtKind::InsideLoad => Route::Unplug { job },
        DoubtKind::NotedWrong => Route::Opening { job },
    }
}

fn label(what: DoubtKind) -> &'static str {
    match what {
        DoubtKind::WrongFuse | DoubtKind::LoadMissing => "What is dead",
        DoubtKind::OtherWay => "To the circuit",
        DoubtKind::SecondFault | DoubtKind::InsideLoad => "What to unplug",
        DoubtKind::NotedWrong => "When it opened",
    }
}
