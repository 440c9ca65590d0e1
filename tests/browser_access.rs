//! Help at the place where the question arises; and what a reader asks of every page by the settings of the system: more contrast, a few colours of the reader's own, no
//! motion; and lines that run from right to left, which no catalogue needs yet and nothing may stand in the way of.

use crate::browser_support::screens::{every_screen, first_place, overflow, settle};
use crate::browser_support::{Desk, Phone, until};
use serde_json::{Value, json};

/// With a few colours only, shades and shadows are gone: what can be tapped needs an edge or a line below it, and what is
/// chosen must differ from what is not by more than those.
const IN_FEW_COLOURS: &str = r#"
    const wrong = [];
    const name = (element) => `${element.localName}.${element.className} “${(element.innerText ?? '').trim().slice(0, 30)}”`;
    const seen = (element) => {
      const { width, height } = element.getBoundingClientRect();
      const { visibility, opacity } = getComputedStyle(element);
      return width > 1 && height > 1 && visibility !== 'hidden' && opacity !== '0';
    };
    const edged = (style) => ['Top', 'Bottom', 'Left'].some((side) => parseFloat(style[`border${side}Width`]) > 0 && style[`border${side}Style`] !== 'none');
    for (const element of document.querySelectorAll('button, .key, .choice-key, input, select, textarea')) {
      const style = getComputedStyle(element);
      // A system's own control is drawn by the system.
      if (!seen(element) || style.appearance !== 'none' && /^(checkbox|radio|range)$/.test(element.type)) continue;
      if (!edged(style) && !style.textDecorationLine.includes('underline')) wrong.push(`no edge: ${name(element)}`);
    }
    const looks = (element) => ['', '::before', '::after'].map((part) => {
      const style = getComputedStyle(element, part || null);
      return [style.borderWidth, style.borderStyle, style.outlineStyle, style.outlineWidth, style.fontWeight, style.textDecorationLine, style.backgroundColor, style.color, style.content].join();
    }).join('|');
    const shown = (input) => (seen(input) ? input : input.closest('label'));
    for (const group of document.querySelectorAll('fieldset, [role=group], .choice')) {
      const all = [...group.querySelectorAll('input[type=radio], input[type=checkbox]')];
      const pressed = [...group.querySelectorAll('[aria-pressed]')];
      const pairs = [
        [all.find((input) => input.checked), all.find((input) => !input.checked)].map((input) => input && shown(input)),
        [pressed.find((key) => key.ariaPressed === 'true'), pressed.find((key) => key.ariaPressed === 'false')],
      ];
      for (const [on, off] of pairs) {
        if (!on || !off || on.type && getComputedStyle(on).appearance !== 'none' && on.localName === 'input') continue;
        if (looks(on) === looks(off)) wrong.push(`chosen looks as not chosen: ${name(on)}`);
      }
    }
    return wrong"#;

/// Whatever moves, or would at the next tap.
const MOVES: &str = r#"
    const moving = document.getAnimations().filter(({ playState }) => playState === 'running').map(({ effect }) => `moves: ${effect?.target?.className}`);
    for (const element of document.querySelectorAll('*')) {
      const { transitionDuration, transitionProperty, scrollBehavior } = getComputedStyle(element);
      if (transitionProperty !== 'none' && parseFloat(transitionDuration) > 0 || scrollBehavior === 'smooth') moving.push(`would move: ${element.localName}.${element.className}`);
    }
    return moving"#;

/// WCAG 2.2, 1.4.6, as far as axe-core can see it: 7 to 1, and 4.5 to 1 for large letters.
const ENHANCED: [&str; 1] = ["color-contrast-enhanced"];

/// Asks for something as the system of a reader does.
async fn wish(phone: &Phone, wishes: &[(&str, &str)]) {
    let features: Vec<Value> = wishes.iter().map(|(name, value)| json!({ "name": name, "value": value })).collect();
    phone.devtools("Emulation.setEmulatedMedia", json!({ "features": features })).await;
}

async fn told_by(phone: &Phone, script: &str) -> Vec<String> {
    serde_json::from_value(phone.script(script, vec![]).await).unwrap()
}

async fn look_at(phone: &Phone, name: &str) -> Vec<String> {
    let mut wrong = Vec::new();
    phone.size(390, 12_000).await;
    for shade in ["light", "dark"] {
        wish(phone, &[("prefers-contrast", "more"), ("prefers-color-scheme", shade)]).await;
        let found = phone.axe_rules(&ENHANCED).await;
        wrong.extend(found.into_iter().map(|found| format!("more contrast, {shade}: {found}")));
    }
    phone.size(390, 844).await;
    phone.picture(&format!("{name}-more-contrast")).await;
    wish(phone, &[("forced-colors", "active"), ("prefers-color-scheme", "dark")]).await;
    wrong.extend(told_by(phone, IN_FEW_COLOURS).await);
    phone.picture(&format!("{name}-few-colours")).await;
    wish(phone, &[("prefers-reduced-motion", "reduce")]).await;
    wrong.extend(told_by(phone, MOVES).await);
    wish(phone, &[]).await;
    phone.size(320, 640).await;
    phone.script("document.documentElement.dir = 'rtl'", vec![]).await;
    wrong.extend(overflow(phone, name, "320 px, from right to left").await);
    phone.picture(&format!("{name}-from-the-right")).await;
    phone.script("document.documentElement.dir = 'ltr'", vec![]).await;
    phone.size(390, 844).await;
    wrong.into_iter().map(|wrong| format!("{name}: {wrong}")).collect()
}

#[tokio::test(flavor = "multi_thread")]
async fn every_screen_follows_the_readers_wishes() {
    let desk = Desk::start().await;
    let phone = Phone::new().await;
    let job = phone.practise(&desk).await;
    phone.sign_in(&desk).await;
    let point = first_place(&phone).await;
    phone.open(&format!("{}/job/{job}/circuit", desk.url())).await;
    let load = phone.see(".lines .line").await.attr("href").await.unwrap().unwrap();
    let mut wrong = Vec::new();
    for (name, address) in every_screen(&job, &point, load) {
        phone.open(&format!("{}{address}", desk.url())).await;
        settle(&phone).await;
        wrong.extend(look_at(&phone, name).await);
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[tokio::test(flavor = "multi_thread")]
async fn help_on_a_screen_is_there_without_a_network_and_leads_back() {
    let mut desk = Desk::start().await;
    let phone = Phone::new().await;
    let job = phone.practise(&desk).await;
    let point = first_place(&phone).await;
    phone.ready_for_offline().await;
    desk.stop();
    let open = "return [...document.querySelectorAll('details[open] > summary')].map((summary) => summary.innerText)";
    for (screen, about) in [
        (format!("press/{point}"), "Press"),
        (format!("point/{point}"), "Look, press, lift"),
        ("list".to_owned(), "All places"),
    ] {
        phone.open(&format!("{}/job/{job}/{screen}", desk.url())).await;
        let path = "return location.pathname";
        let here = phone.script(path, vec![]).await;
        phone.tap("[aria-label='Help on this screen']").await;
        phone.see(".guide section").await;
        until("what is said about this screen is open", async || phone.script(open, vec![]).await == json!([about]))
            .await;
        phone.tap("#return").await;
        until("the screen is there again", async || phone.script(path, vec![]).await == here).await;
    }
}
