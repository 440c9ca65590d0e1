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
        const at = () => document.elementFromPoint(x, y);
        const under = () => at().closest('button, summary, input') ?? at().closest('label')?.control ?? document.body;
        const means = (key) => [key.id, key.ariaPressed, key.dataset.of, key.parentElement.open, key.checked].join();
        const tap = () => {
          at().dispatchEvent(new PointerEvent('pointerdown', { bubbles: true }));
          at().dispatchEvent(new MouseEvent('click', { bubbles: true, cancelable: true, clientX: x, clientY: y }));
        };
        const before = means(first);
        tap();
        const start = Date.now();
        const look = () => {
          const now = under();
          if (now === first && means(now) === before && Date.now() - start < 10_000) return requestAnimationFrame(look);
          tap();
          done(means(now));
        };
        requestAnimationFrame(look);";
    phone.script_async(script, vec![json!(css)]).await
}

/// Taps in the middle of a key, without looking up first.
async fn tap(phone: &Phone, css: &str) {
    phone.see(css).await;
    let middle = "const { left, top, width, height } = document.querySelector(arguments[0]).getBoundingClientRect();
        return [left + width / 2, top + height / 2];";
    let middle = phone.script(middle, vec![json!(css)]).await;
    tap_at(phone, middle[0].as_f64().unwrap(), middle[1].as_f64().unwrap()).await;
}

async fn tap_at(phone: &Phone, x: f64, y: f64) {
    let tap = "const [x, y] = arguments;
        const key = document.elementFromPoint(x, y);
        for (const event of ['pointerdown', 'click']) {
          key.dispatchEvent(new MouseEvent(event, { bubbles: true, cancelable: true, clientX: x, clientY: y }));
        }";
    phone.script(tap, vec![json!(x), json!(y)]).await;
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

    // By then whoever looks has read what the key says now: the same place again.
    tap(&phone, "#road-opened").await;
    until("it opened", async || count(&kinds(&phone, &job).await, "blow") == count(&before, "blow") + 1).await;

    // A bump each, as fast as they are seen; though its key tells how many.
    for bump in 1..=4 {
        tap(&phone, "#road-Bump").await;
        phone.reads(&format!("Bump · {bump}")).await;
    }
    // A key beside it, too.
    let edges = "const [bump, bend] = ['#road-Bump', '#road-Turn'].map((css) => document.querySelector(css).getBoundingClientRect());
        return [bump, bend].map(({ left, right, top, bottom }) => [left, right, (top + bottom) / 2]);";
    let edges = phone.script(edges, vec![]).await;
    let at = |key: usize, side: usize| (edges[key][side].as_f64().unwrap(), edges[key][2].as_f64().unwrap());
    let ((bump, high), (bend, _)) = (at(0, 1), at(1, 0));
    assert!((0.0..26.0).contains(&(bend - bump)), "side by side: {edges}");
    tap_at(&phone, bump - 1.0, high).await;
    tap_at(&phone, bend + 1.0, high).await;
    phone.reads("Bump · 5").await;
    phone.reads("Bend · 1").await;

    // One is taken back, not two.
    twice(&phone, "#take-back").await;
    phone.reads("Bend · 0").await;
    phone.reads("Bump · 5").await;
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

    // Also a box, and what unfolds.
    phone.open(&format!("{}/job/{job}/opening", desk.url())).await;
    let boxes = ".choice-key input[type=checkbox]:not(:checked)";
    phone.see(boxes).await;
    phone.script(&format!("document.querySelector('{boxes}').id = 'a-box'"), vec![]).await;
    twice(&phone, "#a-box").await;
    phone.see("#a-box:checked").await;
    phone.open(&format!("{}/job/{job}/walk", desk.url())).await;
    twice(&phone, "#only-some > summary").await;
    phone.see("#only-some[open]").await;

    // Meant so, it can be turned round.
    phone.tap("#only-some > summary").await;
    phone.see("#only-some:not([open])").await;
}
