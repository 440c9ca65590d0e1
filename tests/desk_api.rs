//! Every call of version 1 of the desk's API and every status that it answers (03-formats §6).

use std::collections::BTreeSet;

use crate::desk_support::*;
use futures::future::join_all;
use loomwalk::desk::intake::Desk;
use loomwalk::sync::protocol::{BUNDLE_LIMIT, EventPage, Health, JobsAtDesk, PHOTO_LIMIT, Receipt};
use serde_json::{Value, json};

#[tokio::test]
async fn health_names_the_program_and_the_protocol() {
    let desk = Running::start().await;
    let response = desk.get("/api/v1/health").await;
    assert_eq!(response.status(), 200);
    let health: Health = response.json().await.unwrap();
    let store = health.store;
    let version = env!("CARGO_PKG_VERSION").into();
    assert_eq!(health, Health { program: "loomwalk".into(), version, protocol: 1, oldest: 1, store });
    // The same for all desks of one store, and another for another.
    let beside = store_in(&desk.store.path()).await.device_id();
    assert_eq!(store, Some(beside));
    let other: Health = Running::start().await.get("/api/v1/health").await.json().await.unwrap();
    assert!(other.store.is_some() && other.store != store);
}

#[tokio::test]
async fn a_photo_is_unknown_then_new_then_known() {
    let desk = Running::start().await;
    let bytes = b"not really a picture".to_vec();
    let path = format!("/api/v1/photos/{}", hash(&bytes));
    let answers = [
        desk.head(&path).await.status(),
        desk.put(&path, bytes.clone()).await.status(),
        desk.head(&path).await.status(),
        desk.put(&path, bytes.clone()).await.status(),
    ];
    assert_eq!(answers.map(|status| status.as_u16()), [404, 201, 200, 200]);
    let kept = std::fs::read(desk.store.path().join("photos").join(hash(&bytes).as_str())).unwrap();
    assert_eq!(kept, bytes);
}

#[tokio::test]
async fn the_answer_to_head_has_no_body() {
    let desk = Running::start().await;
    let response = desk.head(&format!("/api/v1/photos/{}", hash(b"x"))).await;
    assert_eq!(response.status(), 404);
    assert_eq!(response.bytes().await.unwrap().len(), 0);
}

#[tokio::test]
async fn bytes_that_do_not_hash_to_the_name_are_not_kept() {
    let desk = Running::start().await;
    let path = format!("/api/v1/photos/{}", hash(b"the picture"));
    let detail = problem(desk.put(&path, "the picturf").await, 422).await;
    assert!(detail.contains(hash(b"the picturf").as_str()), "{detail}");
    assert_eq!(desk.head(&path).await.status(), 404);
    until(|| std::fs::read_dir(desk.store.path().join("photos")).map_or(0, Iterator::count) == 0).await;
    // Nor are they confirmed because the right ones are there.
    assert_eq!(desk.put(&path, "the picture").await.status(), 201);
    problem(desk.put(&path, "the picturf").await, 422).await;
}

#[tokio::test]
async fn a_photo_of_the_greatest_size_is_taken_and_one_byte_more_is_not() {
    let desk = Running::start().await;
    let most = vec![7_u8; usize::try_from(PHOTO_LIMIT).unwrap()];
    assert_eq!(desk.put(&format!("/api/v1/photos/{}", hash(&most)), most.clone()).await.status(), 201);
    let more = [most, vec![7]].concat();
    let path = format!("/api/v1/photos/{}", hash(b"any other"));
    problem(desk.put(&path, more.clone()).await, 413).await;
    // Without a declared length it is found out on the way.
    let pieces: Vec<_> = more.chunks(1 << 20).map(|piece| Ok::<_, std::io::Error>(piece.to_vec())).collect();
    let streamed = reqwest::Body::wrap_stream(futures::stream::iter(pieces));
    problem(desk.put(&path, streamed).await, 413).await;
    assert_eq!(desk.head(&path).await.status(), 404);
}

#[tokio::test]
async fn a_photo_that_comes_in_many_pieces_is_kept_whole() {
    let desk = Running::start().await;
    let bytes: Vec<u8> = (0..20_u32 << 20).map(|at| (at.wrapping_mul(2_654_435_761) >> 13) as u8).collect();
    let pieces: Vec<_> = bytes.chunks(77_777).map(|piece| Ok::<_, std::io::Error>(piece.to_vec())).collect();
    let path = format!("/api/v1/photos/{}", hash(&bytes));
    let streamed = reqwest::Body::wrap_stream(futures::stream::iter(pieces));
    assert_eq!(desk.put(&path, streamed).await.status(), 201);
    assert_eq!(std::fs::read(desk.store.path().join("photos").join(hash(&bytes).as_str())).unwrap(), bytes);
}

#[tokio::test]
async fn only_a_sha_256_in_lower_case_hex_names_a_photo() {
    let desk = Running::start().await;
    for name in ["x", &"A".repeat(64), &"0".repeat(63), "..%2f..%2fetc%2fpasswd", "%00"] {
        let path = format!("/api/v1/photos/{name}");
        problem(desk.put(&path, "x").await, 400).await;
        assert_eq!(desk.head(&path).await.status(), 400, "{name}");
    }
    problem(desk.put("/api/v1/photos/%ff", "x").await, 400).await;
}

#[tokio::test]
async fn a_bundle_gets_a_receipt_and_the_same_one_again() {
    let desk = Running::start().await;
    let mut phone = Phone::new(1, 1);
    let held = phone.photo(b"held");
    let missing = phone.photo(b"missing");
    desk.put(&format!("/api/v1/photos/{held}"), "held").await;
    let bundle = phone.bundle();

    let first = desk.send(&bundle).await;
    assert_eq!(first.status(), 201);
    let receipt: Receipt = first.json().await.unwrap();
    assert_eq!((receipt.job, receipt.bundle_id), (phone.job, bundle.bundle_id));
    assert_eq!(receipt.events, phone.events.iter().map(|event| event.id).collect::<Vec<_>>());
    assert_eq!(receipt.log_digest, bundle.log_digest);
    assert_eq!(receipt.missing_photos, std::slice::from_ref(&missing));

    // Also after the photo has arrived: what was answered stays answered.
    desk.put(&format!("/api/v1/photos/{missing}"), "missing").await;
    let again = desk.send(&bundle).await;
    assert_eq!(again.status(), 200);
    assert_eq!(again.json::<Receipt>().await.unwrap(), receipt);

    // And when the same JSON is spelled otherwise.
    let spelled = serde_json::to_string_pretty(&serde_json::to_value(&bundle).unwrap()).unwrap();
    let again = desk.put(&address(&bundle), spelled).await;
    assert_eq!(again.status(), 200);
    assert_eq!(again.json::<Receipt>().await.unwrap(), receipt);

    // And when its events stand in another order: a bundle is the same by what it says.
    let mut turned = bundle.clone();
    turned.log.reverse();
    assert_ne!(turned.log, bundle.log);
    let again = desk.send(&turned).await;
    assert_eq!(again.status(), 200);
    assert_eq!(again.json::<Receipt>().await.unwrap(), receipt);
}

#[tokio::test]
async fn a_bundle_id_is_not_used_for_two_bodies() {
    let desk = Running::start().await;
    let mut phone = Phone::new(1, 1);
    let bundle = phone.bundle();
    desk.send(&bundle).await;
    phone.concern("the rear lamps go out");
    let mut other = phone.bundle();
    other.bundle_id = bundle.bundle_id;
    let detail = problem(desk.send(&other).await, 422).await;
    assert!(detail.contains("already kept here with other contents"), "{detail}");
    let page: EventPage = desk.get(&format!("/api/v1/jobs/{}/events", phone.job)).await.json().await.unwrap();
    assert_eq!(page.events.len(), 1);
}

#[tokio::test]
async fn a_bundle_that_is_not_whole_is_refused_with_the_reason() {
    let desk = Running::start().await;
    let mut phone = Phone::new(1, 1);
    phone.concern("the rear lamps go out");
    let bundle = phone.bundle();
    let good = serde_json::to_value(&bundle).unwrap();
    let changed = |pointer: &str, value: Value| {
        let mut bad = good.clone();
        *bad.pointer_mut(pointer).unwrap() = value;
        bad.to_string()
    };
    let cases = [
        ("{".to_owned(), "ends in the middle"),
        ("<html>".to_owned(), "JSON"),
        (changed("/format", json!("loomwalk/circuit")), "loomwalk/circuit"),
        (changed("/version", json!(2)), "version 2"),
        (changed("/log_digest", json!("00".repeat(32))), "digest"),
        (changed("/log/1/body/words", json!("something else")), "digest"),
        (changed("/job/id", json!(job_id(9).to_string())), "names job"),
        (changed("/bundle_id", json!(phone.id().to_string())), "names bundle"),
    ];
    for (body, reason) in cases {
        let detail = problem(desk.put(&address(&bundle), body).await, 422).await;
        assert!(detail.contains(reason), "{detail:?} does not say {reason:?}");
    }
    problem(desk.get(&format!("/api/v1/jobs/{}/events", phone.job)).await, 404).await;
    assert_eq!(std::fs::read_dir(desk.store.path().join("jobs")).map_or(0, Iterator::count), 0);
}

#[tokio::test]
async fn an_event_that_contradicts_one_that_is_held_is_refused_and_nothing_of_its_bundle_is_kept() {
    let desk = Running::start().await;
    let mut phone = Phone::new(1, 1);
    phone.concern("the rear lamps go out");
    desk.send(&phone.bundle()).await;
    phone.events[1].body = json!({ "words": "changed by hand" });
    phone.concern("a new one");
    let detail = problem(desk.send(&phone.bundle()).await, 422).await;
    assert!(detail.contains(&phone.events[1].id.to_string()), "{detail}");
    let page: EventPage = desk.get(&format!("/api/v1/jobs/{}/events", phone.job)).await.json().await.unwrap();
    assert_eq!(page.events.len(), 2);
}

#[tokio::test]
async fn a_bundle_that_is_too_large_is_refused() {
    let desk = Running::start().await;
    let bundle = Phone::new(1, 1).bundle();
    let body = vec![b' '; usize::try_from(BUNDLE_LIMIT).unwrap() + 1];
    problem(desk.put(&address(&bundle), body).await, 413).await;
}

#[tokio::test]
async fn ids_in_an_address_are_uuids() {
    let desk = Running::start().await;
    let bundle = Phone::new(1, 1).bundle();
    problem(desk.put(&format!("/api/v1/jobs/..%2f..%2fx/bundles/{}", bundle.bundle_id), "{}").await, 400).await;
    problem(desk.put(&format!("/api/v1/jobs/{}/bundles/1", bundle.job.id), "{}").await, 400).await;
    problem(desk.get("/api/v1/jobs/1/events").await, 400).await;
}

#[tokio::test]
async fn of_two_that_send_the_same_bundle_at_once_one_is_first_and_both_get_the_same_receipt() {
    let desk = Running::start().await;
    for round in 0..10 {
        let mut phone = Phone::new(round, 1);
        phone.concern("the rear lamps go out");
        let bundle = phone.bundle();
        let answers = join_all((0..4).map(|_| desk.send(&bundle))).await;
        let mut statuses: Vec<u16> = answers.iter().map(|answer| answer.status().as_u16()).collect();
        statuses.sort_unstable();
        assert_eq!(statuses, [200, 200, 200, 201]);
        let bodies = join_all(answers.into_iter().map(reqwest::Response::text)).await;
        let different: BTreeSet<String> = bodies.into_iter().map(Result::unwrap).collect();
        assert_eq!(different.len(), 1);
    }
}

#[tokio::test]
async fn of_two_that_send_the_same_photo_at_once_one_is_first() {
    let desk = Running::start().await;
    let bytes = vec![3_u8; 3 << 20];
    let path = format!("/api/v1/photos/{}", hash(&bytes));
    let answers = join_all((0..4).map(|_| desk.put(&path, bytes.clone()))).await;
    let mut statuses: Vec<u16> = answers.iter().map(|answer| answer.status().as_u16()).collect();
    statuses.sort_unstable();
    assert_eq!(statuses, [200, 200, 200, 201]);
}

#[tokio::test]
async fn what_others_added_comes_in_pages_in_the_order_in_which_it_was_taken_in() {
    let desk = Running::start().await;
    let (mut one, mut two) = (Phone::new(1, 1), Phone::new(1, 2));
    for count in 0..700 {
        one.concern(&format!("one, {count}"));
    }
    two.concern("two");
    assert_eq!(desk.send(&one.bundle()).await.status(), 201);
    let path = format!("/api/v1/jobs/{}/events", one.job);
    let page = async |after: &str| desk.get(&format!("{path}?after={after}")).await.json::<EventPage>().await.unwrap();

    let first = page("").await;
    assert!(first.more);
    let second = page(&first.next).await;
    assert!(!second.more);
    let got: Vec<_> = first.events.iter().chain(&second.events).cloned().collect();
    assert_eq!(got, one.events);

    // The other phone's events have the same times and sort among them; they are new all the same.
    desk.send(&two.bundle()).await;
    let third = page(&second.next).await;
    assert_eq!(third.events, two.events);
    assert_eq!(page(&third.next).await, EventPage { events: vec![], next: third.next.clone(), more: false });
}

#[tokio::test]
async fn a_cursor_that_was_not_given_is_refused() {
    let desk = Running::start().await;
    let mut phone = Phone::new(1, 1);
    desk.send(&phone.bundle()).await;
    for cursor in ["2", "-1", "x", "99999999999999999999999"] {
        problem(desk.get(&format!("/api/v1/jobs/{}/events?after={cursor}", phone.job)).await, 400).await;
    }
    problem(desk.get(&format!("/api/v1/jobs/{}/events", job_id(2))).await, 404).await;
}

#[tokio::test]
async fn an_address_that_leads_nowhere_is_a_json_404_and_a_wrong_method_a_json_405() {
    let desk = Running::start().await;
    for path in ["/api", "/api/", "/api/v1", "/api/v2/health", "/api/v1/photos", "/api/v1/health/"] {
        let detail = problem(desk.get(path).await, 404).await;
        assert!(detail.contains("/api/v1"), "{detail}");
    }
    let response = desk.put("/api/v1/health", "").await;
    assert_eq!(response.headers()["allow"], "GET,HEAD");
    problem(response, 405).await;
    let response = desk.get("/api/v1/pairings").await;
    assert_eq!(response.headers()["allow"], "POST");
    problem(response, 405).await;
}

/// Sends a piece; gives the status, and where the next one begins.
async fn piece(desk: &Running, whole: &[u8], from: usize, to: usize) -> (u16, Option<usize>) {
    let sent = desk.client.patch(format!("{}/api/v1/photos/{}/pieces", desk.base, hash(whole)));
    let sent = sent.header("content-type", "application/offset+octet-stream").header("upload-offset", from);
    let sent = sent.header("upload-length", whole.len()).body(whole[from..to].to_vec()).send().await.unwrap();
    let next = sent.headers().get("upload-offset").map(|next| next.to_str().unwrap().parse().unwrap());
    (sent.status().as_u16(), next)
}

#[tokio::test]
async fn a_photo_in_pieces_goes_on_where_it_stopped_and_is_whole_in_the_end() {
    let desk = Running::start().await;
    let whole: Vec<u8> = (0..250_000_u32).map(|at| (at.wrapping_mul(2_654_435_761) >> 11) as u8).collect();
    let path = format!("/api/v1/photos/{}", hash(&whole));
    let kept = async || {
        let answer = desk.head(&format!("{path}/pieces")).await;
        (answer.status().as_u16(), answer.headers().get("upload-offset").map(|at| at.to_str().unwrap().to_owned()))
    };
    assert_eq!(kept().await, (200, Some("0".to_owned())));
    assert_eq!(piece(&desk, &whole, 0, 100_000).await, (204, Some(100_000)));
    // The answer was lost: the same again is told where to go on, and so is one that leaves a gap.
    assert_eq!(piece(&desk, &whole, 0, 100_000).await, (409, Some(100_000)));
    assert_eq!(piece(&desk, &whole, 150_000, 200_000).await, (409, Some(100_000)));
    assert_eq!(desk.head(&path).await.status(), 404, "not before it is whole");
    // Another desk on the same store goes on.
    let other = std::sync::Arc::new(Desk::open(desk.store.open().await).await.unwrap());
    let (base, server) = serve(&other, None).await;
    let elsewhere = desk.client.head(format!("{base}{path}/pieces")).send().await.unwrap();
    assert_eq!(elsewhere.headers()["upload-offset"], "100000");
    server.abort();
    assert_eq!(piece(&desk, &whole, 100_000, 200_000).await, (204, Some(200_000)));
    assert_eq!(piece(&desk, &whole, 200_000, 250_000).await, (201, None));
    assert_eq!(kept().await, (201, None));
    assert_eq!(std::fs::read(desk.store.path().join("photos").join(hash(&whole).as_str())).unwrap(), whole);
    let left = desk.store.path().join("uploads").join(hash(&whole).as_str());
    assert_eq!(std::fs::read_dir(left).map_or(0, Iterator::count), 0);
}

#[tokio::test]
async fn pieces_that_are_not_the_photo_are_thrown_away_so_that_it_can_be_sent_again() {
    let desk = Running::start().await;
    let whole = b"the whole picture".to_vec();
    let path = format!("/api/v1/photos/{}/pieces", hash(&whole));
    let send = async |bytes: &[u8], from: usize, length: u64| {
        let sent = desk.client.patch(format!("{}{path}", desk.base)).header("upload-offset", from);
        let sent = sent.header("content-type", "application/offset+octet-stream").header("upload-length", length);
        sent.body(bytes.to_vec()).send().await.unwrap()
    };
    assert_eq!(send(b"the whale", 0, 17).await.status(), 204);
    problem(send(b" picture", 9, 17).await, 422).await;
    assert_eq!(piece(&desk, &whole, 0, 9).await, (204, Some(9)));
    assert_eq!(piece(&desk, &whole, 9, 17).await, (201, None));
    // What cannot be a piece.
    let other = || desk.client.patch(format!("{}/api/v1/photos/{}/pieces", desk.base, hash(b"y"))).body("y");
    problem(other().send().await.unwrap(), 400).await;
    problem(other().header("upload-offset", 0).header("upload-length", 1).send().await.unwrap(), 415).await;
    let huge = other().header("content-type", "application/offset+octet-stream").header("upload-offset", 0);
    problem(huge.header("upload-length", PHOTO_LIMIT + 1).send().await.unwrap(), 413).await;
}

#[tokio::test]
async fn who_waits_for_something_new_gets_it_when_it_comes() {
    let desk = Running::start().await;
    let (mut one, mut two) = (Phone::new(1, 1), Phone::new(1, 2));
    desk.send(&one.bundle()).await;
    let path = format!("/api/v1/jobs/{}/events", one.job);
    let first: EventPage = desk.get(&path).await.json().await.unwrap();
    let waiting = desk.client.get(format!("{}{path}?after={}&wait=30", desk.base, first.next)).send();
    let sending = async {
        // Another job's arrival wakes nobody for good.
        desk.send(&Phone::new(2, 3).bundle()).await;
        two.concern("two");
        desk.send(&two.bundle()).await
    };
    let (page, _) = futures::future::join(waiting, sending).await;
    assert_eq!(page.unwrap().json::<EventPage>().await.unwrap().events, two.events);
}

#[tokio::test]
async fn a_phone_is_told_of_the_jobs_that_are_open() {
    let desk = Running::start().await;
    let mut open = Phone::new(1, 1);
    open.concern("the rear lamps go out");
    // A print is a look at how far it is.
    open.act("handed_over", json!({ "bundle_id": open.job.to_string(), "way": "print" }));
    desk.send(&open.bundle()).await;
    let mut closed = Phone::new(2, 2);
    closed.concern("a mirror is cold");
    closed.act("handed_over", json!({ "bundle_id": closed.job.to_string(), "way": "desk" }));
    desk.send(&closed.bundle()).await;
    let told = async |words: &str| {
        let jobs: JobsAtDesk = desk.get(&format!("/api/v1/jobs?words={words}")).await.json().await.unwrap();
        jobs.jobs.into_iter().map(|job| (job.job, job.concern, job.closed)).collect::<Vec<_>>()
    };
    assert_eq!(told("").await, [(open.job, "the rear lamps go out".to_owned(), false)]);
    // The vehicle is back: whoever looks for its job finds it.
    assert_eq!(told("mirror").await, [(closed.job, "a mirror is cold".to_owned(), true)]);
    assert_eq!(told("LAMPS%20rear").await.len(), 1);
    assert_eq!(told("lamps%20front").await, []);
}

#[tokio::test]
async fn a_photo_can_be_had_smaller_and_upright() {
    let desk = Running::start().await;
    let picture = std::fs::read(
        std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cases/photos/sideways-with-place.jpg"),
    );
    let picture = picture.unwrap();
    let path = format!("/api/v1/photos/{}", hash(&picture));
    assert_eq!(desk.put(&path, picture).await.status(), 201);
    let small = desk.get(&format!("{path}?edge=320")).await;
    assert_eq!(small.headers()["content-type"], "image/jpeg");
    let small = image::load_from_memory(&small.bytes().await.unwrap()).unwrap();
    assert!(small.width().max(small.height()) <= 320);
    assert!(small.height() > small.width(), "it lies on its side in the file: {} x {}", small.width(), small.height());
    // What is no picture is told as such, and what is not here as well.
    desk.put(&format!("/api/v1/photos/{}", hash(b"sound")), "sound").await;
    problem(desk.get(&format!("/api/v1/photos/{}?edge=320", hash(b"sound"))).await, 404).await;
    problem(desk.get(&format!("/api/v1/photos/{}?edge=320", hash(b"nothing"))).await, 404).await;
}
