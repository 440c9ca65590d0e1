//! The desk in the service writer's browser: first start, signing in, arrivals that appear by themselves, prices, the sheet.

use crate::browser_support::*;

const PASSWORD: &str = "seven quiet kettles";

#[tokio::test(flavor = "multi_thread")]
async fn a_service_writer_begins_sees_a_job_arrive_prices_it_and_prints_it() {
    let desk = Desk::start().await;
    let (writer, phone) = (Phone::new().await, Phone::new().await);
    writer.size(1280, 900).await;
    let code = desk.access(&["code", "--begin"]);
    writer.open(&format!("{}/desk", desk.url())).await;
    writer.write("#code", &code).await;
    writer.write("#password", PASSWORD).await;
    writer.write("#again", PASSWORD).await;
    looked_at(&writer, "desk-begin").await;
    writer.tap(".door button").await;
    writer.reads("No phone is paired yet").await;
    writer.tap("button.main").await;
    writer.see(".code").await;
    looked_at(&writer, "desk-code").await;
    let code = writer.see(".code").await.text().await.unwrap();

    // The phone is paired with what the desk shows; its job appears while the list is open.
    writer.open(&format!("{}/desk", desk.url())).await;
    writer.reads("Nothing has arrived yet").await;
    phone.open(&format!("{}/pair", desk.url())).await;
    phone.write("#code", &code.to_lowercase()).await;
    phone.tap("#pair:not(:disabled)").await;
    phone.see("#paired").await;
    phone.open(&desk.url()).await;
    phone.tap("#practice").await;
    phone.see("#next-step").await;
    let job = phone.job().await;
    writer.see(&format!("a[href='/desk/jobs/{job}']")).await;
    looked_at(&writer, "desk-jobs").await;

    writer.open(&format!("{}/desk/prices", desk.url())).await;
    for (field, text) in [("#currency", "EUR"), ("#rate", "84,50"), ("#tax", "VAT"), ("#percent", "20")] {
        writer.write(field, text).await;
    }
    writer.write("#parts", "Butt splice; pc; 1.20").await;
    looked_at(&writer, "desk-prices").await;
    writer.tap(".door button").await;
    writer.reads("Save them as a file").await;
    writer.open(&format!("{}/desk/jobs/{job}", desk.url())).await;
    writer.reads("Estimate").await;
    looked_at(&writer, "desk-job").await;
    writer.tap("a[href$='lang=de']").await;
    writer.reads("EUR").await;
    writer.reads("Was gefunden wurde").await;
    looked_at(&writer, "desk-sheet").await;
    for (page, name) in [("learned", "desk-learned"), ("done", "desk-done"), ("phones", "desk-phones")] {
        writer.open(&format!("{}/desk/{page}", desk.url())).await;
        looked_at(&writer, name).await;
    }
    writer.tap("button.quiet").await;
    writer.reads("Sign in").await;
    looked_at(&writer, "desk-sign-in").await;
    writer.open(&format!("{}/trust", desk.url())).await;
    looked_at(&writer, "desk-trust").await;
}

/// Nothing for axe to say, on a large screen and at 320 px, light and dark; and nothing hangs out of the page.
async fn looked_at(writer: &Phone, name: &str) {
    for dark in [false, true] {
        writer.dark(dark).await;
        writer.picture(&format!("{name}{}", if dark { "-dark" } else { "" })).await;
        assert_eq!(writer.axe().await, Vec::<String>::new(), "{name}");
    }
    writer.dark(false).await;
    writer.size(320, 700).await;
    let wide = writer.script("return document.documentElement.scrollWidth", vec![]).await.as_u64().unwrap();
    assert!(wide <= 320, "{name} is {wide} px wide at 320");
    writer.picture(&format!("{name}-320")).await;
    writer.size(1280, 900).await;
}
