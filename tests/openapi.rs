//! The API as it is written down is the API as it is answered.

use crate::desk_support::*;
use expect_test::expect_file;
use loomwalk::desk::openapi::{document, examples};
use reqwest::Method;

#[test]
fn the_document_is_the_published_one() {
    let text = serde_json::to_string_pretty(&document()).unwrap() + "\n";
    expect_file!["../public/schema/openapi.json"].assert_eq(&text);
}

#[test]
fn every_schema_that_it_names_is_in_it() {
    let document = document();
    let text = document.to_string();
    for named in text.split("\"#/components/schemas/").skip(1).map(|rest| rest.split('"').next().unwrap()) {
        assert!(document["components"]["schemas"].get(named).is_some(), "{named}");
    }
}

#[tokio::test]
async fn every_call_that_it_names_is_known_to_a_desk_and_asks_for_a_token_where_it_says_so() {
    let desk = Running::start().await;
    for (method, path) in examples() {
        let method = Method::from_bytes(method.to_uppercase().as_bytes()).unwrap();
        let stranger = desk.stranger.request(method.clone(), format!("{}{path}", desk.base)).send().await.unwrap();
        let open = path.ends_with("/health") || path.ends_with("/pairings");
        assert_eq!(stranger.status() == 401, !open, "{method} {path}: {}", stranger.status());
        let known = desk.client.request(method.clone(), format!("{}{path}", desk.base)).send().await.unwrap();
        assert_ne!(known.status(), 405, "{method} {path}");
    }
}
