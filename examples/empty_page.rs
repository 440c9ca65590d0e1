//! How much is a page of the same library that shows nothing but a heading? What `cargo xtask bench` measures the app beside.

#[cfg(all(target_arch = "wasm32", feature = "page"))]
fn main() {
    use dioxus::prelude::*;

    dioxus::launch(|| rsx! { p { id: "usable", "Nothing here" } });
}

#[cfg(not(all(target_arch = "wasm32", feature = "page")))]
fn main() {
    println!("this is a page for a browser: cargo xtask bench");
}
