//! How much does a desk take in, beside a plain web server that stores the same bytes; and how soon does it show a list of
//! 100,000 jobs? What this does not show: a network, other disks, many phones.
//!
//! nginx stores what is PUT and says so before it is on the disk; a desk hashes it and flushes it first.
#![allow(missing_docs, clippy::unwrap_used, clippy::expect_used)]

#[path = "../tests/desk_support/mod.rs"]
mod desk_support;

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::sync::Arc;
use std::time::{Duration, Instant};

use desk_support::*;
use futures::{StreamExt, stream};
use loomwalk::desk::index::Question;
use loomwalk::desk::intake::Desk;
use reqwest::Client;
use tempfile::TempDir;

const PHOTOS: usize = 200;
const PHOTO_BYTES: usize = 400_000;
const BUNDLES: u128 = 300;
const JOBS: u128 = 100_000;
const AT_ONCE: usize = 4;

fn pictures() -> Vec<Vec<u8>> {
    let picture =
        |number: usize| (0..PHOTO_BYTES).map(|at| (at.wrapping_mul(2_654_435_761 + number) >> 9) as u8).collect();
    (0..PHOTOS).map(picture).collect()
}

/// Sends all, a few at once; gives how many went in a second.
async fn per_second(client: &Client, sent: Vec<(String, Vec<u8>)>) -> f64 {
    let (count, begun) = (sent.len() as f64, Instant::now());
    let each = sent.into_iter().map(|(url, body)| async move {
        assert!(client.put(url).body(body).send().await.unwrap().status().is_success());
    });
    stream::iter(each).buffer_unordered(AT_ONCE).collect::<Vec<()>>().await;
    count / begun.elapsed().as_secs_f64()
}

struct Nginx {
    master: Child,
    settings: PathBuf,
}

impl Drop for Nginx {
    fn drop(&mut self) {
        // Killed, the master would leave its workers behind, and whoever reads what this prints waiting for more of it.
        let mut stop = Command::new("nginx");
        stop.arg("-c").arg(&self.settings).args(["-s", "stop"]).stderr(Stdio::null());
        if !stop.status().is_ok_and(|status| status.success()) {
            drop(self.master.kill());
        }
        drop(self.master.wait());
    }
}

/// A plain web server that stores what is PUT; none where there is no nginx.
async fn nginx(folder: &Path) -> Option<(Nginx, String)> {
    let port = std::net::TcpListener::bind("127.0.0.1:0").unwrap().local_addr().unwrap().port();
    fs::create_dir_all(folder.join("kept")).unwrap();
    let at = folder.display();
    let settings = format!(
        "daemon off; pid {at}/pid; error_log {at}/errors; worker_processes 2; events {{ worker_connections 64; }} \
         http {{ access_log off; client_body_temp_path {at}/coming; client_max_body_size 64m; \
         proxy_temp_path {at}/p; fastcgi_temp_path {at}/f; uwsgi_temp_path {at}/u; scgi_temp_path {at}/s; \
         server {{ listen 127.0.0.1:{port}; root {at}/kept; location / {{ dav_methods PUT; create_full_put_path on; }} }} }}"
    );
    fs::write(folder.join("nginx.conf"), settings).unwrap();
    // As root its workers would be somebody else, who may not write here.
    let user = if fs::metadata("/proc/self").is_ok_and(|me| std::os::unix::fs::MetadataExt::uid(&me) == 0) {
        "user root;"
    } else {
        ""
    };
    let started =
        Command::new("nginx").arg("-c").arg(folder.join("nginx.conf")).args(["-g", user]).stderr(Stdio::null()).spawn();
    let server = Nginx { master: started.ok()?, settings: folder.join("nginx.conf") };
    let base = format!("http://127.0.0.1:{port}");
    for _ in 0..200 {
        if client_of([]).get(&base).send().await.is_ok() {
            return Some((server, base));
        }
        tokio::time::sleep(Duration::from_millis(20)).await;
    }
    None
}

async fn taking_in() {
    let desk = Running::start().await;
    let pictures = pictures();
    let to = |base: &str, path: &str| -> Vec<(String, Vec<u8>)> {
        pictures.iter().map(|picture| (format!("{base}{path}{}", hash(picture)), picture.clone())).collect()
    };
    let photos = per_second(&desk.client, to(&desk.base, "/api/v1/photos/")).await;
    println!("measured desk_photos_per_second {photos:.0} of_{}_kB", PHOTO_BYTES / 1000);
    let bundles = (0..BUNDLES).map(|job| {
        let mut phone = Phone::new(job, 1);
        phone.concern("the rear lamps go out on rough roads");
        let bundle = phone.bundle();
        (format!("{}{}", desk.base, address(&bundle)), serde_json::to_vec(&bundle).unwrap())
    });
    let bundles: Vec<_> = bundles.collect();
    println!("measured desk_bundles_per_second {:.0} bundles/s", per_second(&desk.client, bundles).await);

    let folder = TempDir::new().unwrap();
    match nginx(folder.path()).await {
        Some((_server, base)) => {
            let plain = per_second(&client_of([]), to(&base, "/")).await;
            println!("measured nginx_photos_per_second {plain:.0} of_{}_kB", PHOTO_BYTES / 1000);
            println!("measured nginx_over_desk_photos {:.2} times", plain / photos);
        }
        None => println!("nginx is not to be had here: no comparison"),
    }
}

/// Writes jobs past the desk, without waiting for the disk: a store of years in half a minute.
fn fill(store: &Path) {
    for number in 0..JOBS {
        let mut phone = Phone::new(number, 1);
        phone.concern(&format!("lamp {number} goes out on rough roads"));
        phone.act("vehicle", serde_json::json!({ "label": format!("van {}", number % 977) }));
        let bundle = phone.bundle();
        let job = store.join(format!("jobs/{}", bundle.job.id));
        let receipt = serde_json::json!({ "order": number, "receipt": {
            "job": bundle.job.id, "bundle_id": bundle.bundle_id, "log_digest": bundle.log_digest, "missing_photos": [],
            "events": bundle.log.iter().map(|event| event.id).collect::<Vec<_>>() } });
        for (kind, body) in [("bundles", serde_json::to_vec(&bundle)), ("receipts", serde_json::to_vec(&receipt))] {
            fs::create_dir_all(job.join(kind)).unwrap();
            fs::write(job.join(kind).join(format!("{}.json", bundle.bundle_id)), body.unwrap()).unwrap();
        }
    }
}

async fn listing() {
    let folder = TempDir::new().unwrap();
    drop(store_in(folder.path()).await);
    fill(folder.path());
    let begun = Instant::now();
    let desk = open(folder.path()).await;
    println!("measured desk_first_start_with_100000_jobs {:.1} s", begun.elapsed().as_secs_f64());
    desk.write_down().await;
    drop(desk);
    let begun = Instant::now();
    let desk: Arc<Desk> = Arc::new(open(folder.path()).await);
    println!("measured desk_start_with_100000_jobs {:.1} s", begun.elapsed().as_secs_f64());
    let time = |question: &Question, skip: usize| {
        let begun = Instant::now();
        let part = desk.index().part(question, skip, 50);
        (begun.elapsed().as_secs_f64() * 1e3, part.of)
    };
    let (first, all) = time(&Question::default(), 0);
    let rare = Question { words: "lamp 99999 rough".to_owned(), ..Question::default() };
    let (searched, found) = time(&rare, 0);
    assert_eq!((all as u128, found), (JOBS, 1));
    println!("measured desk_list_of_100000_first_page {first:.1} ms");
    println!("measured desk_list_of_100000_search {searched:.1} ms");
    let (base, _server) = serve(&desk, None).await;
    let cookie = format!("loomwalk={}", desk.access().sign_in().await.unwrap());
    let writer = client_of([("cookie", &cookie)]);
    for _ in 0..2 {
        let begun = Instant::now();
        let page = writer.get(format!("{base}/desk?page=1000")).send().await.unwrap().text().await.unwrap();
        assert!(page.contains("Page 1000 of 2000"), "{page}");
        println!("measured desk_page_1000_of_2000 {:.0} ms", begun.elapsed().as_secs_f64() * 1e3);
    }
}

#[tokio::main]
async fn main() {
    taking_in().await;
    listing().await;
}
