//! A thumb that taps twice means one tap: a key that has just become another does nothing yet.

use serde_json::{Value, json};

use crate::browser_support::{Desk, Phone, until};

/// Taps where the first key that the selector names lies; and once more on what lies there then, as soon as that is, or means,
/// something else. Gives what lay there at the second tap.
async fn twice(phone: &Phone, css: &str) -> Value {
    phone.see(css).await;
    phone.looks_first().await;
    let script = "
        const [css, done] = arguments;
        const first = document.querySelector(css);
        first.scrollIntoView({ block: 'center' });
        const { left, top, width, height } = first.getBoundingClientRect();
        const [x, y] = [left + width / 2, top + height / 2];
        const under = () => document.elementFromPoint(x, y).closest('button, summary, input') ?? document.body;
        const means = (key) => [key.id, key.ariaPressed, key.dataset.of, key.parentElement.open, key.checked].join();
        const tap = (key) => {
          key.dispatchEvent(new PointerEvent('pointerdown', { bubbles: true }));
          key.dispatchEvent(new MouseEvent('click', { bubbles: true, cancelable: true, clientX: x, clientY: y }));
        };
        const before = means(first);
        tap(first);
        const start = Date.now();
        const look = () => {
          const now = under();
          if (now === first && means(now) === before && Date.now() - start < 10_000) return requestAnimationFrame(look);
          tap(now);
          done(means(now));
        };
        requestAnimationFrame(look);";
    phone.script_async(script, vec![json!(css)]).await
}

/// What was kept, by kind; once the app has had time to keep more.
async fn kinds(phone: &Phone, job: &str) -> Vec<String> {
    tokio::time::sleep(std::time::Duration::from_millis(700)).await;
    let kept = phone.kept_events(job).await;
    kept.iter().map(|event| event["kind"].as_str().unwrap_or_default().to_owned()).collect()
}

fn count(kinds: &[String], kind: &str) -> usize {
    kinds.iter().filter(|kept| *kept == kind).count()
}

#[tokio::test(flavor = "multi_thread")]
async fn a_second_tap_of_the_thumb_falls_on_no_key_that_has_just_become_another() {
    let desk = Desk::start().await;
    let phone = Phone::new().await;
    let job = phone.practise(&desk).await;
    let before = kinds(&phone, &job).await;

    // Begin a drive, and it does not open at once.
    phone.open(&format!("{}/job/{job}/road", desk.url())).await;
    let there = twice(&phone, "#road-begin").await;
    assert!(there.as_str().is_some_and(|there| there.starts_with("road-opened")), "{there}");
    let drive = kinds(&phone, &job).await;
    assert_eq!((count(&drive, "road_began"), count(&drive, "blow")), (1, count(&before, "blow")));

    // By then whoever looks has read what the key says now.
    let opened = "const key = document.querySelector('#road-opened');
        const { left, top } = key.getBoundingClientRect();
        for (const event of ['pointerdown', 'click']) {
          key.dispatchEvent(new MouseEvent(event, { bubbles: true, cancelable: true, clientX: left + 5, clientY: top + 5 }));
        }";
    phone.script(opened, vec![]).await;
    until("it opened", async || count(&kinds(&phone, &job).await, "blow") == count(&before, "blow") + 1).await;

    // A bump each, as fast as they come.
    let bump = "const key = document.querySelector('#road-Bump');
        const { left, top } = key.getBoundingClientRect();
        for (const event of ['pointerdown', 'click', 'pointerdown', 'click']) {
          key.dispatchEvent(new MouseEvent(event, { bubbles: true, cancelable: true, clientX: left + 5, clientY: top + 5 }));
        }";
    phone.script(bump, vec![]).await;
    phone.reads("Bump · 2").await;
    phone.looks_first().await;
    phone.script(bump, vec![]).await;
    phone.reads("Bump · 4").await;

    // One is taken back, not two.
    twice(&phone, "#take-back").await;
    phone.reads("Bump · 3").await;
    assert_eq!(count(&kinds(&phone, &job).await, "taken_back"), count(&before, "taken_back") + 1);
}

#[tokio::test(flavor = "multi_thread")]
async fn a_second_tap_of_the_thumb_does_not_turn_an_answer_round() {
    let desk = Desk::start().await;
    let phone = Phone::new().await;
    let job = phone.practise(&desk).await;
    phone.open(&format!("{}/job/{job}/dead", desk.url())).await;
    let key = ".try-keys .key[aria-pressed=false]";
    let label = phone.see(key).await.attr("aria-label").await.unwrap().unwrap();
    let before = count(&kinds(&phone, &job).await, "taken_back");
    twice(&phone, key).await;
    let pressed = format!("[aria-label=\"{label}\"][aria-pressed=true]");
    phone.see(&pressed).await;
    assert_eq!(count(&kinds(&phone, &job).await, "taken_back"), before, "{label}");
    phone.see(&pressed).await;

    // Also a box and what unfolds.
    phone.open(&format!("{}/job/{job}/walk", desk.url())).await;
    twice(&phone, "#only-some > summary").await;
    phone.see("#only-some[open]").await;

    // Meant so, it can be turned round.
    phone.tap("#only-some > summary").await;
    phone.see("#only-some:not([open])").await;
}
