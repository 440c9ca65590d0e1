//! The guide: the method and why, the cautions, what the numbers mean and do not.

use dioxus::prelude::*;

use crate::app::parts::Screen;
use crate::app::route::Route;

/// The guide, there without a network.
#[component]
pub fn Guide() -> Element {
    let action = rsx! {
        Link { class: "key main", to: Route::Jobs {}, "To the jobs" }
    };
    rsx! {
        Screen { title: "How it works", back: Route::Jobs {}, action,
            section {
                h2 { "The method" }
                p { "A fuse that opens now and then cannot be measured on the bench: a fresh one holds. So the place is found by eye. A short can be anywhere that is live upstream of a load's own resistance; it is likeliest where there is heat, movement, an edge, a missing clip or grommet, or an earlier repair, and it is cheapest to look where you already stand. Both together give the order of the walk." }
                ol { class: "plainlist",
                    li { strong { "Look. " } "Eyes only. How does the harness lie, what does it touch?" }
                    li { strong { "Photograph it as it lies. " } "Once moved, the chance to see it again is gone. Lift stays closed until then." }
                    li { strong { "Press. " } "Gently, a fresh fuse in, the right things switched on, an eye on something on this fuse that shows at once that it has opened." }
                    li { strong { "Lift. " } "Only then turn it over, and photograph what is bare, close, with something for scale." }
                }
                p { "Every tap is kept at once and can be taken back. The plan follows what you see." }
            }
            section {
                h2 { "Alone with it" }
                ul { class: "plainlist",
                    li { strong { "Nobody in the cabin: " } "a second phone, or this one, watches the telltale by its camera or listens for a buzzer, and sounds when it goes out. From “Press”." }
                    li { strong { "No hand free: " } "the app's own camera has a lamp, a timer, and takes the photograph at a knock or a clap. Notes can be spoken." }
                    li { strong { "How large: " } "lay something of known length beside it, such as a fuse, photograph both square on, then “Draw, measure”." }
                    li { strong { "On the road: " } "someone beside the driver taps bumps, bends and “it opened”. From “When it opened”." }
                }
            }
            section {
                h2 { "What the numbers mean" }
                p { "The chance of a place is a weighing of what is known: length, exposure, what was switched on when the fuse opened, what was seen. The weights are common practice and published inspection figures, not a measurement of this vehicle. A place of 2 % can be the one." }
                p { "A closed job whose place was found teaches this phone in what kinds of place faults are; new jobs begin with that, and the settings show it. A job that has begun stays as it began." }
                p { "Lines marked as assumed come from the usual layout of such a vehicle. What you enter takes their place." }
            }
            section {
                h2 { "Cautions" }
                ul { class: "plainlist",
                    li { "Raised vehicle: on stands at the maker's points, wheels chocked. Never on a jack alone." }
                    li { "Airbag and pretensioner circuits: never probe, press or unplug them live. Disconnect the battery and wait as long as the maker says." }
                    li { "Hot exhaust, turning parts and fuel lines are close to many harnesses." }
                    li { "Never fit a larger fuse, and never bridge one." }
                    li { "Orange high-voltage cable: stop. Qualified people only." }
                    li { "A press test sparks: no fuel vapour, eyes covered, finger off the bare place." }
                }
                p { "Loomwalk supports a trained person. It does not replace the maker's service information or your local rules." }
            }
        }
    }
}
