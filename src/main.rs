//! `loomwalk`: in the browser the app, natively the command line.

#[cfg(target_arch = "wasm32")]
fn main() {
    loomwalk::start();
}

#[cfg(not(target_arch = "wasm32"))]
fn main() -> std::process::ExitCode {
    loomwalk::cli::run()
}
