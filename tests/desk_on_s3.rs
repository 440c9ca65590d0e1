//! The desk on an object store: the same tests as on a folder, over the S3 protocol, and what only several desks show.
#![allow(clippy::unwrap_used, clippy::expect_used)]

mod desk_access;
mod desk_api;
mod desk_pages;
mod desk_support;

use std::process::{Command, Stdio};
use std::sync::Arc;

use desk_support::*;
use futures::future::join_all;
use loomwalk::desk::intake::Desk;
use tempfile::TempDir;

#[tokio::test]
async fn two_desks_take_the_same_bundles_at_once_and_hold_the_same() {
    let kept = Kept::new().await;
    let mut desks = Vec::new();
    for _ in 0..2 {
        let desk = Arc::new(Desk::open(kept.open().await).await.unwrap());
        let (base, _) = serve(&desk, None).await;
        desks.push((desk, base));
    }
    let (token, _) = desks[0].0.access().pair("tests").await.unwrap();
    let phone = known(&token, "");
    for round in 0..5 {
        let (mut one, mut two) = (Phone::new(round, 1), Phone::new(round, 2));
        let bundles = [one.bundle(), two.bundle()];
        let sent = bundles.iter().flat_map(|bundle| {
            desks.iter().map(|(_, base)| phone.put(format!("{base}{}", address(bundle))).json(bundle).send())
        });
        for answer in join_all(sent).await {
            assert!(answer.unwrap().status().is_success());
        }
        let (first, second) = (desks[0].0.shelf(one.job).await.unwrap(), desks[1].0.shelf(one.job).await.unwrap());
        assert_eq!(first.log(), second.log());
        // s3s-fs looks and then writes, which is not one step: of two receipts at once both may pass, and the later one
        // stays. They say the same of the bundle.
        for bundle in &bundles {
            assert_eq!(first.receipt(bundle.bundle_id), second.receipt(bundle.bundle_id));
        }
        assert_eq!(first.log().len(), one.events.len() + two.events.len());
    }
}

#[tokio::test]
async fn the_program_works_with_a_bucket_that_a_url_names() {
    let folder = TempDir::new().unwrap();
    let (endpoint, _server) = serve_s3(folder.path()).await;
    let run = |arguments: &[&str]| {
        let mut program = Command::new(env!("CARGO_BIN_EXE_loomwalk"));
        program.args(arguments).args(["--store", "s3://shop/east"]).envs(s3_environment(&endpoint));
        program
    };
    // Asked off this thread: it serves the bucket.
    let mut desk = run(&["desk", "--listen", "127.0.0.1:0"]);
    let started = tokio::task::spawn_blocking(move || Program::greeted(desk.stdout(Stdio::piped()).spawn().unwrap()));
    let program = started.await.unwrap();
    let made = run(&["access", "token", "--name", "tests"]);
    let made = tokio::task::spawn_blocking(move || {
        let mut made = made;
        made.output().unwrap()
    })
    .await
    .unwrap();
    assert!(made.status.success(), "{}", String::from_utf8_lossy(&made.stderr));
    let token = String::from_utf8(made.stdout).unwrap().trim().to_owned();
    let phone = known(&token, "");
    let bundle = Phone::new(1, 1).bundle();
    let answer = phone.put(format!("{}{}", program.base, address(&bundle))).json(&bundle).send().await.unwrap();
    assert_eq!(answer.status(), 201);
    assert!(folder.path().join(format!("shop/east/jobs/{}/bundles", bundle.job.id)).is_dir());
}
