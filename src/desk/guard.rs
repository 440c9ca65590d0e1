//! Who may ask the desk, and what does every answer forbid the browser to do?
//!
//! Three walls before every route. A hostile page whose own name is made to point here (DNS rebinding) is given away by the
//! `Host` header; one that writes here blindly, by `Sec-Fetch-Site` and `Origin`; and whoever has neither a phone's token
//! nor the service writer's cookie gets nothing but the app's own files and the ways to come in.

use std::collections::HashMap;
use std::net::{IpAddr, Ipv4Addr, Ipv6Addr, SocketAddr};
use std::num::NonZeroU32;
use std::sync::{Arc, Mutex, PoisonError};

use axum::Router;
use axum::extract::{ConnectInfo, Request, State};
use axum::http::{HeaderMap, HeaderName, HeaderValue, Method, header};
use axum::middleware::{self, Next};
use axum::response::{IntoResponse, Redirect, Response};
use governor::clock::{Clock, DefaultClock};
use governor::{DefaultDirectRateLimiter, DefaultKeyedRateLimiter, Quota, RateLimiter};
use tokio::sync::{OwnedSemaphorePermit, Semaphore};
use tower_http::csrf::{CsrfLayer, ProtectionError};
use tower_http::set_header::SetResponseHeaderLayer;
use url::Url;

use super::access::audit::{self, Deed};
use super::intake::Desk;
use super::problem::Refusal;
use super::store::Store;

/// What an answer may do that says nothing else: nothing.
const CSP_NOTHING: &str = "default-src 'none'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'";
/// How often an address may give a password or a code, per minute.
const TRIES: NonZeroU32 = NonZeroU32::new(10).unwrap();
/// How many may wait for a password to be looked at. Together they may come from more addresses than are counted one by one.
const WAITING: usize = 32;
/// How often a phone may call, per second; and how often at once after a pause.
const CALLS: (NonZeroU32, NonZeroU32) = (NonZeroU32::new(200).unwrap(), NonZeroU32::new(2_000).unwrap());
/// How many calls of a phone are answered at a time: each may hold a whole bundle in memory. A browser makes six at most.
const AT_A_TIME: usize = 24;
/// Addresses and phones that are counted; those that have been still are then forgotten.
const COUNTED: usize = 10_000;

/// Headers on every answer; an answer that sets one itself keeps it.
const ON_ALL: [(HeaderName, &str); 6] = [
    (header::CONTENT_SECURITY_POLICY, CSP_NOTHING),
    (header::X_CONTENT_TYPE_OPTIONS, "nosniff"),
    (header::REFERRER_POLICY, "no-referrer"),
    (HeaderName::from_static("permissions-policy"), "camera=(self), microphone=(self)"),
    (HeaderName::from_static("cross-origin-resource-policy"), "same-origin"),
    (HeaderName::from_static("cross-origin-opener-policy"), "same-origin"),
];

/// Under which names the desk stands in the network, and how.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Front {
    /// The address that phones use.
    pub public: Option<Url>,
    /// Others than this machine reach it, at any of the machine's addresses.
    pub in_network: bool,
    /// It speaks TLS, or something before it does.
    pub secure: bool,
    /// Programs before it that are believed when they say for whom they ask.
    pub proxies: Vec<IpAddr>,
}

impl Front {
    /// The cookie's name: with TLS one that no neighbour can set (RFC 6265bis §4.1.3.2).
    fn cookie(&self) -> &'static str {
        if self.secure { "__Host-loomwalk" } else { "loomwalk" }
    }

    /// A cookie that signs in, or out where it is empty.
    pub fn set_cookie(&self, value: &str) -> HeaderValue {
        let secure = if self.secure { "; Secure" } else { "" };
        let age = if value.is_empty() { 0 } else { 14 * 24 * 60 * 60 };
        let cookie = format!("{}={value}; Path=/; HttpOnly; SameSite=Strict; Max-Age={age}{secure}", self.cookie());
        // A value is base64url or nothing.
        HeaderValue::try_from(cookie).unwrap_or(HeaderValue::from_static(""))
    }

    /// What the browser brought.
    pub fn cookie_in<'a>(&self, headers: &'a HeaderMap) -> Option<&'a str> {
        let cookies = headers.get_all(header::COOKIE).iter().filter_map(|cookies| cookies.to_str().ok());
        let mut pairs = cookies.flat_map(|cookies| cookies.split(';')).filter_map(|pair| pair.trim().split_once('='));
        pairs.find(|(name, _)| *name == self.cookie()).map(|(_, value)| value)
    }

    /// Who asks a proxy, if it is one that is believed: the last address of its `X-Forwarded-For`, which it has put there
    /// itself. All before that the one who asks may have made up.
    fn asks_for(&self, proxy: IpAddr, headers: &HeaderMap) -> Option<IpAddr> {
        // A listener for both kinds of addresses sees an IPv4 one as an IPv6 one: ::ffff:172.17.0.1.
        if !self.proxies.iter().any(|known| known.to_canonical() == proxy.to_canonical()) {
            return None;
        }
        let last = headers.get_all("x-forwarded-for").iter().next_back()?.to_str().ok()?;
        last.rsplit(',').next()?.trim().parse().ok()
    }

    /// Whether a `Host` names this desk: the machine to itself, the public name, or in a network any address.
    fn is_ours(&self, host: &str) -> bool {
        let Some((name, _)) = name_and_port(host) else { return false };
        let by_name = |known: &Url| {
            known
                .host_str()
                .is_some_and(|known| known.trim_start_matches('[').trim_end_matches(']').eq_ignore_ascii_case(name))
        };
        match name.parse::<IpAddr>() {
            // No name service makes an address into another.
            Ok(address) => address.is_loopback() || self.in_network || self.public.as_ref().is_some_and(by_name),
            Err(_) => name.eq_ignore_ascii_case("localhost") || self.public.as_ref().is_some_and(by_name),
        }
    }
}

/// What is counted as one: an IPv4 address, or the network of an IPv6 address, of which whoever has one has all of it
/// (RFC 6177 §2: a site gets a /64 at the least).
fn one_site(from: IpAddr) -> IpAddr {
    match from.to_canonical() {
        IpAddr::V6(address) => Ipv6Addr::from_bits(address.to_bits() & (u128::MAX << 64)).into(),
        address @ IpAddr::V4(_) => address,
    }
}

/// How often one may ask.
#[derive(Debug)]
pub struct Limits {
    tries: DefaultKeyedRateLimiter<IpAddr>,
    calls: DefaultKeyedRateLimiter<String>,
    now: Mutex<HashMap<String, Arc<Semaphore>>>,
    passwords: Arc<Semaphore>,
    refusals: DefaultDirectRateLimiter,
    refusals_of: DefaultKeyedRateLimiter<IpAddr>,
    clock: DefaultClock,
}

impl Default for Limits {
    fn default() -> Self {
        Self {
            tries: RateLimiter::keyed(Quota::per_minute(TRIES)),
            calls: RateLimiter::keyed(Quota::per_second(CALLS.0).allow_burst(CALLS.1)),
            now: Mutex::default(),
            passwords: Arc::new(Semaphore::new(WAITING)),
            refusals: RateLimiter::direct(Quota::per_hour(audit::REFUSED_PER_HOUR)),
            refusals_of: RateLimiter::keyed(Quota::per_hour(audit::REFUSED_OF_ONE)),
            clock: DefaultClock::default(),
        }
    }
}

impl Limits {
    /// Counts a password or a code that an address gives.
    ///
    /// # Errors
    /// [`Refusal::TooMany`].
    pub fn a_try(&self, from: IpAddr) -> Result<(), Refusal> {
        if self.tries.len() > COUNTED {
            self.tries.retain_recent();
        }
        self.tries
            .check_key(&one_site(from))
            .map_err(|until| Refusal::TooMany(until.wait_time_from(self.clock.now()).as_secs() + 1))
    }

    /// Held while a password is looked at.
    ///
    /// # Errors
    /// [`Refusal::TooMany`].
    pub fn a_password(&self) -> Result<OwnedSemaphorePermit, Refusal> {
        Arc::clone(&self.passwords).try_acquire_owned().map_err(|_| Refusal::TooMany(5))
    }

    /// Writes down that somebody was not let in; of one address, and of all, not more than so many an hour: who makes noise
    /// drowns nobody else, and many together fill no store.
    pub async fn refused(&self, store: &Store, from: IpAddr, deed: Deed) {
        if self.refusals_of.len() > COUNTED {
            self.refusals_of.retain_recent();
        }
        if self.refusals_of.check_key(&one_site(from)).is_ok() && self.refusals.check().is_ok() {
            audit::note(store, &from.to_string(), deed).await;
        }
    }

    fn a_call(&self, phone: &str) -> Result<(), Refusal> {
        if self.calls.len() > COUNTED {
            self.calls.retain_recent();
        }
        self.calls
            .check_key(&phone.to_owned())
            .map_err(|until| Refusal::TooMany(until.wait_time_from(self.clock.now()).as_secs() + 1))
    }

    /// Held while a call is answered.
    fn at_a_time(&self, phone: &str) -> Result<OwnedSemaphorePermit, Refusal> {
        let mut now = self.now.lock().unwrap_or_else(PoisonError::into_inner);
        if now.len() > COUNTED {
            now.retain(|_, calls| calls.available_permits() < AT_A_TIME);
        }
        let calls = now.entry(phone.to_owned()).or_insert_with(|| Arc::new(Semaphore::new(AT_A_TIME)));
        Arc::clone(calls).try_acquire_owned().map_err(|_| Refusal::TooMany(1))
    }
}

/// What the guards know.
#[derive(Debug, Clone)]
pub struct Gate {
    /// The desk.
    pub desk: Arc<Desk>,
    /// Where it stands.
    pub front: Arc<Front>,
    /// How often one may ask.
    pub limits: Arc<Limits>,
}

/// Where a request comes from, as far as the desk can see.
pub fn from_where(request: &axum::http::Extensions) -> IpAddr {
    let peer = request.get::<ConnectInfo<SocketAddr>>();
    peer.map_or(IpAddr::V4(Ipv4Addr::UNSPECIFIED), |ConnectInfo(address)| address.ip())
}

/// Puts the guards before all routes.
pub fn around(routes: Router, front: Arc<Front>) -> Router {
    let other_site = CsrfLayer::new().with_rejection_response(|_: ProtectionError| Refusal::OtherSite.into_response());
    let guarded = routes.layer(other_site).layer(middleware::from_fn_with_state(front.clone(), only_as_ours));
    let guarded = guarded.layer(middleware::from_fn_with_state(front, for_whom));
    ON_ALL.into_iter().fold(guarded, |guarded, (name, value)| {
        guarded.layer(SetResponseHeaderLayer::if_not_present(name, HeaderValue::from_static(value)))
    })
}

/// Which phone calls; goes with every call that [`only_paired`] lets through. As long as one of it is there the call counts
/// among those of the phone: who goes on with it after the phone hung up keeps it.
#[derive(Debug, Clone)]
pub struct FromPhone {
    /// Its id.
    pub id: String,
    _held: Arc<OwnedSemaphorePermit>,
}

/// Before the API: only phones that are paired.
pub async fn only_paired(State(gate): State<Gate>, mut request: Request, next: Next) -> Response {
    let given = request.headers().get(header::AUTHORIZATION).and_then(|value| value.to_str().ok());
    let token = given.and_then(|value| {
        let (scheme, token) = value.split_once(' ')?;
        scheme.eq_ignore_ascii_case("bearer").then(|| token.trim())
    });
    let phone = match token {
        Some(token) => gate.desk.access().phone(token).await,
        None => Ok(None),
    };
    match phone {
        Ok(Some(phone)) => match gate.limits.a_call(&phone).and_then(|()| gate.limits.at_a_time(&phone)) {
            Ok(held) => {
                let from = FromPhone { id: phone, _held: Arc::new(held) };
                request.extensions_mut().insert(from.clone());
                let answer = next.run(request).await;
                drop(from);
                answer
            }
            Err(too_many) => too_many.into_response(),
        },
        Ok(None) => Refusal::NotPaired.into_response(),
        Err(error) => Refusal::Store(error).into_response(),
    }
}

/// Before the service writer's pages: only who is signed in. Others are led to where they can be.
pub async fn only_signed_in(State(gate): State<Gate>, request: Request, next: Next) -> Response {
    let cookie = gate.front.cookie_in(request.headers()).map(str::to_owned);
    let good = match &cookie {
        Some(cookie) => gate.desk.access().is_signed_in(cookie).await,
        None => Ok(false),
    };
    match good {
        Ok(true) => next.run(request).await,
        Ok(false) => {
            let back = match (request.method(), request.uri().path_and_query()) {
                (&Method::GET, Some(back)) => back.as_str().to_owned(),
                _ => "/desk".to_owned(),
            };
            let back: String = url::form_urlencoded::byte_serialize(back.as_bytes()).collect();
            Redirect::to(&format!("/desk/sign-in?back={back}")).into_response()
        }
        Err(error) => Refusal::Store(error).into_response(),
    }
}

/// Behind a proxy that is believed, whoever asks it takes its place.
async fn for_whom(State(front): State<Arc<Front>>, mut request: Request, next: Next) -> Response {
    if let Some(from) = front.asks_for(from_where(request.extensions()), request.headers()) {
        request.extensions_mut().insert(ConnectInfo(SocketAddr::new(from, 0)));
    }
    next.run(request).await
}

async fn only_as_ours(State(front): State<Arc<Front>>, request: Request, next: Next) -> Response {
    let header = request.headers().get(header::HOST).map(|host| String::from_utf8_lossy(host.as_bytes()).into_owned());
    let target = request.uri().authority().map(|authority| authority.as_str().to_owned());
    let more_than_one = request.headers().get_all(header::HOST).iter().count() > 1;
    let asked_as = [target, header];
    let foreign = asked_as.iter().flatten().find(|host| !front.is_ours(host));
    match foreign {
        Some(host) => Refusal::OtherHost(host.chars().take(100).collect()).into_response(),
        None if more_than_one || asked_as.iter().all(Option::is_none) => {
            Refusal::OtherHost(String::new()).into_response()
        }
        None => next.run(request).await,
    }
}

/// A `Host` as name and port, the name without brackets. `None`: it is none.
fn name_and_port(host: &str) -> Option<(&str, Option<u16>)> {
    let (name, port) = match host.strip_prefix('[').and_then(|rest| rest.split_once(']')) {
        Some((address, "")) => (address, None),
        Some((address, rest)) => (address, Some(rest.strip_prefix(':')?)),
        None => match host.split_once(':') {
            Some((name, port)) => (name, Some(port)),
            None => (host, None),
        },
    };
    match port {
        None => Some((name, None)),
        Some(port) => Some((name, Some(port.parse().ok()?))),
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn on_loopback_only_names_of_this_machine_itself_are_answered() {
        let front = Front::default();
        for ours in ["127.0.0.1", "127.0.0.1:8080", "localhost:1", "LocalHost", "[::1]", "[::1]:8080", "127.1.2.3:80"] {
            assert!(front.is_ours(ours), "{ours}");
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
            assert!(!front.is_ours(host), "{host}");
        }
    }

    #[test]
    fn in_a_network_any_address_and_the_public_name_are_answered_and_no_other_name() {
        let public = Some("https://desk.shop.example:8443/".parse().unwrap());
        let front = Front { public, in_network: true, secure: true, ..Front::default() };
        for ours in ["desk.shop.example", "Desk.Shop.Example:8443", "192.168.1.5:8443", "[fe80::1]:8443", "localhost"] {
            assert!(front.is_ours(ours), "{ours}");
        }
        for foreign in ["evil.example", "desk.shop.example.evil.example", "xdesk.shop.example", ""] {
            assert!(!front.is_ours(foreign), "{foreign}");
        }
    }

    #[test]
    fn the_cookie_is_found_among_others_and_never_by_half_its_name() {
        let front = Front::default();
        let mut headers = HeaderMap::new();
        headers.insert(header::COOKIE, HeaderValue::from_static("a=1; xloomwalk=2; loomwalk=three; b=4"));
        assert_eq!(front.cookie_in(&headers), Some("three"));
        let front = Front { secure: true, ..front };
        assert_eq!(front.cookie_in(&headers), None);
    }

    #[test]
    fn only_the_last_word_of_a_proxy_that_is_believed_says_who_asks() {
        let front = Front { proxies: vec![[127, 0, 0, 1].into()], ..Front::default() };
        let asks_for = |proxy: [u8; 4], forwarded: &[&'static str]| {
            let mut headers = HeaderMap::new();
            for value in forwarded {
                headers.append("x-forwarded-for", HeaderValue::from_static(value));
            }
            front.asks_for(proxy.into(), &headers).map(|from| from.to_string())
        };
        let nginx = [127, 0, 0, 1];
        assert_eq!(asks_for(nginx, &["10.0.0.7"]), Some("10.0.0.7".to_owned()));
        assert_eq!(asks_for(nginx, &["1.2.3.4, 10.0.0.7"]), Some("10.0.0.7".to_owned()));
        assert_eq!(asks_for(nginx, &["1.2.3.4", "5.6.7.8,2001:db8::7 "]), Some("2001:db8::7".to_owned()));
        assert_eq!(asks_for([10, 0, 0, 9], &["1.2.3.4"]), None);
        for unread in [&[] as &[_], &[""], &["10.0.0.7,"], &["unknown"], &["10.0.0.7:80"]] {
            assert_eq!(asks_for(nginx, unread), None, "{unread:?}");
        }
    }

    #[test]
    fn a_proxy_is_known_by_its_address_whichever_kind_of_listener_sees_it() {
        let mut headers = HeaderMap::new();
        headers.insert("x-forwarded-for", HeaderValue::from_static("10.0.0.7"));
        let seen = ["172.17.0.1", "::ffff:172.17.0.1"].map(|address| address.parse::<IpAddr>().unwrap());
        for known in seen {
            let front = Front { proxies: vec![known], ..Front::default() };
            for proxy in seen {
                assert!(front.asks_for(proxy, &headers).is_some(), "{known} seen as {proxy}");
            }
            assert_eq!(front.asks_for("::ffff:172.17.0.2".parse().unwrap(), &headers), None);
        }
    }

    #[test]
    fn whoever_has_a_network_of_addresses_has_the_tries_of_one() {
        let limits = Limits::default();
        let tries = |address: &str| limits.a_try(address.parse().unwrap());
        assert!((0..10).all(|host| tries(&format!("2001:db8:0:1::{host:x}")).is_ok()));
        assert!(matches!(tries("2001:db8:0:1:ffff::1"), Err(Refusal::TooMany(_))));
        assert!(tries("2001:db8:0:2::1").is_ok());
        // An IPv4 address on an IPv6 socket is that address, not all of them.
        assert!((0..10).all(|_| tries("::ffff:10.0.0.1").is_ok()));
        assert!(tries("10.0.0.1").is_err() && tries("::ffff:10.0.0.2").is_ok());
    }

    #[test]
    fn where_many_wait_for_a_password_to_be_looked_at_the_next_is_told_to_come_again() {
        let limits = Limits::default();
        let mut held: Vec<_> = (0..WAITING).map(|_| limits.a_password().unwrap()).collect();
        assert!(matches!(limits.a_password(), Err(Refusal::TooMany(_))));
        drop(held.pop());
        assert!(limits.a_password().is_ok());
    }

    #[test]
    fn an_address_may_try_ten_times_in_a_minute() {
        let limits = Limits::default();
        let (one, other) = (IpAddr::from([10, 0, 0, 1]), IpAddr::from([10, 0, 0, 2]));
        assert!((0..10).all(|_| limits.a_try(one).is_ok()));
        assert!(matches!(limits.a_try(one), Err(Refusal::TooMany(1..=7))));
        assert!(limits.a_try(other).is_ok());
    }
}
