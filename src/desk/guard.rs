//! Who may ask the desk, and what does every answer forbid the browser to do?
//!
//! The desk answers on loopback, and so does everything else that the user's browser reaches there. Two attacks
//! remain: a hostile page whose own name is made to point at 127.0.0.1 (DNS rebinding), which the `Host` header
//! gives away; and a hostile page that writes here blindly, which `Sec-Fetch-Site` and `Origin` give away.

use std::net::IpAddr;

use axum::Router;
use axum::extract::Request;
use axum::http::{HeaderName, HeaderValue, header};
use axum::middleware::{self, Next};
use axum::response::{IntoResponse, Response};
use tower_http::csrf::{CsrfLayer, ProtectionError};
use tower_http::set_header::SetResponseHeaderLayer;

use super::problem::Refusal;

/// What an answer may do that says nothing else: nothing.
const CSP_NOTHING: &str = "default-src 'none'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'";

/// Headers on every answer; an answer that sets one itself keeps it.
const ON_ALL: [(HeaderName, &str); 6] = [
    (header::CONTENT_SECURITY_POLICY, CSP_NOTHING),
    (header::X_CONTENT_TYPE_OPTIONS, "nosniff"),
    (header::REFERRER_POLICY, "no-referrer"),
    (HeaderName::from_static("permissions-policy"), "camera=(self), microphone=(self)"),
    (HeaderName::from_static("cross-origin-resource-policy"), "same-origin"),
    (HeaderName::from_static("cross-origin-opener-policy"), "same-origin"),
];

/// Puts the guards before all routes.
pub fn around(routes: Router) -> Router {
    let other_site = CsrfLayer::new().with_rejection_response(|_: ProtectionError| Refusal::OtherSite.into_response());
    let guarded = routes.layer(other_site).layer(middleware::from_fn(only_as_loopback));
    ON_ALL.into_iter().fold(guarded, |guarded, (name, value)| {
        guarded.layer(SetResponseHeaderLayer::if_not_present(name, HeaderValue::from_static(value)))
    })
}

async fn only_as_loopback(request: Request, next: Next) -> Response {
    let header = request.headers().get(header::HOST).map(|host| String::from_utf8_lossy(host.as_bytes()).into_owned());
    let target = request.uri().authority().map(|authority| authority.as_str().to_owned());
    let more_than_one = request.headers().get_all(header::HOST).iter().count() > 1;
    let asked_as = [target, header];
    let foreign = asked_as.iter().flatten().find(|host| !is_loopback(host));
    match foreign {
        Some(host) => Refusal::OtherHost(host.chars().take(100).collect()).into_response(),
        None if more_than_one || asked_as.iter().all(Option::is_none) => {
            Refusal::OtherHost(String::new()).into_response()
        }
        None => next.run(request).await,
    }
}

/// Whether a `Host` names this machine to itself: `localhost` or a loopback address, with any port.
fn is_loopback(host: &str) -> bool {
    let (name, port) = match host.strip_prefix('[').and_then(|rest| rest.split_once(']')) {
        Some((address, rest)) => (address, rest.strip_prefix(':').or(rest.is_empty().then_some("0"))),
        None => match host.split_once(':') {
            Some((name, port)) => (name, Some(port)),
            None => (host, Some("0")),
        },
    };
    let is_port = port.is_some_and(|port| port.parse::<u16>().is_ok());
    let is_here = name.eq_ignore_ascii_case("localhost") || name.parse::<IpAddr>().is_ok_and(|ip| ip.is_loopback());
    is_port && is_here
}

#[cfg(test)]
mod tests {
    use super::is_loopback;

    #[test]
    fn only_names_of_this_machine_itself_are_answered() {
        for ours in ["127.0.0.1", "127.0.0.1:8080", "localhost:1", "LocalHost", "[::1]", "[::1]:8080", "127.1.2.3:80"] {
            assert!(is_loopback(ours), "{ours}");
        }
        let foreign = [
            "",
            "example.com",
            "127.0.0.1.example.com",
            "localhost.example.com:80",
            "192.168.1.5:8080",
            "0.0.0.0:80",
            "[::]:80",
            "[::1]x",
            "[::1",
            "127.0.0.1:99999",
            "127.0.0.1:",
            "127.0.0.1:80:80",
            "2130706433",
            "user@127.0.0.1",
        ];
        for host in foreign {
            assert!(!is_loopback(host), "{host}");
        }
    }
}
