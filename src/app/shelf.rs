//! What do the screens need of the shelf? The shelf as it is now, and one way to change it.

use std::cell::RefCell;
use std::collections::BTreeSet;
use std::rc::Rc;

use dioxus::core::spawn_forever;
use dioxus::prelude::*;

use crate::app::house::{House, Open, WordKind};
use crate::app::words;
use crate::device;
use crate::shelf::{Shelf, Shelved};
use crate::store::Store;

/// The shelf, read again whenever it changes, here or in another tab. `None`: it is still being read.
pub fn use_shelf() -> Option<Result<Rc<Shelf>, String>> {
    let house = House::get();
    let shelf = use_resource(move || async move {
        let _ = house.shelf_changed.read();
        let starting = matches!(&*house.open.read(), Open::Starting);
        let store = house.store().filter(|_| !starting)?;
        let read = async move { store.shelf().await.map(Rc::new).map_err(|error| error.to_string()) };
        device::to_the_end(read).await
    });
    shelf.read().clone().flatten()
}

thread_local! {
    /// What will be said of changes that are being kept.
    static ON_THE_WAY: RefCell<BTreeSet<String>> = const { RefCell::new(BTreeSet::new()) };
}

/// Takes something in on the shelf or off it, and says how it went.
pub fn change(house: House, more: impl Into<Shelf>, done: String) {
    let more = more.into();
    // A second tap of the same thumb makes no second entry.
    if !ON_THE_WAY.with_borrow_mut(|on_the_way| on_the_way.insert(done.clone())) {
        return;
    }
    spawn_forever(async move {
        let kept = house.keep_on_shelf(more).await;
        ON_THE_WAY.with_borrow_mut(|on_the_way| on_the_way.remove(&done));
        match kept {
            Ok(_) => house.say(WordKind::Done, done),
            Err(error) => house.say(WordKind::Trouble, format!("The shelf was not changed: {error}")),
        }
    });
}

/// A changed circuit: it holds against what is on the shelf, also when the clock has jumped back.
pub fn changed(kept: &Shelved, change: impl FnOnce(&mut Shelved)) -> Shelved {
    let mut changed = kept.clone();
    changed.kept_at = device::now().max(kept.kept_at + chrono::TimeDelta::milliseconds(1));
    change(&mut changed);
    changed
}

/// What tells a circuit from others, in one line: `F23, 15 A · Panel van · 12 loads`.
pub fn about(entry: &Shelved) -> String {
    let circuit = &entry.circuit;
    let rating = format!("{} A", circuit.fuse.rating_a);
    let name = &circuit.fuse.label;
    let fuse = if name.is_empty() { rating } else { format!("{name}, {rating}") };
    let loads = words::count(circuit.loads.len(), "load", "loads");
    format!("{fuse} · {} · {loads}", circuit.vehicle.body.name())
}
