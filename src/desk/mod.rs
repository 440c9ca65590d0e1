//! The desk: serves the app, receives bundles, shows the jobs to the service writer.
//!
//! - [`serve`]: the address it answers at, the routes, start and end.
//! - [`guard`]: who may ask, and what every answer forbids the browser to do.
//! - [`api`]: version 1 of the API (03-formats §6), call by call; [`problem`]: how it says no; [`incoming`]: bodies.
//! - [`intake`]: takes bundles and photographs in, each exactly once, acknowledged only when durable.
//! - [`shelf`]: what is held of one job; [`store`]: how it is kept.
//! - [`pages`]: what the service writer reads; [`site`]: the app's files.
//!
//! Two rules carry the rest. *Keep, then say*: an answer that confirms is sent after the bytes are on the disk. And
//! *the objects are the truth*: what is in memory is rebuilt from them at each start and equals what it was.

pub mod api;
pub mod framed;
pub mod guard;
pub mod hand_over;
pub mod incoming;
pub mod intake;
pub mod list;
pub mod pages;
pub mod problem;
pub mod serve;
pub mod shelf;
pub mod site;
pub mod store;
