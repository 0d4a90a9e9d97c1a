//! A desk that speaks TLS itself, by a certificate of its own making.

use std::io::{Read, Write};
use std::net::TcpStream;
use std::time::{Duration, Instant};

use super::browser::Browser;
use super::served::{Desk, folder, stintbook};
use super::trust::{Trust, certified};

fn secure() -> Desk {
    let folder = folder();
    certified(folder.path(), "own", &["localhost", "127.0.0.1"]);
    let trust = Trust::of(&folder.path().join("own.pem"), "localhost");
    let mut desk = Desk::on(folder, &["--tls-cert", "own.pem", "--tls-key", "own.key"]);
    desk.secure = Some(trust);
    desk
}

#[test]
fn over_tls_the_same_pages_come_and_cookies_never_go_without_it() {
    let desk = secure();
    let week = desk.get("/week");
    assert_eq!(week.status, 200);
    assert!(week.body.contains("Mill bank"));
    let mut ida = Browser::at(&desk);
    let form = ida.get("/cut?patch=Wendlestow%2FMill+bank");
    let cookie = form.header("set-cookie").unwrap();
    assert!(cookie.ends_with("; Secure") && cookie.contains("HttpOnly"), "{cookie}");
    let cut = [("patch", "Wendlestow/Mill bank"), ("amount", "650g"), ("by", "Ida")];
    let sent = ida.again(&form, "/cut", &cut);
    assert_eq!(ida.follows(&sent).status, 200);
    assert!(desk.typed(&["history", "mill bank"]).contains("650"));
    // The same name without TLS is somebody else.
    let from = |origin: &str| {
        let head = format!(
            "POST /cut HTTP/1.1\r\nHost: {0}\r\nOrigin: {origin}://{0}\r\n\
             Content-Type: application/x-www-form-urlencoded\r\n",
            desk.host
        );
        let said = desk.sends(&head, "a=b").body;
        said.contains("Sent from elsewhere")
    };
    assert!(from("http"));
    assert!(!from("https"));
    let without = Desk::open();
    let cookie = without.get("/cut");
    assert!(!cookie.header("set-cookie").unwrap().contains("Secure"));
}

#[test]
fn whoever_speaks_no_tls_is_told_nothing_and_keeps_nobody_waiting() {
    let mut desk = secure();
    let silent: Vec<TcpStream> =
        (0..40).map(|_| TcpStream::connect(desk.address).unwrap()).collect();
    let begun = Instant::now();
    assert_eq!(desk.get("/due").status, 200);
    assert!(begun.elapsed() < Duration::from_secs(9), "{:?}", begun.elapsed());
    let mut first = silent.into_iter().next().unwrap();
    first.set_read_timeout(Some(Duration::from_secs(30))).unwrap();
    let mut rest = Vec::new();
    let _ = first.read_to_end(&mut rest);
    assert!(rest.is_empty() && begun.elapsed() < Duration::from_secs(25), "{rest:?}");
    let trust = desk.secure.take();
    let plain = desk.get("/week");
    assert_eq!((plain.status, &*plain.body), (0, ""), "{}", plain.head);
    // Nor is one who trusts another.
    certified(desk.folder.path(), "other", &["localhost"]);
    let other = Trust::of(&desk.folder.path().join("other.pem"), "localhost");
    let mut line = other.over(TcpStream::connect(desk.address).unwrap());
    assert!(line.write_all(b"GET /week HTTP/1.1\r\n\r\n").is_err());
    desk.secure = trust;
    assert_eq!(desk.get("/week").status, 200);
}

#[test]
fn a_certificate_that_is_none_is_named_before_anyone_is_served() {
    let folder = folder();
    let at = |name: &str| folder.path().join(name);
    certified(folder.path(), "own", &["localhost"]);
    certified(folder.path(), "other", &["localhost"]);
    std::fs::write(at("empty.pem"), "nothing\n").unwrap();
    std::fs::write(at("broken.pem"), "-----BEGIN CERTIFICATE-----\nAAAA\n").unwrap();
    for (certificate, key, said) in [
        ("none.pem", "own.key", "`none.pem` cannot be read"),
        ("own.pem", "none.key", "`none.key` cannot be read"),
        ("empty.pem", "own.key", "`empty.pem` has no certificate in it"),
        ("own.pem", "empty.pem", "`empty.pem` has no key in it"),
        ("broken.pem", "own.key", "`broken.pem` is no whole PEM file"),
        ("own.pem", "other.key", "`own.pem` and `other.key` do not fit together"),
    ] {
        let words = ["--book", "book.sqlite", "serve", "--tls-cert", certificate, "--tls-key", key];
        let refused =
            stintbook(folder.path(), &[&words[..], &["--listen", "127.0.0.1:0"]].concat());
        let told = String::from_utf8(refused.stderr).unwrap();
        assert_eq!(refused.status.code(), Some(2), "{told}");
        assert!(told.contains(said), "{said}: {told}");
        assert!(refused.stdout.is_empty());
    }
    let alone =
        stintbook(folder.path(), &["--book", "book.sqlite", "serve", "--tls-cert", "own.pem"]);
    assert_eq!(alone.status.code(), Some(2));
}
