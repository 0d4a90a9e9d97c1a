//! What the desk costs: requests a second for `/week`, `/week?site=…` and `/patch` on books of growing
//! size, by 1, 8 and 64 browsers at a time, beside a bare handler that returns the same bytes over the
//! same connections in the same run. Each is asked while nothing changes, and anew: so that no two ask
//! the same, and no page that was kept answers any.
//!
//! `cargo bench --bench desk` takes books of 25, 1,000 and 10,000 patches; `-- 1000` another. Nothing
//! passes or fails here.

#![expect(clippy::unwrap_used, clippy::print_stdout, reason = "a benchmark may stop at once")]

mod synthetic;

use std::io::{BufRead, BufReader, Read, Write};
use std::net::{SocketAddr, TcpStream};
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::thread;
use std::time::{Duration, Instant};

use axum::Router;
use axum::routing::get;
use hyper::server::conn::http1;
use hyper_util::rt::TokioIo;
use hyper_util::service::TowerToHyperService;
use synthetic::{Size, write_book};

const DAY: &str = "2027-03-15";
const CLIENTS: [usize; 3] = [1, 8, 64];
const TIME: Duration = Duration::from_secs(5);

fn main() {
    let sizes: Vec<usize> = std::env::args().filter_map(|word| word.parse().ok()).collect();
    let sizes = if sizes.is_empty() { vec![25, 1_000, 10_000] } else { sizes };
    let cores = thread::available_parallelism().map_or(1, usize::from);
    println!(
        "on {cores} cores, {} s each; bare is a handler that returns the same bytes",
        TIME.as_secs()
    );
    for patches in sizes {
        let folder = tempfile::tempdir().unwrap();
        let book = folder.path().join("book.sqlite");
        write_book(&book, Size { patches, surveys: 3 * patches, cuts: 10 * patches }, 2027);
        let desk = Desk::on(&book);
        println!("\n{patches} patches");
        println!(
            "  {:14} {:>7} {:>7} {:>9} {:>8} {:>8} {:>10} {:>8} {:>9} {:>8}",
            "", "kB", "clients", "a second", "p50 ms", "p99 ms", "bare", "times", "anew", "p99 ms"
        );
        for (name, path) in [
            ("week", "/week"),
            ("week of a site", "/week?site=site+0"),
            ("patch", "/patch?patch=site+0%2Fpatch+7"),
        ] {
            let body = Line::to(desk.address).asks(path);
            let bare = bare(body.clone());
            let mark = if path.contains('?') { '&' } else { '?' };
            let asked = AtomicUsize::new(0);
            let other = || format!("{path}{mark}asked={}", asked.fetch_add(1, Ordering::Relaxed));
            for clients in CLIENTS {
                let same = || path.to_owned();
                let (kept, bare) = (load(desk.address, &same, clients), load(bare, &same, clients));
                let anew = load(desk.address, &other, clients);
                println!(
                    "  {name:14} {:7} {clients:7} {:9.1} {:8.1} {:8.1} {:10.0} {:8.1} {:9.1} {:8.1}",
                    body.len() / 1000,
                    kept.a_second,
                    kept.p50,
                    kept.p99,
                    bare.a_second,
                    bare.a_second / kept.a_second,
                    anew.a_second,
                    anew.p99,
                );
            }
        }
        println!("  the desk held {} MB at most", desk.most_kib() / 1000);
    }
}

/// Ends when it is dropped.
struct Desk {
    address: SocketAddr,
    process: Child,
}

impl Desk {
    fn on(book: &Path) -> Self {
        let mut process = Command::new(env!("CARGO_BIN_EXE_stintbook"))
            .arg("--book")
            .arg(book)
            .args(["--on", DAY, "serve", "--listen", "127.0.0.1:0"])
            .stdout(Stdio::piped())
            .spawn()
            .unwrap();
        let mut said = String::new();
        BufReader::new(process.stdout.take().unwrap()).read_line(&mut said).unwrap();
        let address = said.split("://").nth(1).unwrap().split(' ').next().unwrap();
        Self { address: address.parse().unwrap(), process }
    }

    /// The most that it held so far; zero where the system does not tell.
    fn most_kib(&self) -> u64 {
        let status = std::fs::read_to_string(format!("/proc/{}/status", self.process.id()));
        let status = status.unwrap_or_default();
        let held = status.lines().find_map(|line| line.strip_prefix("VmHWM:"));
        held.and_then(|held| held.split_whitespace().next()?.parse().ok()).unwrap_or(0)
    }
}

impl Drop for Desk {
    fn drop(&mut self) {
        let _ = self.process.kill();
        let _ = self.process.wait();
    }
}

/// A handler that returns these bytes and does nothing else, until the run ends.
fn bare(body: Vec<u8>) -> SocketAddr {
    let listener = std::net::TcpListener::bind("127.0.0.1:0").unwrap();
    listener.set_nonblocking(true).unwrap();
    let address = listener.local_addr().unwrap();
    let router = Router::new().fallback(get(move || std::future::ready(body.clone())));
    thread::spawn(move || {
        let runtime = tokio::runtime::Builder::new_multi_thread().enable_all().build().unwrap();
        runtime.block_on(async move {
            let listener = tokio::net::TcpListener::from_std(listener).unwrap();
            while let Ok((stream, _)) = listener.accept().await {
                let service = TowerToHyperService::new(router.clone());
                tokio::spawn(http1::Builder::new().serve_connection(TokioIo::new(stream), service));
            }
        });
    });
    address
}

/// A browser's connection, kept open.
struct Line(BufReader<TcpStream>);

impl Line {
    fn to(address: SocketAddr) -> Self {
        let stream = TcpStream::connect(address).unwrap();
        stream.set_nodelay(true).unwrap();
        Self(BufReader::new(stream))
    }

    /// The body of an answer: a good one, or that it would have taken longer than the desk waits.
    fn asks(&mut self, path: &str) -> Vec<u8> {
        let request = format!("GET {path} HTTP/1.1\r\nHost: localhost\r\n\r\n");
        self.0.get_mut().write_all(request.as_bytes()).unwrap();
        let mut line = String::new();
        self.0.read_line(&mut line).unwrap();
        let is_known = ["HTTP/1.1 200", "HTTP/1.1 503"].iter().any(|known| line.starts_with(known));
        assert!(is_known, "{path}: {line}");
        let mut length = 0;
        while line.trim() != "" {
            line.clear();
            self.0.read_line(&mut line).unwrap();
            let lower = line.to_ascii_lowercase();
            if let Some(told) = lower.strip_prefix("content-length:") {
                length = told.trim().parse().unwrap();
            }
        }
        let mut body = vec![0; length];
        self.0.read_exact(&mut body).unwrap();
        body
    }
}

/// What so many at a time were answered; times in milliseconds.
struct Found {
    a_second: f64,
    p50: f64,
    p99: f64,
}

fn load(address: SocketAddr, path: &(impl Fn() -> String + Sync), clients: usize) -> Found {
    let begun = Instant::now();
    let all = thread::scope(|scope| {
        let one = || {
            let mut line = Line::to(address);
            let mut took = Vec::new();
            // Each asks once at least, however long it takes.
            while took.is_empty() || begun.elapsed() < TIME {
                let asked = Instant::now();
                std::hint::black_box(line.asks(&path()));
                took.push(asked.elapsed().as_secs_f64() * 1e3);
            }
            took
        };
        let clients: Vec<_> = (0..clients).map(|_| scope.spawn(one)).collect();
        clients.into_iter().flat_map(|client| client.join().unwrap()).collect::<Vec<f64>>()
    });
    let took = begun.elapsed().as_secs_f64();
    let mut all = all;
    all.sort_by(f64::total_cmp);
    let at = |part: f64| all[((all.len() - 1) as f64 * part).round() as usize];
    Found { a_second: all.len() as f64 / took, p50: at(0.5), p99: at(0.99) }
}
