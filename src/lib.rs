//! Loomwalk finds the place where a live wire rubs on metal and opens a fuse now and then.
//!
//! This page is the map of the house. Arrows point down only; the lower half is pure: it knows no
//! browser, no file, no clock and no source of chance. Times and ids come in as arguments.
//!
//! | layer | modules | target |
//! |---|---|---|
//! | what people touch | `app` (the phone), [`desk`] (the service writer's side), [`cli`] | app: wasm; desk, cli: native |
//! | what touches the machine | [`store`], `device`, [`sync`] | store and sync decide everywhere and act in wasm; device: wasm |
//! | what the page asks its worker | [`away`]: text in, text out | all |
//! | what leaves the phone | [`bundle`], [`report`], [`photo`]; [`watch`]: is the telltale still lit? | all |
//! | what happened, and what is kept of it | [`job`]: an append-only log and its fold; [`shelf`]: circuits for the next time | all |
//! | where to look next | [`search`]: points, chances, evidence, order | all |
//! | what the vehicle is | [`circuit`], [`vehicle`], [`catalogue`] | all |
//! | quantities and names | [`units`], [`ids`]; `gather`, `table`, `objects`: sets, maps, built-in tables and readers, small to download | all |
//!
//! The life of one tap: a screen makes an [`job::Act`]; the act gets an id, a time and a device and
//! becomes an [`job::Event`]; the store keeps it; only then is it folded into [`job::Job`] and shown.

pub mod away;
pub mod bundle;
pub mod catalogue;
pub mod circuit;
mod gather;
pub mod ids;
pub mod job;
mod objects;
pub mod photo;
pub mod report;
pub mod search;
pub mod shelf;
pub mod store;
pub mod sync;
mod table;
pub mod units;
pub mod vehicle;
pub mod watch;

#[cfg(all(feature = "page", target_arch = "wasm32"))]
pub mod app;
#[cfg(target_arch = "wasm32")]
pub mod device;

#[cfg(all(feature = "desk", not(target_arch = "wasm32")))]
pub mod cli;
#[cfg(all(feature = "desk", not(target_arch = "wasm32")))]
pub mod desk;

/// Starts in the browser what this program was built with: the page, or where there is none, its worker.
#[cfg(target_arch = "wasm32")]
pub fn start() {
    let is_page = web_sys::window().is_some();
    #[cfg(feature = "page")]
    if is_page {
        app::start();
    }
    #[cfg(feature = "worker")]
    if !is_page {
        device::start_worker();
    }
}
