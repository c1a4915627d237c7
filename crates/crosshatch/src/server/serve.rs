//! Listening, answering, and stopping so that nobody is cut off.

use super::app::App;
use super::routes::router;
use hyper::server::conn::http1;
use hyper_util::rt::{TokioIo, TokioTimer};
use hyper_util::server::graceful::GracefulShutdown;
use hyper_util::service::TowerToHyperService;
use std::net::{IpAddr, Ipv4Addr, SocketAddr};
use std::sync::Arc;
use std::time::Duration;
use tokio::net::TcpListener;
use tokio::sync::Semaphore;

/// The port when none is asked for.
pub const DEFAULT_PORT: u16 = 7117;
/// How many ports after it are tried when it is taken.
const NEXT_PORTS: u16 = 20;
/// A browser that does not send the head of its next request by then is let go.
const HEAD_PATIENCE: Duration = Duration::from_mins(1);
/// Requests that are under way when the program stops get this long.
const LAST_PATIENCE: Duration = Duration::from_secs(5);
/// Connections at once.
const CONNECTIONS: usize = 256;

/// Why the server does not start.
#[derive(Debug, thiserror::Error)]
pub enum ServeError {
    /// Not an address of the loopback.
    #[error(
        "{0} is not on this machine alone: Crosshatch listens on the loopback only (127.0.0.1 or ::1), \
         because serving a network needs named people with passphrases, which it does not have yet"
    )]
    NotLoopback(IpAddr),
    /// The port is taken.
    #[error("port {port} of {address} cannot be used ({source}); leave --port out to take the next free one")]
    Port {
        /// Address.
        address: IpAddr,
        /// Port.
        port: u16,
        /// What the system says.
        source: std::io::Error,
    },
}

/// A server that listens but does not answer yet.
#[derive(Debug)]
pub struct Listening {
    listener: TcpListener,
    /// Where it listens.
    pub address: SocketAddr,
}

/// Takes a port: the one asked for, or the first free one from [`DEFAULT_PORT`] on.
///
/// # Errors
/// When the address is not of the loopback, or no port can be had.
pub async fn listen(address: IpAddr, port: Option<u16>) -> Result<Listening, ServeError> {
    if !address.is_loopback() {
        return Err(ServeError::NotLoopback(address));
    }
    let ports = match port {
        Some(port) => port..=port,
        None => DEFAULT_PORT..=DEFAULT_PORT + NEXT_PORTS,
    };
    let last = *ports.end();
    for port in ports {
        match TcpListener::bind((address, port)).await {
            Ok(listener) => {
                let address = listener
                    .local_addr()
                    .unwrap_or_else(|_| SocketAddr::new(Ipv4Addr::LOCALHOST.into(), port));
                return Ok(Listening { listener, address });
            }
            Err(source) if port == last => return Err(ServeError::Port { address, port, source }),
            Err(_) => {}
        }
    }
    Err(ServeError::Port { address, port: last, source: std::io::ErrorKind::AddrInUse.into() })
}

impl Listening {
    /// Answers until `stop` is done, then lets requests that are under way finish.
    pub async fn serve(self, app: App, stop: impl Future<Output = ()>) {
        let service = TowerToHyperService::new(router(app));
        let graceful = GracefulShutdown::new();
        let room = Arc::new(Semaphore::new(CONNECTIONS));
        let mut stop = std::pin::pin!(stop);
        loop {
            let stream = tokio::select! {
                () = &mut stop => break,
                accepted = accept(&self.listener, &room) => accepted,
            };
            let Some((stream, place)) = stream else { continue };
            let mut builder = http1::Builder::new();
            builder.timer(TokioTimer::new()).header_read_timeout(HEAD_PATIENCE);
            let connection = graceful.watch(builder.serve_connection(TokioIo::new(stream), service.clone()));
            tokio::spawn(async move {
                // A browser that goes away in the middle is no news.
                let _ = connection.await;
                drop(place);
            });
        }
        drop(self.listener);
        let _ = tokio::time::timeout(LAST_PATIENCE, graceful.shutdown()).await;
    }
}

type Place = tokio::sync::OwnedSemaphorePermit;

/// The next browser, when there is room for it.
async fn accept(listener: &TcpListener, room: &Arc<Semaphore>) -> Option<(tokio::net::TcpStream, Place)> {
    let place = Arc::clone(room).acquire_owned().await.ok()?;
    if let Ok((stream, _)) = listener.accept().await {
        let _ = stream.set_nodelay(true);
        return Some((stream, place));
    }
    // Out of handles, most likely: give the others time to close theirs.
    tokio::time::sleep(Duration::from_millis(50)).await;
    None
}

/// Done when the person or the system asks the program to stop.
pub(crate) async fn asked_to_stop() {
    let interrupt = async {
        if tokio::signal::ctrl_c().await.is_err() {
            std::future::pending::<()>().await;
        }
    };
    #[cfg(unix)]
    let terminate = async {
        match tokio::signal::unix::signal(tokio::signal::unix::SignalKind::terminate()) {
            Ok(mut signal) => {
                signal.recv().await;
            }
            Err(_) => std::future::pending::<()>().await,
        }
    };
    #[cfg(not(unix))]
    let terminate = std::future::pending::<()>();
    tokio::select! {
        () = interrupt => {}
        () = terminate => {}
    }
}
