//! Where does the desk answer, and how does it start and end?

use std::io::Write;
use std::net::{IpAddr, SocketAddr, TcpListener, UdpSocket};
use std::path::{Path, PathBuf};
use std::str::FromStr;
use std::sync::Arc;
use std::time::Duration;

use axum::Router;
use axum_server::tls_rustls::RustlsConfig;
use axum_server::{Handle, Server};
use url::Url;

use super::access::Purpose;
use super::guard::{Front, Gate, Limits};
use super::intake::Desk;
use super::site::{self, NoApp};
use super::store::{Place, Store, StoreError};
use super::tls::{Tls, TlsError};
use super::{api, guard, pages, trust};

/// How long calls that are under way when the desk is asked to end may take.
const LAST_CALLS: Duration = Duration::from_secs(10);
/// How long a client may take to send the head of its request, from when it is connected or was answered.
const HEAD: Duration = Duration::from_secs(20);

/// An address with a port.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Listen(pub SocketAddr);

/// Not an address and a port.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error(
    "this is not an address with a port; write for example 127.0.0.1:8080, 127.0.0.1:0 for any free port, or 0.0.0.0:8443 for the whole network"
)]
pub struct NotAnAddress;

impl FromStr for Listen {
    type Err = NotAnAddress;
    fn from_str(text: &str) -> Result<Self, NotAnAddress> {
        let numeric = text.strip_prefix("localhost:").map(|port| format!("127.0.0.1:{port}"));
        numeric.as_deref().unwrap_or(text).parse().map(Self).map_err(|_| NotAnAddress)
    }
}

/// Where and how a desk answers.
#[derive(Debug, Clone)]
pub struct Settings {
    /// The address.
    pub listen: Listen,
    /// What it keeps.
    pub store: Place,
    /// The app's folder, where it is not the one inside the program.
    pub app: Option<PathBuf>,
    /// The address that phones use, where it is not the one that is listened on.
    pub public: Option<Url>,
    /// How it speaks TLS; none: not at all.
    pub tls: Option<Tls>,
    /// Programs before it that are believed when they say for whom they ask.
    pub proxies: Vec<IpAddr>,
}

/// Why the desk does not start.
#[derive(Debug, thiserror::Error)]
pub enum StartError {
    /// The address is taken, or not to be had.
    #[error("{address} cannot be used: {source}; {}", way_out(.source))]
    Address {
        /// Which.
        address: SocketAddr,
        /// Why.
        source: std::io::Error,
    },
    /// Others could listen in.
    #[error(
        "{0} can be reached by others, and passwords and photographs would go over the network for all to read; leave out \
         --tls off, or answer on 127.0.0.1 behind a program that speaks TLS"
    )]
    Unprotected(SocketAddr),
    /// The store.
    #[error(transparent)]
    Store(#[from] StoreError),
    /// The app's folder.
    #[error(transparent)]
    App(#[from] NoApp),
    /// The certificate.
    #[error(transparent)]
    Tls(#[from] TlsError),
    /// The terminal, the signals or the threads.
    #[error("the desk cannot run: {0}")]
    Machine(#[from] std::io::Error),
}

fn way_out(source: &std::io::Error) -> &'static str {
    match source.kind() {
        std::io::ErrorKind::AddrInUse => {
            "another program answers there, perhaps another desk; stop it, or choose another port with --listen"
        }
        std::io::ErrorKind::PermissionDenied => "choose a port above 1023 with --listen",
        _ => "choose another with --listen",
    }
}

/// All routes of a desk, guarded.
///
/// # Errors
/// Where the folder holds no app.
pub fn routes(desk: &Arc<Desk>, app: Option<&Path>, front: Front, authority: Option<&str>) -> Result<Router, NoApp> {
    let front = Arc::new(front);
    let gate = Gate { desk: desk.clone(), front: front.clone(), limits: Arc::new(Limits::default()) };
    let all = site::routes(app)?;
    let all = all.merge(api::routes(gate.clone())).merge(pages::routes(gate)).merge(trust::routes(authority));
    Ok(guard::around(all, front))
}

/// Runs a desk until it is asked to end: Ctrl-C, or SIGTERM where there are signals.
///
/// Prints where it is once it answers there.
///
/// # Errors
/// Why it does not start.
pub async fn run(settings: Settings) -> Result<(), StartError> {
    let Settings { listen: Listen(wanted), store, app, public, tls, proxies } = settings;
    let in_network = !wanted.ip().is_loopback();
    if in_network && tls.is_none() {
        return Err(StartError::Unprotected(wanted));
    }
    let in_use = |source| StartError::Address { address: wanted, source };
    let listener = TcpListener::bind(wanted).map_err(in_use)?;
    listener.set_nonblocking(true)?;
    let address = listener.local_addr()?;
    let reached_at = reached_at(address);
    let scheme = if tls.is_some() { "https" } else { "http" };
    let here = format!("{scheme}://{reached_at}");
    let public = public.or_else(|| tls.as_ref()?.public()).or_else(|| Url::parse(&here).ok().filter(|_| in_network));
    let addresses = [reached_at.ip(), IpAddr::from([127, 0, 0, 1])];
    let mut identity = tls.map(|tls| tls.identity(public.as_ref(), &addresses)).transpose()?;
    let secure = identity.is_some() || public.as_ref().is_some_and(|public| public.scheme() == "https");

    let desk = Arc::new(Desk::open(Store::open(&store).await?).await?);
    let front = Front { public: public.clone(), in_network, secure, proxies };
    let authority = identity.as_ref().and_then(|identity| identity.authority.as_deref());
    let routes = routes(&desk, app.as_deref(), front, authority)?;
    let asked = asked_to_end()?;
    let mut told = format!("Desk at {here}/desk · app at {here}/\n");
    if let Some(public) = public.filter(|public| public.as_str().trim_end_matches('/') != here) {
        told += &format!("Phones reach it at {public}\n");
    }
    if let Some(authority) = authority {
        told += &format!(
            "Its certificate is its own: {here}/trust says how a phone comes to trust it. SHA-256 {}\n",
            trust::fingerprint(authority)
        );
    }
    let keeper = identity.as_mut().and_then(|identity| identity.keeper.take());
    if let Some(keeper) = &keeper {
        told += &format!("{}\n", keeper.told());
    }
    if !desk.access().has_password().await? {
        let code = desk.access().make_code(Purpose::Begin).await?;
        told += &format!(
            "First start: choose the service writer's password at {here}/desk/begin, with the code {code} (good for a day)\n"
        );
    }
    // A desk whose terminal is gone works all the same.
    let _ = std::io::stdout().write_all(told.as_bytes());

    let keeping_up = tokio::spawn(desk.clone().keep_up());
    let keeping_good = keeper.map(|keeper| tokio::spawn(keeper.keep()));
    let handle = Handle::new();
    let (ending, waiting) = (handle.clone(), desk.clone());
    tokio::spawn(async move {
        asked.await;
        waiting.end();
        ending.graceful_shutdown(Some(LAST_CALLS));
    });
    let app = routes.into_make_service_with_connect_info::<SocketAddr>();
    match identity {
        Some(identity) => {
            let config = RustlsConfig::from_config(identity.config);
            let server = axum_server::from_tcp_rustls(listener, config)?;
            one_by_one(server, HEAD).handle(handle).serve(app).await?;
        }
        None => one_by_one(axum_server::from_tcp(listener)?, HEAD).handle(handle).serve(app).await?,
    }
    keeping_up.abort();
    keeping_good.inspect(tokio::task::JoinHandle::abort);
    desk.write_down().await;
    Ok(())
}

/// Speaks HTTP/1.1 alone. A server that also knows HTTP/2 first waits for the bytes that tell the two apart, for ever if
/// need be, and takes whoever begins with those of HTTP/2 past all that is said of a head: so anyone who reaches the port
/// could hold as many connections as they like.
fn one_by_one<A>(server: Server<SocketAddr, A>, head: Duration) -> Server<SocketAddr, A> {
    let mut server = server.http1_only();
    server.http_builder().http1().header_read_timeout(head);
    server
}

/// Where others reach what listens at an address: that itself, or for all addresses the one from which this machine
/// would send to the network.
fn reached_at(address: SocketAddr) -> SocketAddr {
    if !address.ip().is_unspecified() {
        return address;
    }
    // Nothing is sent: the system only says which way it would go (192.0.2.1 is for documentation, RFC 5737).
    let outward = UdpSocket::bind("0.0.0.0:0").and_then(|socket| {
        socket.connect("192.0.2.1:9")?;
        socket.local_addr()
    });
    let ip = outward.map_or(IpAddr::from([127, 0, 0, 1]), |outward| outward.ip());
    SocketAddr::new(ip, address.port())
}

/// Listens for the wish to end from now on; the future comes true when it is uttered.
#[cfg(unix)]
fn asked_to_end() -> std::io::Result<impl Future<Output = ()> + Send + 'static> {
    use tokio::signal::unix::{SignalKind, signal};
    let (mut interrupt, mut terminate) = (signal(SignalKind::interrupt())?, signal(SignalKind::terminate())?);
    Ok(async move {
        tokio::select! {
            _ = interrupt.recv() => {}
            _ = terminate.recv() => {}
        }
    })
}

/// Listens for the wish to end; the future comes true when it is uttered.
#[cfg(not(unix))]
fn asked_to_end() -> std::io::Result<impl Future<Output = ()> + Send + 'static> {
    Ok(async {
        if tokio::signal::ctrl_c().await.is_err() {
            std::future::pending::<()>().await;
        }
    })
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use tokio::io::{AsyncReadExt, AsyncWriteExt};
    use tokio::net::TcpStream;

    use super::*;

    /// What is answered to these bytes until the connection is closed. `None`: it never is.
    async fn answered(to: SocketAddr, bytes: &[u8]) -> Option<Vec<u8>> {
        let mut stream = TcpStream::connect(to).await.unwrap();
        stream.write_all(bytes).await.unwrap();
        let mut answer = Vec::new();
        // Long for a machine that is busy; a connection that is held is held for ever. Reset is closed, too.
        let closed = tokio::time::timeout(Duration::from_secs(20), stream.read_to_end(&mut answer)).await;
        closed.ok().map(|_| answer)
    }

    #[tokio::test]
    async fn whoever_says_nothing_or_speaks_http_2_is_not_held() {
        let listener = TcpListener::bind("127.0.0.1:0").unwrap();
        listener.set_nonblocking(true).unwrap();
        let to = listener.local_addr().unwrap();
        let app = Router::new().route("/", axum::routing::get(async || "here")).into_make_service();
        let server = one_by_one(axum_server::from_tcp(listener).unwrap(), Duration::from_millis(200));
        let server = tokio::spawn(async move { server.serve(app).await });
        // Nothing, a part of a head, and less than what HTTP/1 and HTTP/2 are told apart by.
        for bytes in [&b""[..], b"GET / HTTP/1.1\r\nHost:", b"PRI * HTTP/2.0\r\n"] {
            assert!(answered(to, bytes).await.is_some(), "{}", String::from_utf8_lossy(bytes));
        }
        // The preface of HTTP/2 and its first frame.
        let answer = answered(to, b"PRI * HTTP/2.0\r\n\r\nSM\r\n\r\n\0\0\0\x04\0\0\0\0\0").await.unwrap();
        assert!(answer.is_empty() || answer.starts_with(b"HTTP/1.1 4"), "{answer:?}");
        let answer = answered(to, b"GET / HTTP/1.1\r\nHost: localhost\r\nConnection: close\r\n\r\n").await.unwrap();
        assert!(answer.starts_with(b"HTTP/1.1 200"), "{}", String::from_utf8_lossy(&answer));
        server.abort();
    }

    #[test]
    fn an_address_has_a_port() {
        for good in ["127.0.0.1:8080", "127.0.0.1:0", "[::1]:8080", "localhost:8080", "0.0.0.0:8443", "[::]:0"] {
            assert!(good.parse::<Listen>().is_ok(), "{good}");
        }
        for wrong in ["", "8080", "127.0.0.1", "example.com:80", "127.0.0.1:99999"] {
            assert_eq!(wrong.parse::<Listen>(), Err(NotAnAddress), "{wrong}");
        }
    }

    #[test]
    fn what_listens_everywhere_is_told_by_one_address() {
        let everywhere: SocketAddr = SocketAddr::from(([0, 0, 0, 0], 8443));
        assert!(!reached_at(everywhere).ip().is_unspecified());
        assert_eq!(reached_at(everywhere).port(), 8443);
        let one = SocketAddr::from(([192, 168, 1, 5], 8443));
        assert_eq!(reached_at(one), one);
    }
}
