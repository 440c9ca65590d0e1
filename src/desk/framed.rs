//! How does a job's report stand on the desk? As it stands everywhere, with the photographs by address and a line above
//! it that leads back; and with a policy that allows its own style and nothing else.

use std::collections::BTreeSet;

use axum::http::HeaderValue;
use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use maud::{PreEscaped, html};
use sha2::{Digest, Sha256};

use super::intake::Desk;
use super::shelf::Shelf;
use super::store::now;
use super::{hand_over, pages};
use crate::bundle::file;
use crate::ids::{JobId, PhotoHash};
use crate::job::Job;
use crate::report::{self, Kind, Lang, Wish};

/// Of the line above the report: not part of it, so not on paper.
const LINE_STYLE: &str = "\
.desk-line { display: flex; flex-wrap: wrap; gap: .4rem 1.6rem; max-width: 54rem; margin: 0 auto; padding: 1rem; }
.desk-line a { color: var(--accent); }
.large main { max-width: 96rem; }
.large .pictures { grid-template-columns: 1fr; }
.large figure img { max-height: none; }
@media print { .desk-line { display: none; } }";

/// The report on all that is held of a job, with the photographs that are in `held`; large ones a column wide, if asked
/// for. None while nothing is.
pub fn report(
    desk: &Desk,
    id: JobId,
    shelf: &Shelf,
    held: &BTreeSet<PhotoHash>,
    wish: &Wish,
    large: bool,
) -> Option<String> {
    let job = Job::fold(id, shelf.log());
    let bundle = file::make(&job, shelf.log().events(), shelf.newest()?, desk.store().device_id(), now());
    let photo = |name: &PhotoHash| {
        let shown = pages::shown_as(shelf, name).filter(|_| held.contains(name))?;
        let edge = if shown.starts_with("image/") { "/1600" } else { "" };
        Some(format!("/desk/jobs/{id}/photos/{name}{edge}"))
    };
    let files = hand_over::files_of(desk, &bundle, held).map_or(1, |files| files.len());
    let line = html! {
        nav.desk-line aria-label="Desk" {
            a href="/desk" { "All jobs" }
            @if wish.kind == Kind::Customer || large { a href={ "/desk/jobs/" (id) } { "For the file" } }
            span {
                "For the customer: "
                @for lang in Lang::ALL {
                    a href={ "/desk/jobs/" (id) "?customer=true&lang=" (lang.tag()) } lang=(lang.tag())
                        aria-current=[(wish.kind == Kind::Customer && wish.lang == lang).then_some("page")] { (lang.name()) }
                    " "
                }
            }
            @if !large { a href={ "/desk/jobs/" (id) "?large=true" } { "Pictures large" } }
            @if wish.prices.is_some() { a href={ "/desk/jobs/" (id) "/estimate.csv" } download { "Estimate as CSV" } }
            @else { a href="/desk/prices" { "Prices for an estimate" } }
            @if files > 1 {
                @for number in 1..=files {
                    a href={ "/desk/jobs/" (id) "/bundle?number=" (number) } download {
                        "Save hand-over file " (number) " of " (files) ", pictures included"
                    }
                }
                span { "Open all of them: each has a part of the pictures." }
            } @else {
                a href={ "/desk/jobs/" (id) "/bundle" } download { "Save the hand-over file, pictures included" }
            }
        }
    };
    let style = html! { style { (PreEscaped(LINE_STYLE)) } };
    // The words of the job are escaped, so the first of each is the page's own.
    let page = report::html_for(&bundle, &photo, wish);
    let page = page.replacen("</head>", &format!("{}</head>", style.into_string()), 1).replacen(
        "<body>",
        &format!("<body{}>{}", if large { " class=\"large\"" } else { "" }, line.into_string()),
        1,
    );
    Some(page)
}

/// The policy for a page of ours with styles inside: those, by their hashes, and our pictures and recordings.
pub fn policy(page: &str) -> Option<HeaderValue> {
    let hashes: String = styles(page).map(source).collect();
    let policy = format!(
        "default-src 'none'; img-src 'self'; media-src 'self'; style-src{}; base-uri 'none'; form-action 'none'; frame-ancestors 'none'",
        if hashes.is_empty() { " 'none'" } else { &hashes }
    );
    HeaderValue::from_str(&policy).ok()
}

/// A style as a policy allows it, by its hash; with a space before it.
pub fn source(style: &str) -> String {
    format!(" 'sha256-{}'", STANDARD.encode(Sha256::digest(style.as_bytes())))
}

/// What stands in the `style` elements of the head.
fn styles(page: &str) -> impl Iterator<Item = &str> {
    let head = page.split_once("</head>").map_or("", |(head, _)| head);
    head.split("<style>").skip(1).filter_map(|rest| Some(rest.split_once("</style>")?.0))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_policy_names_the_hash_of_each_style_in_the_head_and_of_no_other() {
        let page = "<head><style>a{}</style><title>&lt;style&gt;</title><style></style></head><style>b{}</style>";
        assert_eq!(styles(page).collect::<Vec<_>>(), ["a{}", ""]);
        // printf '' | openssl dgst -sha256 -binary | base64
        let empty = "'sha256-47DEQpj8HBSa+/TImW+5JCeuQeRkm5NMpJWZG3hSuFU='";
        let policy = policy("<head><style></style></head>");
        assert!(policy.is_some_and(|policy| policy.to_str().is_ok_and(|text| text.contains(empty))));
        assert!(
            super::policy("<p>")
                .is_some_and(|policy| policy.to_str().is_ok_and(|text| text.contains("style-src 'none'")))
        );
    }
}
