//! Every screen in the practice job: nothing that axe-core finds, nothing wider than the phone, and a picture of each at
//! 320, 390 and 1280 px, light and dark, in the target folder.

use crate::browser_support::screens::{every_screen, first_place, overflow, settle};
use crate::browser_support::{Desk, Phone, until};
use serde_json::json;

#[tokio::test(flavor = "multi_thread")]
async fn every_screen_can_be_used_by_everyone_and_fits_320_px() {
    let desk = Desk::start().await;
    let phone = Phone::new().await;
    phone.pair(&desk).await;
    phone.open(&desk.url()).await;
    phone.reads("A fuse opens now and then").await;
    let mut wrong = Vec::new();
    wrong.extend(look_at(&phone, "jobs-empty").await);
    phone.tap("#practice").await;
    phone.see("#next-step").await;
    let job = phone.job().await;
    phone.reads("The desk has all of it").await;
    let point = first_place(&phone).await;
    phone.open(&format!("{}/job/{job}/circuit", desk.url())).await;
    let load = phone.see(".lines .line").await.attr("href").await.unwrap().unwrap();
    let desks = [("desk-job", format!("/desk/jobs/{job}"))];
    for (name, address) in every_screen(&job, &point, load).into_iter().chain(desks) {
        phone.open(&format!("{}{address}", desk.url())).await;
        settle(&phone).await;
        wrong.extend(look_at(&phone, name).await);
    }
    phone.open(&format!("{}/job/{job}/circuit", desk.url())).await;
    phone.tap_words("What is live, and what it draws").await;
    phone.tap_words("Lamps on").await;
    wrong.extend(look_at(&phone, "circuit-tree").await);
    phone.open(&format!("{}/job/{job}/meter", desk.url())).await;
    phone.tap(".plug").await;
    phone.write("#shown", "0,1").await;
    phone.see("#verdict .note").await;
    wrong.extend(look_at(&phone, "meter-compared").await);
    phone.tap_words("Amperes through the fuse").await;
    wrong.extend(look_at(&phone, "meter-amperes").await);
    phone.tap_words("Metres to a hard short").await;
    phone.write("#amps", "1.75").await;
    phone.write("#drop", "0.035").await;
    phone.see("#distance .large").await;
    wrong.extend(look_at(&phone, "meter-metres").await);
    phone.open(&format!("{}/job/{job}/point/{point}", desk.url())).await;
    phone.tap(".marks .choice-key:nth-of-type(2)").await;
    phone.reads("Edge ×6: this place goes from").await;
    wrong.extend(look_at(&phone, "point-marked").await);
    phone.open(&format!("{}/job/{job}/circuit", desk.url())).await;
    phone.tap("#groups summary").await;
    phone.tap("#groups .choice-key:nth-of-type(2)").await;
    phone.reads("struck out: Rear wiper").await;
    wrong.extend(look_at(&phone, "circuit-groups").await);
    wrong.extend(the_shelf(&phone, &desk).await);
    phone.open(&format!("{}/settings", desk.url())).await;
    phone.tap_words("Under the vehicle").await;
    phone.open(&format!("{}/job/{job}/walk", desk.url())).await;
    settle(&phone).await;
    wrong.extend(look_at(&phone, "walk-under-vehicle").await);
    phone.open(&format!("{}/job/{job}/circuit", desk.url())).await;
    phone.tap_words("What is live, and what it draws").await;
    wrong.extend(look_at(&phone, "circuit-tree-under-vehicle").await);
    wrong.extend(the_doubts(&phone, &format!("{}/job/{job}", desk.url())).await);
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// The walk once it opened in a way that nothing on the list explains, and the way to act.
async fn the_doubts(phone: &Phone, job: &str) -> Vec<String> {
    phone.open(&format!("{job}/opening")).await;
    // What is still being read moves the answers: a tap would land beside them.
    settle(phone).await;
    // The key is offered as on.
    for (answer, holds) in [("Key on", false), ("Lamps on", true)] {
        phone.tap_words(answer).await;
        let taken = "return [...document.querySelectorAll('.choice-key')].some((key) => key.innerText.trim() === arguments[0] && key.querySelector('input').checked === arguments[1])";
        until(answer, async || phone.script(taken, vec![json!(answer), json!(holds)]).await == json!(true)).await;
    }
    phone.tap("#it-opened").await;
    phone.reads("Added to the list above").await;
    phone.open(&format!("{job}/walk")).await;
    phone.see("#doubts").await;
    phone.reads("nothing on the list was live then").await;
    let wrong = look_at(phone, "walk-doubts").await;
    phone.tap("#doubts a").await;
    phone.reads("What is dead").await;
    wrong
}

/// The shelf with something on it, one circuit of it, and what it offers to a job.
async fn the_shelf(phone: &Phone, desk: &Desk) -> Vec<String> {
    let mut wrong = Vec::new();
    phone.open(&format!("{}/shelf", desk.url())).await;
    phone.see("#shelf-empty").await;
    let case = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cases/shelves/two.shelf.json");
    phone.choose_file("#open-shelf", &case).await;
    phone.reads("Grey hatchback").await;
    wrong.extend(look_at(phone, "shelf").await);
    phone.tap_words("White van, yard 3").await;
    phone.see("#shelf-name").await;
    wrong.extend(look_at(phone, "shelved").await);
    phone.open(&desk.url()).await;
    phone.tap("#new-job").await;
    phone.write("#vehicle", "White van, yard 3").await;
    phone.write("#fuse", "F23").await;
    phone.choose("#rating", "10").await;
    phone.see("#shelf-offers").await;
    phone.tap("[data-use]").await;
    phone.reads("would be replaced").await;
    wrong.extend(look_at(phone, "concern-offer").await);
    phone.tap("#from-shelf").await;
    phone.see("#find-shelf").await;
    wrong.extend(look_at(phone, "shelf-in-job").await);
    wrong
}

/// Pictures of a screen in all sizes; says what is wrong with it.
async fn look_at(phone: &Phone, name: &str) -> Vec<String> {
    let mut wrong = Vec::new();
    for (width, height) in [(320, 640), (390, 844), (1280, 900)] {
        phone.size(width, height).await;
        for dark in [false, true] {
            phone.dark(dark).await;
            let shade = if dark { "dark" } else { "light" };
            phone.picture(&format!("{name}-{width}-{shade}")).await;
            if width == 390 {
                // Tall enough for all of it: what has scrolled half behind the main action is no small target.
                phone.size(width, 12_000).await;
                wrong.extend(phone.axe().await.into_iter().map(|found| format!("{name}, {shade}: {found}")));
                phone.size(width, height).await;
            }
        }
        wrong.extend(overflow(phone, name, &format!("{width} px")).await);
    }
    phone.dark(false).await;
    // Text at 200 %: half as many pixels for twice the size is the same test as the narrowest screen.
    phone.size(640, 844).await;
    phone.script("document.documentElement.style.fontSize = '200%'", vec![]).await;
    wrong.extend(overflow(phone, name, "640 px with text at 200 %").await);
    phone.script("document.documentElement.style.fontSize = ''", vec![]).await;
    phone.size(390, 844).await;
    wrong
}
