//! The stories of the desk, on a store in a folder.
#![allow(clippy::unwrap_used, clippy::expect_used)]

mod desk_access;
mod desk_acme;
mod desk_api;
mod desk_pages;
mod desk_restart;
mod desk_security;
mod desk_support;
mod desk_tls;
mod dice;
mod fuzz_kept;
mod openapi;
mod sync_faults;
