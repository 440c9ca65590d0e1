//! From the phone to the desk: what each side says, and what to send next.
//!
//! - [`protocol`]: the bodies of version 1 of the API (03-formats §6).
//! - [`decide`]: what is still to be sent, as a pure comparison of what is here and what is confirmed.
//! - `outbox` (wasm): carries it out.

pub mod decide;
pub mod protocol;

#[cfg(target_arch = "wasm32")]
pub mod outbox;
