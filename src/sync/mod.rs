//! Between the phone and the desk: what each side says, and what to send next.
//!
//! - [`protocol`]: the bodies of version 1 of the API (03-formats §6).
//! - [`decide`]: what is still to be sent, as a pure comparison of what is here and what is confirmed.
//! - `status` (wasm): what the screens are told of it.
//!
//! What carries it out belongs to the worker's program alone (`device::courier` is the page's end of it):
//!
//! - `carrier`: what the page says to it. `outbox`: sends. `follow`: what others have added to the job on screen.
//! - `bring`: pairing, jobs and pictures that lie at the desk. `desk`: the calls. `bell`: sleeping and waking.

pub mod decide;
pub mod protocol;
#[cfg(target_arch = "wasm32")]
pub mod status;

#[cfg(all(feature = "worker", target_arch = "wasm32"))]
mod bell;
#[cfg(all(feature = "worker", target_arch = "wasm32"))]
pub(crate) mod bring;
#[cfg(all(feature = "worker", target_arch = "wasm32"))]
pub(crate) mod carrier;
#[cfg(all(feature = "worker", target_arch = "wasm32"))]
mod desk;
#[cfg(all(feature = "worker", target_arch = "wasm32"))]
mod follow;
#[cfg(all(feature = "worker", target_arch = "wasm32"))]
pub mod outbox;
