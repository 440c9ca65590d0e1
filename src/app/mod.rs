//! The phone app: one screen a question, its main action within the thumb's reach.
//!
//! - `capture`: how photographs and spoken notes are kept.
//! - `address`: the browser's address bar, as the router sees it.
//! - [`here`]: where the user was last.
//! - [`house`]: what all screens share: the store, the open job, the outbox; and the one way of an act.
//! - [`route`]: the screens and their addresses.
//! - [`screens`], [`parts`]: one file each.
//! - [`settings`]: what this device's user likes.
//! - [`shelf`]: the shelf as the screens see it.
//! - [`small`]: what is kept beside the jobs, in the browser's small storage and in the store.
//! - [`spoken`]: loads by what they are called in the reader's language.
//! - [`used`]: the kinds of load that were put on a list last.
//! - [`vin_here`]: a VIN that is to stay on this phone.
//! - [`words`]: how things are called on screen.
//! - [`work`]: what takes long: how far it is, and a way to stop it.
//! - [`fallen`]: what the page says if the program stops.

mod address;
mod capture;
pub mod fallen;
pub mod here;
pub mod house;
mod learned;
pub mod parts;
pub mod route;
pub mod screens;
pub mod settings;
pub mod shelf;
pub mod small;
pub mod spoken;
pub mod used;
pub mod vin_here;
pub mod words;
pub mod work;

use std::rc::Rc;

use dioxus::core::provide_root_context;
use dioxus::prelude::*;
use dioxus_history::History;

use house::House;
use route::Route;

/// Starts the app in the page.
pub fn start() {
    fallen::watch();
    dioxus::launch(App);
}

/// The root: opens the house once, then shows the address's screen.
#[component]
fn App() -> Element {
    use_hook(|| {
        if let Some(address) = address::Address::of_page() {
            // For what goes on without a screen too.
            provide_root_context(Rc::new(address) as Rc<dyn History>);
        }
    });
    let house = House::provide();
    use_hook(move || house.open_up());
    rsx! {
        Router::<Route> {}
        parts::Viewfinder {}
    }
}
