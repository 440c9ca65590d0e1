//! The phone app: screens and their parts.

/// Starts the app in the page, or answers the page's orders when running in its worker.
pub fn start() {}
