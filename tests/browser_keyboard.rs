//! The main controls with the keyboard alone: a job from its first field to a look, a note, the finding and the file.

use crate::browser_support::{Desk, Phone, until};
use serde_json::json;
use thirtyfour::TypingData;
use thirtyfour::prelude::*;

/// Presses a key wherever the focus is.
async fn press(phone: &Phone, keys: impl Into<TypingData>) {
    phone.driver().action_chain().send_keys(keys).perform().await.unwrap();
}

/// Goes on with Tab until what the selector names has the focus, which must be seen and not lie behind anything.
async fn tab_to(phone: &Phone, css: &str) {
    phone.see(css).await;
    for _ in 0..250 {
        let here = phone.script("return document.activeElement.matches(arguments[0])", vec![json!(css)]).await;
        if here == json!(true) {
            return;
        }
        press(phone, Key::Tab).await;
    }
    let text = phone.script("return document.activeElement.outerHTML.slice(0, 200)", vec![]).await;
    panic!("Tab never comes to {css}; it is at {text}");
}

/// Goes there and presses Enter.
async fn enter(phone: &Phone, css: &str) {
    tab_to(phone, css).await;
    press(phone, Key::Enter).await;
}

/// Goes there and types.
async fn write(phone: &Phone, css: &str, text: &str) {
    tab_to(phone, css).await;
    press(phone, text).await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_job_can_be_done_with_the_keyboard_alone() {
    let desk = Desk::start().await;
    let phone = Phone::new().await;
    phone.open(&desk.url()).await;
    enter(&phone, "#new-job").await;
    phone.reads("Its name in the fuse box").await;
    let at = phone.script("return document.activeElement.tagName + document.activeElement.innerText", vec![]).await;
    assert_eq!(at, json!("H1Concern"), "a new screen begins at its heading");
    let job = phone.job().await;

    write(&phone, "#vehicle", "White van").await;
    tab_to(&phone, "input[name=body]").await;
    press(&phone, Key::Right + Key::Right + Key::Right).await;
    phone.see("label:has(input[name=body]:checked)").await;
    write(&phone, "#fuse", "F23").await;
    tab_to(&phone, "#rating").await;
    press(&phone, "15").await;
    until("the rating is kept", async || {
        phone.kept_events(&job).await.iter().any(|event| event["body"]["fuse"]["rating_a"] == json!(15))
    })
    .await;
    enter(&phone, ".action .main").await;

    phone.reads("Each time the fuse opened").await;
    enter(&phone, "#it-opened").await;
    phone.reads("It opened: standing still").await;
    enter(&phone, ".action a.key").await;

    for typed in ["load-area lamp", "rear wiper"] {
        write(&phone, "#find", typed).await;
        enter(&phone, ".offers li:first-child button").await;
        until("the field is ready for the next", async || {
            let ready = "const find = document.getElementById('find'); return document.activeElement === find && find.value === ''";
            phone.script(ready, vec![]).await == json!(true)
        })
        .await;
    }
    phone.reads("On this fuse: 3").await;
    enter(&phone, ".action a.main").await;

    loop {
        let step = phone.see("#next-step").await.attr("data-step").await.unwrap().unwrap();
        if !step.starts_with("access:") {
            break;
        }
        enter(&phone, "#access-done").await;
        until("the new step is read out", async || {
            let now = phone.see("#next-step").await.attr("data-step").await;
            let read = phone.script("return document.activeElement.matches('#next-step h2')", vec![]).await;
            now.is_ok_and(|now| now.as_deref() != Some(&step)) && read == json!(true)
        })
        .await;
    }
    enter(&phone, "#look-here").await;
    enter(&phone, "#seen-Bare").await;
    phone.see("#seen-Bare[aria-pressed=true]").await;
    write(&phone, "#note", "Copper at the bracket").await;
    press(&phone, Key::Tab).await;
    phone.reads("Copper at the bracket").await;
    enter(&phone, "#to-finding").await;
    enter(&phone, "#found-here").await;
    phone.see("#to-repair").await;
    enter(&phone, "button.way-key").await;
    phone.see("button.way-key[aria-expanded=true]").await;
    press(&phone, Key::Escape).await;
    phone.see("button.way-key[aria-expanded=false]").await;
    press(&phone, Key::Enter).await;
    enter(&phone, "nav.way-list a[href$='/handover']").await;
    enter(&phone, "#share").await;
    phone.downloaded(".loomwalk.json").await;
}
