//! A line to the server that breaks: after so many bytes it goes dead in both directions, or closes
//! on one side alone.

use std::io::{Read, Write};
use std::net::{Shutdown, TcpListener, TcpStream};
use std::os::unix::net::UnixStream;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::thread;

pub struct Line {
    port: u16,
    state: Arc<State>,
}

#[derive(Default)]
struct State {
    /// Bytes that still go through; 0 for any number.
    left: AtomicUsize,
    /// The server's side stays open, as where a wall between forgets a connection.
    half: AtomicBool,
    cuts: AtomicUsize,
}

impl Line {
    pub fn to(socket: &Path) -> Self {
        let listener = TcpListener::bind("127.0.0.1:0").unwrap();
        let port = listener.local_addr().unwrap().port();
        let state = Arc::new(State::default());
        let (socket, of_line) = (socket.to_owned(), state.clone());
        thread::spawn(move || {
            for client in listener.incoming().flatten() {
                join(client, &socket, &of_line);
            }
        });
        Self { port, state }
    }

    pub fn address(&self, database: &str) -> String {
        format!("postgres://postgres@127.0.0.1:{}/{database}", self.port)
    }

    /// Once, after so many more bytes from the client; what is connected later stays whole.
    pub fn cut_after(&self, bytes: usize, half: bool) {
        self.state.half.store(half, Ordering::SeqCst);
        self.state.left.store(bytes, Ordering::SeqCst);
    }

    pub fn cuts(&self) -> usize {
        self.state.cuts.load(Ordering::SeqCst)
    }
}

fn join(client: TcpStream, socket: &PathBuf, state: &Arc<State>) {
    let Ok(server) = UnixStream::connect(socket) else { return };
    let (mut from, mut to) = (client.try_clone().unwrap(), server.try_clone().unwrap());
    let of_line = state.clone();
    thread::spawn(move || {
        let mut bytes = [0; 512];
        while let Ok(read @ 1..) = from.read(&mut bytes) {
            let left = of_line.left.load(Ordering::SeqCst);
            if left > 0 && left <= read {
                // What was under way gets there in part.
                let _ = to.write_all(&bytes[..left]);
                of_line.left.store(0, Ordering::SeqCst);
                of_line.cuts.fetch_add(1, Ordering::SeqCst);
                let _ = from.shutdown(Shutdown::Both);
                if !of_line.half.load(Ordering::SeqCst) {
                    let _ = to.shutdown(Shutdown::Both);
                }
                return;
            }
            if left > 0 {
                of_line.left.store(left - read, Ordering::SeqCst);
            }
            if to.write_all(&bytes[..read]).is_err() {
                return;
            }
        }
        let _ = to.shutdown(Shutdown::Both);
    });
    let (mut from, mut to) = (server, client);
    thread::spawn(move || {
        let _ = std::io::copy(&mut from, &mut to);
        let _ = to.shutdown(Shutdown::Both);
    });
}
