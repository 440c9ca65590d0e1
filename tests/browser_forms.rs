//! Nothing that was typed or tapped is lost: not to the next tap, not to the way back, not to a page loaded again.

use crate::browser_support::{Desk, Phone, until};
use serde_json::{Value, json};

/// Types into fields, taps and chooses, all before the first of it can be kept.
const AT_ONCE: &str = "
    const write = (id, text) => {
      const field = document.getElementById(id);
      field.focus();
      field.value = text;
      field.dispatchEvent(new InputEvent('input', { bubbles: true }));
      field.blur();
    };
    const choose = (id, value) => {
      const list = document.getElementById(id);
      list.value = value;
      list.dispatchEvent(new Event('change', { bubbles: true }));
    };
    const tap = (words) => [...document.querySelectorAll('label, button')].find((key) => key.innerText.trim() === words).click();";

async fn at_once(phone: &Phone, steps: &str) {
    phone.driver().execute(format!("{AT_ONCE}\n{steps}"), vec![]).await.unwrap();
}

async fn newest(phone: &Phone, job: &str, kind: &str) -> Value {
    let events = phone.kept_events(job).await;
    events.iter().rev().find(|event| event["kind"] == kind).map(|event| event["body"].clone()).unwrap_or_default()
}

#[tokio::test(flavor = "multi_thread")]
async fn keys_that_are_tapped_within_one_frame_all_count() {
    let desk = Desk::start().await;
    let phone = Phone::new().await;
    let job = phone.practise(&desk).await;
    phone.open(&format!("{}/job/{job}/opening", desk.url())).await;
    phone.see("#it-opened").await;
    // The key is on from the beginning: off, and the lamps on.
    let both = "for (const words of ['Key on', 'Lamps on']) {
                  [...document.querySelectorAll('.choice-key')].find((key) => key.textContent === words).click();
                }";
    phone.script(both, vec![]).await;
    phone.tap("#it-opened").await;
    phone.reads("Added to the list above").await;
    let events = phone.kept_events(&job).await;
    let blow = events.iter().rev().find(|event| event["kind"] == "blow").unwrap();
    assert_eq!(blow["body"]["state"], json!(["lamps_on"]), "{blow}");
}

#[tokio::test(flavor = "multi_thread")]
async fn quick_edits_of_one_form_do_not_undo_each_other() {
    let desk = Desk::start().await;
    let phone = Phone::new().await;
    phone.open(&desk.url()).await;
    phone.tap("#new-job").await;
    phone.see("#vehicle").await;
    let job = phone.job().await;
    at_once(
        &phone,
        "write('vehicle', 'White van'); tap('Panel van'); tap('Right');
         write('fuse', 'F23'); choose('rating', '15');
         write('concern', 'Lamps die'); write('dead', 'Lamps'); tap('It holds'); write('doing', 'Rough road');",
    )
    .await;
    until("all of it is kept", async || newest(&phone, &job, "concern").await["doing"] == "Rough road").await;
    let concern = newest(&phone, &job, "concern").await;
    assert_eq!([&concern["words"], &concern["dead"], &concern["fresh_fuse"]], ["Lamps die", "Lamps", "holds"]);
    let vehicle = newest(&phone, &job, "vehicle").await;
    assert_eq!([&vehicle["label"], &vehicle["body"], &vehicle["drive_side"]], ["White van", "panel_van", "right"]);
    let fuse = newest(&phone, &job, "fuse").await;
    assert_eq!((&fuse["fuse"]["label"], &fuse["fuse"]["rating_a"]), (&json!("F23"), &json!(15)));
    assert_eq!(phone.see("#vehicle").await.prop("value").await.unwrap().as_deref(), Some("White van"));

    // More than any vehicle is driven is refused, and what was said before stays.
    phone.write("#hours", "400").await;
    until("the hours are kept", async || newest(&phone, &job, "concern").await["often"]["hours"] == 400).await;
    phone.write("#hours", "4000000").await;
    phone.reads("“4000000” is more than any vehicle is driven.").await;
    assert_eq!(newest(&phone, &job, "concern").await["often"]["hours"], 400);

    phone.open(&format!("{}/job/{job}/repair", desk.url())).await;
    phone.see("#value-DrawMeasured").await;
    at_once(
        &phone,
        "write('value-DrawMeasured', '2.3 A'); document.querySelectorAll('.check input[type=checkbox]')[2].click();",
    )
    .await;
    until("the check is kept", async || {
        let check = newest(&phone, &job, "release").await;
        (&check["item"], &check["done"], &check["value"]) == (&json!("draw_measured"), &json!(true), &json!("2.3 A"))
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_note_survives_the_way_back_and_a_page_that_is_loaded_again() {
    let desk = Desk::start().await;
    let phone = Phone::new().await;
    let job = phone.practise(&desk).await;
    phone.open(&format!("{}/job/{job}/list", desk.url())).await;
    phone.unfold_zones().await;
    let place = phone.see("a.line[href*='/point/']").await.attr("href").await.unwrap().unwrap();
    let place = if place.starts_with('/') { format!("{}{place}", desk.url()) } else { place };

    phone.open(&place).await;
    phone.see("#note").await.send_keys("Half a word").await.unwrap();
    phone.open(&place).await;
    phone.see("#note").await;
    assert_eq!(phone.see("#note").await.prop("value").await.unwrap().as_deref(), Some("Half a word"));
    assert_ne!(newest(&phone, &job, "note").await["text"], "Half a word");

    // On by a link, then back by the phone's own way: neither leaves the field first.
    phone.script("document.querySelector(\".way-list a[href$='/walk']\").click()", vec![]).await;
    until("the note is kept", async || newest(&phone, &job, "note").await["text"] == "Half a word").await;
    phone.see("#next-step").await;
    phone.script("history.back()", vec![]).await;
    phone.see("#note").await.send_keys("Another").await.unwrap();
    phone.script("history.forward()", vec![]).await;
    phone.see("#next-step").await;
    until("the other note is kept", async || newest(&phone, &job, "note").await["text"] == "Another").await;
    let drafts =
        phone.script("return Object.keys(localStorage).filter((name) => name.includes('draft'))", vec![]).await;
    assert_eq!(drafts, json!([]), "nothing is left of a draft once it was kept");
}

#[tokio::test(flavor = "multi_thread")]
async fn words_that_there_is_no_room_for_stay_in_their_field_and_nothing_is_said_to_be_kept() {
    let desk = Desk::start().await;
    let phone = Phone::new().await;
    let job = phone.practise(&desk).await;
    phone.to_a_place().await;
    let place = phone.driver().current_url().await.unwrap().to_string();
    phone.reads("The desk has all of it").await;
    let before = phone.kept_events(&job).await;
    let typed = "Green wire under the bracket";
    let leave = async || {
        phone.script("document.activeElement.blur(); document.querySelector('#note').focus()", vec![]).await;
        phone.script("document.activeElement.blur()", vec![]).await;
    };

    // As a browser does it: not even a small quota keeps Chromium from taking a few words.
    let full = async || {
        let refuse = "globalThis.put = IDBObjectStore.prototype.put;
            IDBObjectStore.prototype.put = () => { throw new DOMException('no more', 'QuotaExceededError'); };";
        phone.script(refuse, vec![]).await
    };

    phone.see("#note").await.send_keys(typed).await.unwrap();
    full().await;
    leave().await;
    phone.reads("This was not kept: there is no room left on this device").await;
    assert_eq!(phone.see("#note").await.prop("value").await.unwrap().as_deref(), Some(typed));
    // The page is loaded again: the words are there still.
    phone.open(&place).await;
    assert_eq!(phone.see("#note").await.prop("value").await.unwrap().as_deref(), Some(typed));

    // Left for another screen while the browser still tries, in vain: they are there when one comes back.
    let in_vain = "const put = IDBObjectStore.prototype.put;
        IDBObjectStore.prototype.put = function (...row) { const asked = put.apply(this, row); this.transaction.abort(); return asked; };";
    phone.script(in_vain, vec![]).await;
    phone.script("document.querySelector('#note').focus()", vec![]).await;
    phone
        .script("document.activeElement.blur(); document.querySelector(\".way-list a[href$='/walk']\").click()", vec![])
        .await;
    phone.see("#next-step").await;
    phone.reads("This was not kept").await;
    phone.script("history.back()", vec![]).await;
    assert_eq!(phone.see("#note").await.prop("value").await.unwrap().as_deref(), Some(typed));

    phone.open(&format!("{}/job/{job}/opening", desk.url())).await;
    phone.see("#it-opened").await;
    full().await;
    phone.tap("#it-opened").await;
    phone.reads("This was not kept").await;
    assert!(!phone.text().await.contains("Added to the list above"), "it was not");
    assert_eq!(phone.kept_events(&job).await, before);

    phone.script("IDBObjectStore.prototype.put = globalThis.put", vec![]).await;
    phone.tap("#read-it").await;
    phone.tap("#it-opened").await;
    phone.reads("Added to the list above: it opened.").await;
    phone.open(&place).await;
    phone.see("#note").await;
    leave().await;
    until("the words are kept", async || newest(&phone, &job, "note").await["text"] == typed).await;
    until("the field is ready for the next", async || {
        phone.see("#note").await.prop("value").await.unwrap().as_deref() == Some("")
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn what_was_opened_marked_or_found_by_mistake_has_a_way_back() {
    let desk = Desk::start().await;
    let phone = Phone::new().await;
    phone.open(&desk.url()).await;
    phone.tap("#practice").await;
    let place = loop {
        let step = phone.see("#next-step").await.attr("data-step").await.unwrap().unwrap();
        if !step.starts_with("access:") {
            break step;
        }
        phone.tap("#access-done").await;
        phone.reads("Opened on the way").await;
        until("the plan follows", async || {
            phone.see("#next-step").await.attr("data-step").await.is_ok_and(|now| now.as_deref() != Some(&step))
        })
        .await;
    };
    let job = phone.job().await;
    phone.tap("#cannot-reach").await;
    until("another place is next", async || {
        phone.see("#next-step").await.attr("data-step").await.is_ok_and(|now| now.as_deref() != Some(&place))
    })
    .await;
    phone.open(&format!("{}/job/{job}/point/{place}", desk.url())).await;
    phone.reads("Marked as out of reach").await;
    phone.tap("#reach").await;
    until("it is within reach", async || !phone.text().await.contains("Marked as out of reach")).await;

    phone.open(&format!("{}/job/{job}/finding/{place}", desk.url())).await;
    phone.tap("#found-here").await;
    phone.write("#cause", "Grommet missing").await;
    until("the cause is kept", async || newest(&phone, &job, "finding").await["cause"] == "Grommet missing").await;
    phone.tap("#not-here").await;
    phone.see("#found-here").await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_hard_short_is_cornered_plug_by_plug() {
    let desk = Desk::start().await;
    let phone = Phone::new().await;
    let job = phone.practise(&desk).await;
    phone.open(&format!("{}/job/{job}/concern", desk.url())).await;
    phone.tap_words("It opens at once").await;
    phone.tap("#to-unplug").await;
    phone.reads("Where it can still be").await;
    let next = async || phone.see("#next-plug h2").await.text().await.unwrap_or_default();
    let first = next().await;
    phone.tap("#still-there").await;
    until("the next plug is another", async || next().await != first).await;
    let second = next().await;
    phone.tap("#take-back").await;
    until("the first plug is asked for again", async || next().await == first).await;
    phone.tap("#still-there").await;
    until("the same answer leads to the same plug", async || next().await == second).await;
    assert_eq!(phone.axe().await, Vec::<String>::new());
}

#[tokio::test(flavor = "multi_thread")]
async fn what_is_dead_is_tapped_and_what_does_not_fit_is_said_early() {
    let desk = Desk::start().await;
    let phone = Phone::new().await;
    let job = phone.practise(&desk).await;
    let dead = format!("{}/job/{job}/dead", desk.url());
    phone.open(&dead).await;
    let means = async || phone.see("#meaning").await.text().await.unwrap_or_default();
    let pressed = async |key: &str| {
        let key = phone.see(key).await.attr("aria-pressed").await.unwrap_or_default();
        key.as_deref() == Some("true")
    };
    assert_eq!(phone.see("#meaning").await.attr("aria-live").await.unwrap().as_deref(), Some("polite"));
    let (lamp_dead, lamp_works) =
        ("[data-what=lamp_left] button:first-of-type", "[data-what=lamp_left] button:last-of-type");
    phone.tap(lamp_dead).await;
    until("it fits", async || means().await == "What is dead fits this fuse.").await;
    assert!(pressed(lamp_dead).await && !pressed(lamp_works).await);
    // The other answer stands in its place; the same once more takes all of it back.
    phone.tap(lamp_works).await;
    phone.see("[data-misfit=lamp_left]").await;
    assert!(!pressed(lamp_dead).await && pressed(lamp_works).await);
    phone.open(&format!("{}/job/{job}/walk", desk.url())).await;
    phone.see("#doubt a").await;
    phone.reads("the search may be in the wrong circuit").await;
    phone.tap("#doubt a").await;
    phone.tap(lamp_works).await;
    until("nothing is said", async || means().await.starts_with("Nothing was said yet")).await;
    assert!(!pressed(lamp_dead).await && !pressed(lamp_works).await);

    // Something that the list lacks: three letters, an offer, dead, and one tap puts it on the list.
    phone.see("#else").await.send_keys("rad").await.unwrap();
    phone.tap("[aria-label='Kinds of load'] li:first-child button").await;
    let name = phone.see("#else").await.prop("value").await.unwrap().unwrap();
    phone.tap("#else-dead").await;
    phone.reads("look for the fuse that feeds it").await;
    phone.tap_words("Add it to the circuit").await;
    until("it is on the list", async || newest(&phone, &job, "load").await["label"] == name.as_str()).await;
    until("nothing speaks against the fuse", async || !phone.text().await.contains("not on this circuit")).await;
    assert_eq!(phone.axe().await, Vec::<String>::new());
}

#[tokio::test(flavor = "multi_thread")]
async fn what_the_fuse_does_is_told_and_the_stated_touch_is_changed_and_brought_back() {
    let desk = Desk::start().await;
    let phone = Phone::new().await;
    let job = phone.practise(&desk).await;
    let circuit = format!("{}/job/{job}/circuit", desk.url());
    phone.open(&circuit).await;
    phone.see("#fuse-card").await;
    phone.script("document.getElementById('fuse-card').open = true", vec![]).await;
    phone.reads("At twice its rating, 30 A, it opens within 0.15 to 5 s").await;
    phone.reads("touch for 2 ms to 2 s").await;
    phone.write("#touch-longest", "5").await;
    until("the touch is kept", async || {
        newest(&phone, &job, "touch").await == json!({ "touch": { "shortest_s": 0.002, "longest_s": 5 } })
    })
    .await;
    phone.reads("touch for 2 ms to 5 s").await;
    phone.size(390, 3_000).await;
    phone.picture("fuse-card").await;
    assert_eq!(phone.axe().await, Vec::<String>::new());
    // A longest touch below the shortest is refused in words, and nothing is kept of it.
    phone.write("#touch-longest", "0.001").await;
    phone.reads("the longest at most 600 s").await;
    assert_eq!(newest(&phone, &job, "touch").await["touch"]["longest_s"], 5);
    phone.tap("#touch-shipped").await;
    until("it is as shipped", async || newest(&phone, &job, "touch").await == json!({})).await;
    phone.reads("touch for 2 ms to 2 s").await;

    phone.open(&format!("{}/job/{job}/concern", desk.url())).await;
    phone.tap_words("Breaker, resets by itself").await;
    until("the style is kept", async || newest(&phone, &job, "fuse").await["fuse"]["style"] == "breaker").await;
    phone.see("#resets").await;
    phone.reads("Does the breaker stay closed?").await;
    phone.picture("concern-breaker").await;
    assert_eq!(phone.axe().await, Vec::<String>::new());
    phone.tap_words("It trips at once, again and again").await;
    phone.tap("#to-unplug").await;
    phone.reads("it would close on the short again and again").await;
    phone.open(&circuit).await;
    phone.see("#fuse-card").await;
    phone.script("document.getElementById('fuse-card').open = true", vec![]).await;
    phone.reads("It closes again by itself").await;
}
