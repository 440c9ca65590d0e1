//! The meter card and the drawn circuit, by tapping, in the practice job. The figures are those of `loomwalk meter` on the
//! practice circuit, which `meter.rs` holds against ngspice.

use crate::browser_support::{Desk, Phone, until};
use serde_json::json;

#[tokio::test(flavor = "multi_thread")]
async fn the_card_follows_what_is_unplugged_and_says_what_a_reading_means() {
    let desk = Desk::start().await;
    let phone = Phone::new().await;
    let job = phone.practise(&desk).await;
    phone.open(&format!("{}/job/{job}/circuit", desk.url())).await;
    phone.tap_words("What is live, and what it draws").await;
    phone.tap("#to-meter").await;

    // Key and lamps, as at the last blow: two number-plate lamps of 5 W, cold, side by side and their wires.
    let large = async || phone.see("#reading .large").await.text().await.unwrap();
    until("both lamps are measured", async || large().await == "1.29 Ω").await;
    phone.reads("Unplugged: 2.50 Ω").await;
    phone.tap("#plugs .plug").await;
    until("the other lamp is left", async || large().await == "2.50 Ω").await;
    phone.see("#plugs .plug[aria-pressed=true]").await;

    // 0.5 Ω beside 2.5 Ω: 0.417 Ω.
    phone.write("#shown", "0,417").await;
    phone.reads("By itself it measures about 0.50 Ω").await;
    phone.write("#shown", "2.4").await;
    phone.reads("Within what this circuit should show").await;
    phone.tap("#shows-open").await;
    phone.reads("It would read so without: Number-plate lamp, right").await;

    phone.tap_words("Amperes through the fuse").await;
    until("one lamp draws", async || large().await == "0.44 A").await;

    // 1.8 m of 1.5 mm² copper: 11.5 mΩ/m (IACS copper, 17.24 mΩ·mm²/m). 1.75 A lose 20.1 mV/m.
    phone.tap_words("Metres to a hard short").await;
    phone.write("#amps", "1.75").await;
    phone.write("#drop", "0.02").await;
    phone.reads("From fuse F23 on").await;
    let metres = phone.see("#distance .large").await.text().await.unwrap();
    let metres: f64 = metres.trim_end_matches(" m").parse().unwrap();
    assert!((metres - 0.995).abs() < 0.02, "{metres} m");
    phone.reads("Left cab step and sill").await;
}

#[tokio::test(flavor = "multi_thread")]
async fn megohms_where_nothing_is_connected_are_no_short() {
    let desk = Desk::start().await;
    let phone = Phone::new().await;
    let job = phone.practise(&desk).await;
    phone.open(&format!("{}/job/{job}/meter", desk.url())).await;
    phone.see("#plugs .plug").await;
    let connected = "return document.querySelectorAll('#plugs .plug[aria-pressed=false]').length";
    while phone.script(connected, vec![]).await != json!(0) {
        phone.tap("#plugs .plug[aria-pressed=false]").await;
    }
    phone.write("#shown", "20000000").await;
    phone.reads("Fingers, or damp").await;
    phone.reads("about 20.0 MΩ, is no short").await;
    phone.picture("meter-fingers-390").await;
    phone.tap("#keep-reading").await;
    phone.reads("Kept. The walk stays as it is.").await;
    // A few ohms there are something that leads to ground.
    phone.write("#shown", "3").await;
    phone.reads("Something beyond the loads leads to ground").await;
}

#[tokio::test(flavor = "multi_thread")]
async fn the_drawn_circuit_changes_at_once_with_what_is_on_and_with_what_thickness_shows() {
    let desk = Desk::start().await;
    let phone = Phone::new().await;
    let job = phone.practise(&desk).await;
    phone.open(&format!("{}/job/{job}/circuit", desk.url())).await;
    phone.tap_words("What is live, and what it draws").await;
    let row = async |name: &str| {
        let script = "const row = [...document.querySelectorAll('.tree > li')].find((row) => row.innerText.includes(arguments[0]));
             return row ? row.innerText : ''";
        phone.script(script, vec![json!(name)]).await.as_str().unwrap_or_default().to_owned()
    };
    until("the wiper is live", async || row("Rear wiper").await.contains("live, 0 A")).await;
    assert!(row("Rear wiper").await.contains("return to ground"));
    phone.tap_words("Wipers on").await;
    until("the wiper runs", async || !row("Rear wiper").await.contains("live")).await;
    let amps: f64 = row("Rear wiper").await.split_whitespace().find_map(|word| word.parse().ok()).unwrap();
    assert!((3.5..4.5).contains(&amps), "the wiper takes 4 A by its data, {amps} A here");
    phone.tap_words("Chance of the place").await;
    until("chances are shown", async || row("Rear wiper").await.contains('%')).await;
    phone.tap_words("Key on").await;
    until("without the key all is dead", async || row("Rear wiper").await.contains("dead")).await;
}
