//! Short of time, or not to move: is the walk held to it by tapping, told so plainly, and let go again?

use crate::browser_support::{Desk, Phone, until};
use serde_json::json;

/// Whether something of that kind is on the page.
async fn there(phone: &Phone, selector: &str) -> bool {
    phone.script(&format!("return !!document.querySelector('{selector}')"), vec![]).await == json!(true)
}

async fn progress(phone: &Phone) -> String {
    let text = phone.script("return document.querySelector('.progress').innerText", vec![]).await;
    text.as_str().unwrap().to_owned()
}

#[tokio::test(flavor = "multi_thread")]
async fn a_walk_is_held_to_the_time_and_to_what_is_in_reach_and_let_go_again() {
    let desk = Desk::start().await;
    let phone = Phone::new().await;
    phone.open(&desk.url()).await;
    phone.reads("A fuse opens now and then").await;
    phone.tap("#practice").await;
    phone.see("#next-step").await;
    let job = phone.job().await;
    let walk = format!("{}/job/{job}/walk", desk.url());
    let whole = progress(&phone).await;
    assert!(!there(&phone, "#held").await);

    phone.tap("#only-some summary").await;
    phone.tap("#have-30").await;
    phone.reads("The walk is held to that for now.").await;
    phone.reads("Only for now: 30 of 30 minutes left; ").await;
    phone.see("#let-go").await;
    assert!(!there(&phone, "#have-30").await, "the time is chosen");
    let held = progress(&phone).await;
    assert_ne!(held, whole);
    phone.picture("walk-held").await;

    phone.tap("#from-here").await;
    phone.reads("only what is open, in plain sight").await;
    assert!(!there(&phone, "#only-some").await, "nothing is left to choose");
    phone.size(390, 12_000).await;
    assert_eq!(phone.axe().await, Vec::<String>::new());
    phone.size(320, 640).await;
    let fits = "return document.documentElement.scrollWidth <= document.documentElement.clientWidth";
    assert_eq!(phone.script(fits, vec![]).await, json!(true));
    phone.picture("walk-held-320").await;
    phone.size(390, 844).await;

    phone.open(&walk).await;
    phone.reads("Only for now: ").await;
    phone.tap("#let-go").await;
    until("the whole walk is back", async || !there(&phone, "#held").await && progress(&phone).await == whole).await;
    phone.open(&walk).await;
    phone.see("#next-step").await;
    assert!(!there(&phone, "#held").await, "it stays let go");
}
