//! Two phones, one job, one desk: what one does the other sees, also after a while without a network.

use crate::browser_support::*;
use serde_json::Value;

fn ids(events: &[Value]) -> Vec<&str> {
    let mut ids: Vec<&str> = events.iter().map(|event| event["id"].as_str().unwrap()).collect();
    ids.sort_unstable();
    ids
}

/// All three hold the same events.
async fn agree(desk: &Desk, phones: [&Phone; 2], job: &str) {
    until("both phones and the desk hold the same", async || {
        let (one, two, at_desk) =
            (phones[0].kept_events(job).await, phones[1].kept_events(job).await, desk.events(job).await);
        ids(&one) == ids(&two) && ids(&one) == ids(&at_desk)
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn two_phones_work_on_one_job_and_end_with_the_same() {
    let mut desk = Desk::start().await;
    let (one, two) = (Phone::new().await, Phone::new().await);
    let job = one.practise(&desk).await;
    until("the desk has the job", async || desk.get(&format!("/api/v1/jobs/{job}/events")).await.status() == 200).await;

    // The second phone takes it from the desk.
    two.pair(&desk).await;
    two.open(&desk.url()).await;
    two.tap("#desk-jobs").await;
    two.tap(&format!("button.line[data-job='{job}']")).await;
    two.see("#next-step").await;
    assert_eq!(two.job().await, job);
    agree(&desk, [&one, &two], &job).await;

    // What one sees at a place stands on the other's screen, without being asked for.
    one.to_a_place().await;
    let place = one.driver().current_url().await.unwrap().path().to_owned();
    two.open(&format!("{}{place}", desk.url())).await;
    two.see("#seen-Sound").await;
    one.tap("#seen-Marked").await;
    two.see("#seen-Marked[aria-pressed=true]").await;

    // Both go on without a desk, and judge the same place differently.
    desk.stop();
    one.tap("#seen-Thinned").await;
    one.see("#seen-Thinned[aria-pressed=true]").await;
    two.tap("#seen-Sound").await;
    two.see("#seen-Sound[aria-pressed=true]").await;
    desk.start_again().await;
    for phone in [&one, &two] {
        phone.script("dispatchEvent(new Event('online'))", vec![]).await;
    }
    agree(&desk, [&one, &two], &job).await;

    // Both say so at the place, and the report.
    for phone in [&one, &two] {
        phone.open(&format!("{}{place}", desk.url())).await;
        phone.see("#differ").await;
        phone.reads("Thinned").await;
    }
    one.picture("point-differ").await;
    assert_eq!(one.axe().await, Vec::<String>::new());
    let report = desk.get(&format!("/desk/jobs/{job}")).await.text().await.unwrap();
    assert!(report.contains("Seen differently"), "{report}");

    // The second has the entries, and of the photographs small ones at most: it says so, before a file is made and after.
    let there = one.kept_events(&job).await.into_iter().filter(|event| event["kind"] == "photo").count();
    one.reads(&format!("entries, {there} photographs")).await;
    two.reads(&format!("entries, 0 of {there} photographs")).await;
    let lacks = format!("Not on this phone, and so not in the file: {there} of {there} photographs and recordings.");
    for (phone, lacking) in [(&one, false), (&two, true)] {
        phone.open(&format!("{}/job/{job}/handover", desk.url())).await;
        phone.see("#share").await;
        assert_eq!(phone.text().await.contains(&lacks), lacking);
        phone.tap("#share").await;
        phone.reads("The file is made.").await;
        let said =
            phone.script("return document.querySelector('[role=alert] .trouble')?.innerText ?? ''", vec![]).await;
        assert_eq!(said.as_str().unwrap().contains(&lacks), lacking, "{said}");
    }
    two.reads(&format!("entries, 0 of {there} photographs")).await;
    agree(&desk, [&one, &two], &job).await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_phone_that_is_shut_out_says_so_and_keeps_what_it_has() {
    let desk = Desk::start().await;
    let phone = Phone::new().await;
    let job = phone.practise(&desk).await;
    until("the desk has the job", async || desk.get(&format!("/api/v1/jobs/{job}/events")).await.status() == 200).await;
    let paired = desk.access(&["phones"]);
    assert!(!paired.is_empty());
    for id in desk.phones() {
        desk.access(&["revoke", &id]);
    }
    // A desk that is running takes a token that it has just seen for good for so long.
    tokio::time::sleep(std::time::Duration::from_secs(11)).await;
    phone.to_a_place().await;
    phone.tap("#seen-Marked").await;
    phone.see("#seen-Marked[aria-pressed=true]").await;
    phone.reads("not paired").await;
    assert!(phone.kept_events(&job).await.iter().any(|event| event["kind"] == "look"));
    // Paired again, it sends what it kept.
    phone.pair(&desk).await;
    until("the desk has the look", async || desk.events(&job).await.iter().any(|event| event["kind"] == "look")).await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_method_is_taken_over_its_material_corrected_and_priced_at_the_desk() {
    let desk = Desk::start().await;
    let phone = Phone::new().await;
    let job = phone.practise(&desk).await;
    phone.open(&format!("{}/job/{job}/repair", desk.url())).await;
    phone.tap("#methods > summary").await;
    phone.tap("[data-method] > summary").await;
    phone.reads("Right:").await;
    let repairs = async || phone.script("return document.querySelectorAll('ul.told > li').length", vec![]).await;
    let before = repairs().await.as_u64().unwrap();
    phone.tap("[data-method][open] .key").await;
    // The newest stands last, once it is kept.
    until("it is on the list", async || repairs().await.as_u64() == Some(before + 1)).await;
    phone.tap("ul.told > li:last-child summary").await;
    phone.write("ul.told > li:last-child input[id^=minutes]", "40").await;
    until("the minutes are kept", async || {
        let kept = phone.kept_events(&job).await;
        kept.iter().any(|event| {
            event["kind"] == "repair" && event["body"]["minutes"] == 40 && event["body"]["method"].is_string()
        })
    })
    .await;
    phone.picture("repair_methods").await;
    assert_eq!(phone.axe().await, Vec::<String>::new());
    until("the desk has it", async || desk.events(&job).await.iter().any(|event| event["body"]["minutes"] == 40)).await;
}
