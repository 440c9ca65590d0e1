//! Where does the desk answer, and how does it start and end?

use std::io::Write;
use std::net::SocketAddr;
use std::path::{Path, PathBuf};
use std::str::FromStr;
use std::sync::Arc;
use std::time::Duration;

use axum::Router;
use tokio::net::TcpListener;

use super::intake::Desk;
use super::site::{self, NoApp};
use super::store::{Store, StoreError};
use super::{api, guard, pages};

/// How long calls that are under way when the desk is asked to end may take.
const LAST_CALLS: Duration = Duration::from_secs(10);

/// An address on this machine's loopback. There is no other kind in this version.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Listen(SocketAddr);

/// Why the desk does not answer at an address.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum ListenError {
    /// Not an address and a port.
    #[error("this is not an address with a port; write for example 127.0.0.1:8080, or 127.0.0.1:0 for any free port")]
    NotAnAddress,
    /// Others could reach it.
    #[error(
        "this version answers on loopback only, because it knows neither pairing nor encryption yet and anyone on the \
         network could read and write the jobs; use 127.0.0.1:{0}"
    )]
    NotLoopback(u16),
}

impl FromStr for Listen {
    type Err = ListenError;
    fn from_str(text: &str) -> Result<Self, ListenError> {
        let numeric = text.strip_prefix("localhost:").map(|port| format!("127.0.0.1:{port}"));
        let address: SocketAddr = numeric.as_deref().unwrap_or(text).parse().map_err(|_| ListenError::NotAnAddress)?;
        if address.ip().is_loopback() { Ok(Self(address)) } else { Err(ListenError::NotLoopback(address.port())) }
    }
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
    /// The store.
    #[error(transparent)]
    Store(#[from] StoreError),
    /// The app's folder.
    #[error(transparent)]
    App(#[from] NoApp),
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
pub fn routes(desk: &Arc<Desk>, app: Option<&Path>) -> Result<Router, NoApp> {
    let all = site::routes(app)?.merge(api::routes(desk.clone())).merge(pages::routes(desk.clone()));
    Ok(guard::around(all))
}

/// Runs a desk until it is asked to end: Ctrl-C, or SIGTERM where there are signals.
///
/// Prints where it is once it answers there.
pub async fn run(listen: Listen, store: &Path, app: Option<PathBuf>) -> Result<(), StartError> {
    let desk = Arc::new(Desk::open(Store::open(store).await?).await?);
    for damaged in desk.damaged() {
        eprintln!("desk: {damaged}; it was left as it is");
    }
    let routes = routes(&desk, app.as_deref())?;
    let in_use = |source| StartError::Address { address: listen.0, source };
    let listener = TcpListener::bind(listen.0).await.map_err(in_use)?;
    let address = listener.local_addr()?;
    let asked = asked_to_end()?;
    writeln!(std::io::stdout(), "Desk at http://{address}/desk · app at http://{address}/")?;

    let (ending, mut ended) = tokio::sync::watch::channel(());
    let end = async move {
        asked.await;
        drop(ending);
    };
    tokio::select! {
        served = axum::serve(listener, routes).with_graceful_shutdown(end) => served?,
        () = async { while ended.changed().await.is_ok() {} tokio::time::sleep(LAST_CALLS).await } => {
            eprintln!("desk: some calls did not end in {} s and were broken off", LAST_CALLS.as_secs());
        }
    }
    Ok(())
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
mod tests {
    use super::*;

    #[test]
    fn only_loopback_addresses_are_taken_and_others_are_told_why() {
        for ours in ["127.0.0.1:8080", "127.0.0.1:0", "[::1]:8080", "localhost:8080"] {
            assert!(ours.parse::<Listen>().is_ok(), "{ours}");
        }
        for open in ["0.0.0.0:8080", "192.168.1.5:8080", "[::]:8080", "8.8.8.8:8080"] {
            assert_eq!(open.parse::<Listen>(), Err(ListenError::NotLoopback(8080)), "{open}");
        }
        for wrong in ["", "8080", "127.0.0.1", "example.com:80", "127.0.0.1:99999"] {
            assert_eq!(wrong.parse::<Listen>(), Err(ListenError::NotAnAddress), "{wrong}");
        }
    }
}
