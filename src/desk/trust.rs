//! How does a phone come to trust a desk that certifies itself? By a page that explains it, and the certificate to trust.

use std::sync::Arc;

use axum::Router;
use axum::extract::State;
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};
use axum::routing::get;
use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use maud::html;
use sha2::{Digest, Sha256};

use super::pages::{CSP_PAGES, sheet};
use super::store::copy::hex;

/// The page and the certificate, PEM; without one the page says that none is needed.
pub fn routes(authority: Option<&str>) -> Router {
    let authority: Option<Arc<str>> = authority.map(Arc::from);
    Router::new().route("/trust", get(page)).route("/trust/desk.crt", get(certificate)).with_state(authority)
}

async fn page(State(authority): State<Option<Arc<str>>>) -> Response {
    let words = html! {
        h1 { "Trusting this desk" }
        @if let Some(authority) = authority {
            p {
                "This desk speaks over an encrypted connection, with a certificate that it has made itself. A phone does not know it yet, "
                "and warns. Trust it once on each phone, and only after comparing these digits with those in the desk’s terminal:"
            }
            p.code.long { (fingerprint(&authority)) }
            h2 { "Android" }
            ol {
                li { a href="/trust/desk.crt" download { "Save the certificate" } "." }
                li { "Settings → Security and privacy → More → Encryption and credentials → Install a certificate → CA certificate, and choose the file." }
                li { "Close the browser and open the desk’s address again." }
            }
            h2 { "iPhone, iPad" }
            ol {
                li { "In Safari " a href="/trust/desk.crt" { "load the certificate" } " and allow the profile." }
                li { "Settings → General → VPN and Device Management: install the profile." }
                li { "Settings → General → About → Certificate Trust Settings: switch it on." }
            }
            p.hint { "Names of settings differ between versions. With it the phone trusts whatever this desk certifies: remove it when the phone leaves the shop." }
        } @else {
            p { "This desk’s certificate comes from elsewhere, or it speaks to this machine only. There is nothing to do here." }
        }
    };
    ([(header::CONTENT_SECURITY_POLICY, CSP_PAGES)], sheet("Trusting this desk", None, &words)).into_response()
}

async fn certificate(State(authority): State<Option<Arc<str>>>) -> Response {
    match authority {
        Some(pem) => ([(header::CONTENT_TYPE, "application/x-x509-ca-cert")], pem.to_string()).into_response(),
        None => StatusCode::NOT_FOUND.into_response(),
    }
}

/// The certificate's SHA-256 in groups, as phones and other tools show it.
pub fn fingerprint(pem: &str) -> String {
    let body: String = pem.lines().filter(|line| !line.starts_with("-----")).collect();
    let der = STANDARD.decode(body.trim()).unwrap_or_default();
    let digits = hex(&Sha256::digest(der)).to_uppercase();
    let pairs: Vec<&str> = (0..digits.len() / 2).filter_map(|at| digits.get(at * 2..at * 2 + 2)).collect();
    pairs.join(" ")
}
