//! A job whose place was found and that was handed over teaches the phone, and the next job begins with that.

use crate::browser_support::{Desk, Phone, enter, until};

#[tokio::test(flavor = "multi_thread")]
async fn a_closed_job_teaches_and_the_next_one_begins_with_it() {
    let mut desk = Desk::start().await;
    let phone = Phone::new().await;
    phone.open(&desk.url()).await;
    phone.ready_for_offline().await;
    phone.open(&format!("{}/settings", desk.url())).await;
    phone.reads("Nothing yet. A job teaches when").await;
    phone.open(&desk.url()).await;
    enter(&phone).await;
    let job = phone.job().await;
    assert!(phone.kept_events(&job).await.iter().all(|event| event["kind"] != "shop"), "nothing to begin with");
    desk.stop();
    find_and_hand_over(&phone, &desk, &job).await;
    let taught =
        "return JSON.parse(JSON.parse(localStorage.getItem('loomwalk/learned') || '\"{}\"')).lessons?.length === 1";
    until("it has taught", async || phone.script(taught, vec![]).await == serde_json::json!(true)).await;

    phone.open(&format!("{}/settings", desk.url())).await;
    phone.reads("1 closed job. New jobs begin with this:").await;
    phone.size(390, 12_000).await;
    assert_eq!(phone.axe().await, Vec::<String>::new());
    phone.size(390, 844).await;
    phone.picture("settings-lessons").await;
    phone.tap("#save-lessons").await;
    phone.downloaded(".learned.json").await;

    phone.open(&desk.url()).await;
    enter(&phone).await;
    let second = phone.job().await;
    let begun = phone.kept_events(&second).await;
    let shop = begun.iter().find(|event| event["kind"] == "shop").expect("the next job begins with it");
    assert_eq!(shop["body"]["jobs"], 1);

    phone.open(&format!("{}/settings", desk.url())).await;
    phone.tap("#forget-lessons").await;
    phone.reads("Nothing yet. A job teaches when").await;
    phone.tap("#put-back-lessons").await;
    phone.reads("1 closed job. New jobs begin with this:").await;
    phone.tap("#forget-lessons").await;
    phone.reads("Nothing yet. A job teaches when").await;
    let kept = phone.kept_events(&second).await;
    assert!(kept.iter().any(|event| event["kind"] == "shop"), "a job that has begun goes on as it began");

    // What this version cannot read is told, and stays.
    phone.script("localStorage.setItem('loomwalk/learned', JSON.stringify('{\"format\":\"loomwalk/learned\",\"version\":2}'))", vec![]).await;
    phone.open(&desk.url()).await;
    phone.open(&format!("{}/settings", desk.url())).await;
    phone.reads("cannot be read by this version").await;
    assert_eq!(phone.axe().await, Vec::<String>::new());
}

#[tokio::test(flavor = "multi_thread")]
async fn what_one_phone_has_closed_teaches_the_others_through_the_desk() {
    let desk = Desk::start().await;
    let (one, other) = (Phone::new().await, Phone::new().await);
    one.pair(&desk).await;
    one.open(&desk.url()).await;
    enter(&one).await;
    let job = one.job().await;
    find_and_hand_over(&one, &desk, &job).await;
    one.reads("The desk has all of it").await;
    // A desk that has not reckoned yet says so far that nothing was taught: the phone asks again each time it is home.
    let taught =
        "return JSON.parse(JSON.parse(localStorage.getItem('loomwalk/learned at the desk') || '\"{}\"')).jobs === 1";
    other.pair(&desk).await;
    until("the desk has told it", async || {
        other.open(&desk.url()).await;
        other.see("#at-desk").await;
        other.script(taught, vec![]).await == serde_json::json!(true)
    })
    .await;
    enter(&other).await;
    let begun = other.kept_events(&other.job().await).await;
    let shop = begun.iter().find(|event| event["kind"] == "shop").expect("its next job begins with it");
    assert_eq!(shop["body"]["jobs"], 1);
    other.open(&format!("{}/settings", desk.url())).await;
    other.reads("1 closed job. New jobs begin with this:").await;
    other.reads("From the desk").await;
    other.open(&format!("{}/pair", desk.url())).await;
    other.tap("#unpair").await;
    other.reads("This phone is not paired any more").await;
    other.open(&format!("{}/settings", desk.url())).await;
    other.reads("Nothing yet. A job teaches when").await;
}

/// Finds the place of a job that is on the walk, and hands it over as a file.
async fn find_and_hand_over(phone: &Phone, desk: &Desk, job: &str) {
    let here = format!("{}/job/{job}", desk.url());
    while phone.see("#next-step").await.attr("data-step").await.unwrap().unwrap().starts_with("access:") {
        let count = phone.kept_events(job).await.len();
        phone.tap("#access-done").await;
        until("it is open", async || phone.kept_events(job).await.len() > count).await;
        phone.open(&format!("{here}/walk")).await;
    }
    let point = phone.see("#next-step").await.attr("data-step").await.unwrap().unwrap();
    phone.open(&format!("{here}/finding/{point}")).await;
    phone.write("#rubbed-on", "Bracket").await;
    until("the finding is kept", async || phone.kept_events(job).await.iter().any(|event| event["kind"] == "finding"))
        .await;
    phone.open(&format!("{here}/handover")).await;
    phone.tap("#share").await;
    phone.downloaded(".loomwalk.json").await;
    phone.reads("The file is made.").await;
}
