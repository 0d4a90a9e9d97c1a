//! A line to the server that breaks: after so many bytes it drops, closes on one side alone, or
//! goes silent in both directions.

use std::io::{Read, Write};
use std::net::{Shutdown, TcpListener, TcpStream};
use std::os::unix::net::UnixStream;
use std::path::Path;
use std::sync::{Arc, Mutex};
use std::thread;
use std::time::Duration;

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Break {
    /// Both sides are told that the line is gone.
    Drop,
    /// The server's side stays open, as where a wall between forgets a connection.
    CloseHalf,
    /// Both sides stay open, and nothing comes through any more.
    Stall,
}

impl Break {
    pub const ALL: [Self; 3] = [Self::Drop, Self::CloseHalf, Self::Stall];
}

pub struct Line {
    port: u16,
    state: Arc<Mutex<State>>,
}

/// What has to come from the client before the line breaks.
#[derive(Clone, Copy)]
enum When {
    /// So many bytes more.
    Bytes(usize),
    /// So many statements more that begin with these words.
    Statement(&'static str, usize),
}

#[derive(Default)]
struct State {
    next: Option<(When, Break)>,
    breaks: usize,
}

impl Line {
    pub fn to(socket: &Path) -> Self {
        let listener = TcpListener::bind("127.0.0.1:0").unwrap();
        let port = listener.local_addr().unwrap().port();
        let state = Arc::<Mutex<State>>::default();
        let (socket, of_line) = (socket.to_owned(), state.clone());
        thread::spawn(move || {
            for client in listener.incoming().flatten() {
                join(client, &socket, &of_line);
            }
        });
        Self { port, state }
    }

    /// By this line; who asks does not wait longer than 6 s for an answer.
    pub fn address(&self, database: &str) -> String {
        format!("postgres://postgres@127.0.0.1:{}/{database}?wait=6", self.port)
    }

    /// Once, after so many more bytes from the client; what is connected later stays whole.
    pub fn break_after(&self, bytes: usize, how: Break) {
        self.state.lock().unwrap().next = Some((When::Bytes(bytes), how));
    }

    /// Once, before a statement of these words gets there for that time.
    pub fn break_before(&self, statement: &'static str, time: usize, how: Break) {
        self.state.lock().unwrap().next = Some((When::Statement(statement, time), how));
    }

    pub fn breaks(&self) -> usize {
        self.state.lock().unwrap().breaks
    }
}

impl State {
    /// How many of these bytes still go through, and what comes then.
    fn passes(&mut self, bytes: &[u8]) -> (usize, Option<Break>) {
        let Some((when, how)) = self.next else { return (bytes.len(), None) };
        let (through, left) = match when {
            When::Bytes(left) if left <= bytes.len() => (left, None),
            When::Bytes(left) => (bytes.len(), Some(When::Bytes(left - bytes.len()))),
            // A question goes out alone: what begins with it begins here, behind its length.
            When::Statement(words, time) => match bytes.get(5..5 + words.len()) {
                Some(start) if start == words.as_bytes() && time == 1 => (0, None),
                Some(start) if start == words.as_bytes() => {
                    (bytes.len(), Some(When::Statement(words, time - 1)))
                }
                _ => (bytes.len(), Some(when)),
            },
        };
        self.next = left.map(|when| (when, how));
        self.breaks += usize::from(left.is_none());
        (through, left.is_none().then_some(how))
    }
}

fn join(client: TcpStream, socket: &Path, state: &Arc<Mutex<State>>) {
    // While the server starts there is nobody behind the line.
    let Ok(server) = UnixStream::connect(socket) else { return };
    let (mut from, mut to) = (client.try_clone().unwrap(), server.try_clone().unwrap());
    let of_line = state.clone();
    let is_silent = Arc::<Mutex<bool>>::default();
    let silenced = is_silent.clone();
    thread::spawn(move || {
        let mut bytes = [0; 512];
        while let Ok(read @ 1..) = from.read(&mut bytes) {
            let (passing, broken) = of_line.lock().unwrap().passes(&bytes[..read]);
            // What was under way gets there in part.
            let is_sent = to.write_all(&bytes[..passing]).is_ok();
            match broken {
                None if is_sent => {}
                None => return,
                Some(Break::Drop) => {
                    let _ = from.shutdown(Shutdown::Both);
                    let _ = to.shutdown(Shutdown::Both);
                    return;
                }
                Some(Break::CloseHalf) => {
                    let _ = from.shutdown(Shutdown::Both);
                    keep(to);
                    return;
                }
                Some(Break::Stall) => {
                    *silenced.lock().unwrap() = true;
                    // Until the client has enough of it.
                    while let Ok(1..) = from.read(&mut bytes) {}
                    keep(to);
                    return;
                }
            }
        }
        let _ = to.shutdown(Shutdown::Both);
    });
    let (mut from, mut to) = (server, client);
    thread::spawn(move || {
        let mut bytes = [0; 4096];
        while let Ok(read @ 1..) = from.read(&mut bytes) {
            if !*is_silent.lock().unwrap() && to.write_all(&bytes[..read]).is_err() {
                break;
            }
        }
        if !*is_silent.lock().unwrap() {
            let _ = to.shutdown(Shutdown::Both);
        }
    });
}

/// The server is not told for longer than who asks by this line waits. Another thread reads from it
/// too, so that it is not closed by being dropped.
fn keep(to: UnixStream) {
    thread::sleep(Duration::from_secs(10));
    let _ = to.shutdown(Shutdown::Both);
}
