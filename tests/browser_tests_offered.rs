//! Beside the walk, without a network: is the test offered that saves more than looking, and does its outcome count?

use crate::browser_support::{Desk, Phone, until};
use serde_json::json;

#[tokio::test(flavor = "multi_thread")]
async fn a_place_that_looked_sound_is_offered_to_be_pressed() {
    let mut desk = Desk::start().await;
    let phone = Phone::new().await;
    phone.open(&desk.url()).await;
    phone.ready_for_offline().await;
    let job = phone.practise(&desk).await;
    desk.stop();
    // Looks at the next places, opening on the way what must be opened, until a test beats the next look.
    for _ in 0..12 {
        phone.open(&format!("{}/job/{job}/walk", desk.url())).await;
        let step = phone.see("#next-step").await.attr("data-step").await.unwrap().unwrap();
        if offered(&phone).await {
            break;
        }
        if step.starts_with("access:") {
            phone.tap("#access-done").await;
        } else {
            phone.tap("#look-here").await;
            phone.tap_words("Sound").await;
        }
        until("it is kept", async || {
            phone.kept_events(&job).await.iter().any(|event| event["body"].to_string().contains(&step))
        })
        .await;
    }
    phone.see("#test").await;
    let card = phone.see("#test").await.text().await.unwrap();
    assert!(card.contains("Takes about") && card.contains("saves"), "{card}");
    assert!(card.contains("sparks"), "{card}");
    phone.tap("#do-test").await;
    phone.reads("Press").await;
    let url = phone.driver().current_url().await.unwrap();
    assert!(url.path().contains("/press/point:"), "{url}");
}

/// Whether a card is there, once the worker has had its time to answer.
async fn offered(phone: &Phone) -> bool {
    for _ in 0..30 {
        if phone.script("return document.querySelector('#test #do-test') !== null", vec![]).await == json!(true) {
            return true;
        }
        tokio::time::sleep(std::time::Duration::from_millis(100)).await;
    }
    false
}
