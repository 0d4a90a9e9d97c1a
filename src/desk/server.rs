//! Listens, and answers many at a time.
//!
//! Requests are answered on threads of their own, each with a connection of its own to the book:
//! who reads never waits for who writes.

use std::io;
use std::net::SocketAddr;
use std::sync::Arc;
use std::time::Duration;

use axum::Router;
use axum::body::Body;
use axum::http::{Request, StatusCode};
use axum::routing::any;
use hyper::server::conn::http1;
use hyper_util::rt::{TokioIo, TokioTimer};
use hyper_util::server::graceful::{GracefulShutdown, Watcher};
use hyper_util::service::TowerToHyperService;
use tokio::io::{AsyncRead, AsyncWrite};
use tokio::net::{TcpListener, TcpStream};
use tokio::sync::Semaphore;
use tokio::time::timeout;
use tower_http::timeout::TimeoutLayer;

use super::Desk;
use super::door::answer;
use super::routes::routes;
use super::tls::Tls;

/// How long a request may take to be answered.
const ANSWERED_WITHIN: Duration = Duration::from_secs(60);
/// How long its first lines may take to come.
const HEAD_WITHIN: Duration = Duration::from_secs(10);
/// How long a connection may stay, whatever is sent over it.
const CONNECTED_WITHIN: Duration = Duration::from_secs(150);
/// How long those who are being answered are waited for at the end.
const LAST_WORDS: Duration = Duration::from_secs(5);

const MOST_CONNECTIONS: usize = 256;
const MOST_AT_ONCE: usize = 32;
const MOST_HEADERS: usize = 64;
/// In bytes.
const LONGEST_HEAD: usize = 32 * 1024;

/// Serves until it is told to stop; `ready` hears under which address a browser finds it.
///
/// # Errors
/// An address that cannot be listened on.
pub fn serve(desk: Desk, address: SocketAddr, ready: impl FnOnce(String)) -> io::Result<()> {
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .max_blocking_threads(MOST_AT_ONCE)
        .enable_all()
        .build()?;
    // Held until the runtime is gone: a line to a server is given up only where one may wait.
    let desk = Arc::new(desk);
    let served = runtime.block_on(async {
        let listener = TcpListener::bind(address).await?;
        ready(desk.at(listener.local_addr()?));
        accept(listener, desk.tls.clone(), router(desk.clone())).await;
        Ok(())
    });
    drop(runtime);
    served
}

/// What is at each path.
fn router(desk: Arc<Desk>) -> Router {
    let mut router = Router::new();
    for route in routes() {
        let desk = desk.clone();
        let answer = move |request: Request<Body>| answer(desk.clone(), Some(route), request);
        router = router.route(route.path, any(answer));
    }
    let nothing = move |request: Request<Body>| answer(desk.clone(), None, request);
    let limit = TimeoutLayer::with_status_code(StatusCode::SERVICE_UNAVAILABLE, ANSWERED_WITHIN);
    router.fallback(nothing).layer(limit)
}

async fn accept(listener: TcpListener, tls: Option<Tls>, router: Router) {
    let connected = Arc::new(Semaphore::new(MOST_CONNECTIONS));
    let graceful = GracefulShutdown::new();
    let mut stop = std::pin::pin!(stopped());
    loop {
        let Ok(place) = connected.clone().acquire_owned().await else { break };
        let stream = tokio::select! {
            accepted = listener.accept() => accepted,
            () = &mut stop => break,
        };
        // One that went away before it was accepted is nobody's loss.
        let Ok((stream, _)) = stream else { continue };
        let (watcher, tls, router) = (graceful.watcher(), tls.clone(), router.clone());
        tokio::spawn(async move {
            let _ = timeout(CONNECTED_WITHIN, greeted(stream, tls, router, watcher)).await;
            drop(place);
        });
    }
    drop(listener);
    let _ = timeout(LAST_WORDS, graceful.shutdown()).await;
}

/// Answers over one connection until it ends.
async fn greeted(stream: TcpStream, tls: Option<Tls>, router: Router, watcher: Watcher) {
    let Some(tls) = tls else {
        let _ = watcher.watch(connection(stream, router)).await;
        return;
    };
    // Whoever speaks something else, or nothing at all, has no place for long.
    if let Ok(Ok(stream)) = timeout(HEAD_WITHIN, tls.greet(stream)).await {
        let _ = watcher.watch(connection(stream, router)).await;
    }
}

fn connection<S: AsyncRead + AsyncWrite + Unpin>(
    stream: S,
    router: Router,
) -> http1::Connection<TokioIo<S>, TowerToHyperService<Router>> {
    http1::Builder::new()
        .timer(TokioTimer::new())
        .header_read_timeout(HEAD_WITHIN)
        .max_headers(MOST_HEADERS)
        .max_buf_size(LONGEST_HEAD)
        .serve_connection(TokioIo::new(stream), TowerToHyperService::new(router))
}

/// Ctrl-C, or a service that is being stopped.
async fn stopped() {
    let interrupted = async {
        // Where it cannot be heard, there is nothing to do but to go on.
        if tokio::signal::ctrl_c().await.is_err() {
            std::future::pending::<()>().await;
        }
    };
    tokio::select! {
        () = interrupted => {}
        () = terminated() => {}
    }
}

#[cfg(unix)]
async fn terminated() {
    use tokio::signal::unix::{SignalKind, signal};
    match signal(SignalKind::terminate()) {
        Ok(mut signal) => _ = signal.recv().await,
        Err(_) => std::future::pending().await,
    }
}

#[cfg(not(unix))]
async fn terminated() {
    std::future::pending().await
}
