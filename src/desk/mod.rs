//! The desk: serves the app, receives bundles, shows the jobs to the service writer.
//!
//! - [`serve`]: the address it answers at, the routes, start and end; [`tls`]: how it proves who it is,
//!   [`acme`] by an authority that every phone knows.
//! - [`guard`]: who may ask, and what every answer forbids the browser to do; [`access`]: phones, password, what was done.
//! - [`api`]: version 1 of the API (03-formats §6), call by call; [`problem`]: how it says no; [`incoming`]: bodies.
//! - [`intake`]: takes bundles in, each exactly once, acknowledged only when durable; [`photos`]: photographs likewise.
//! - [`shelf`]: what is held of one job; `shelves`: the jobs in hand; [`index`]: a line for every job; [`store`]: how it
//!   is kept.
//! - [`pages`]: what the service writer reads; [`door`]: how they come in; [`site`]: the app's files.
//!
//! Two rules carry the rest. *Keep, then say*: an answer that confirms is sent after the bytes are durable. And
//! *the objects are the truth*: what is in memory follows from them, on every desk that works with the same store.

pub mod access;
pub mod acme;
pub mod api;
pub mod door;
pub mod framed;
pub mod guard;
pub mod hand_over;
pub mod incoming;
pub mod index;
pub mod intake;
mod learned;
pub mod list;
pub mod openapi;
pub mod pages;
mod phones;
pub mod photos;
mod prices;
pub mod problem;
pub mod serve;
pub mod shelf;
mod shelves;
pub mod site;
pub mod store;
pub mod tls;
pub mod trust;
