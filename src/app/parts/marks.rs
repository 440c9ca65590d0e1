//! Marks at a place: one tap a kind sets it or takes it off, and what that did to the chances is said.

use dioxus::prelude::*;

use crate::app::house::House;
use crate::circuit::file::MarkKind;
use crate::ids::MarkId;
use crate::job::event::Act;
use crate::job::marking::{self, KINDS, Spot, Tap};

/// Keys for what can be noticed at a spot.
#[component]
pub fn Marks(
    /// What is asked.
    legend: String,
    /// What is marked.
    spot: Spot,
    /// Called after a tap.
    #[props(default)]
    onmark: EventHandler<()>,
) -> Element {
    let house = House::get();
    let mut tapped = use_signal(|| None::<Tap>);
    let open = house.open.read();
    let Some(session) = open.session() else { return rsx! {} };
    let Some((ready, place)) = session.ready().and_then(|ready| Some((ready, marking::place(ready, &spot)?))) else {
        return rsx! {};
    };
    let set: Vec<MarkKind> = marking::marks_at(&session.job, ready, &place).map(|mark| mark.kind).collect();
    let reach = marking::reach(ready, &spot, &place);
    let told = tapped.read().as_ref().and_then(|tap| marking::told(session, &spot, tap));
    drop(open);
    let tap = move |kind: MarkKind| {
        let open = house.open.peek();
        let Some(ready) = open.session().and_then(|session| session.ready()) else { return };
        let before = marking::chance(ready, &spot);
        let fresh = MarkId(format!("mark_{:012x}", house.id().as_u128() & 0xffff_ffff_ffff));
        house.change(|job| {
            let acts = marking::toggled(job, ready, &place, kind, fresh);
            tapped.set(acts.last().and_then(|act| match act {
                Act::Mark(mark) => Some(Tap { kind, mark: mark.id.clone(), before }),
                Act::MarkRemoved { mark } => Some(Tap { kind, mark: mark.clone(), before }),
                _ => None,
            }));
            acts
        });
        onmark.call(());
    };
    rsx! {
        fieldset { class: "choice marks",
            legend { "{legend}" }
            if let Some(reach) = reach {
                p { class: "hint", "{reach}" }
            }
            div { class: "choice-keys",
                for kind in KINDS {
                    label { class: "choice-key", key: "{kind:?}",
                        input {
                            r#type: "checkbox",
                            checked: set.contains(&kind),
                            onchange: {
                                let mut tap = tap.clone();
                                move |_| tap(kind)
                            },
                        }
                        span {
                            {marking::short(kind)}
                            if set.contains(&kind) {
                                " · marked {marking::weight(kind)}"
                            }
                        }
                    }
                }
            }
            p { class: "told-mark", role: "status", {told.unwrap_or_default()} }
        }
    }
}
