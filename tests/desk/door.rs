//! What is refused before anything is asked.

use std::io::{Read, Write};
use std::net::TcpStream;
use std::time::{Duration, Instant};

use super::served::{Desk, stintbook};

#[test]
fn nobody_elsewhere_reaches_a_desk_without_accounts() {
    let folder = tempfile::TempDir::new().unwrap();
    for address in ["0.0.0.0:0", "192.0.2.1:7717", "[::]:0"] {
        let refused = stintbook(folder.path(), &["serve", "--listen", address]);
        let said = String::from_utf8(refused.stderr).unwrap();
        assert_eq!(refused.status.code(), Some(2), "{said}");
        assert!(said.contains("can be reached from other machines"), "{said}");
    }
}

#[test]
fn another_name_for_this_machine_is_not_answered() {
    let desk = Desk::open();
    let port = desk.address.port();
    let asks = |hosts: &str| desk.sends(&format!("GET /week HTTP/1.1\r\n{hosts}"), "").status;
    assert_eq!(asks(&format!("Host: localhost:{port}\r\n")), 200);
    assert_eq!(asks(&format!("Host: hill.example:{port}\r\n")), 421);
    assert_eq!(asks(""), 421);
    assert_eq!(asks(&format!("Host: localhost:{port}\r\nHost: localhost:{port}\r\n")), 421);
    assert_eq!(asks("Host: \r\n"), 421);
}

#[test]
fn every_reply_forbids_script_frames_and_guessing() {
    let desk = Desk::open();
    for path in ["/week", "/style.css", "/nothing", "/walk/sheet?walk=creek+walk", "/week.csv"] {
        let reply = desk.get(path);
        let policy = reply.header("content-security-policy").unwrap();
        assert!(policy.starts_with("default-src 'none'; style-src 'self'"), "{policy}");
        assert!(policy.contains("frame-ancestors 'none'") && policy.contains("base-uri 'none'"));
        assert!(!policy.contains("script-src") && !policy.contains("unsafe"), "{policy}");
        assert_eq!(reply.header("x-content-type-options"), Some("nosniff"), "{path}");
        assert_eq!(reply.header("x-frame-options"), Some("DENY"), "{path}");
        assert!(!reply.body.contains("<script"), "{path}");
    }
    assert_eq!(desk.get("/week").header("cache-control"), Some("no-store"));
}

#[test]
fn only_the_known_addresses_lead_anywhere() {
    let desk = Desk::open();
    for path in
        ["/../book.sqlite", "/book.sqlite", "/week/", "/%2e%2e/book.sqlite", "//week", "/week%00"]
    {
        let reply = desk.get(path);
        assert!(matches!(reply.status, 400 | 404), "{path}: {}", reply.status);
        assert!(!reply.body.contains("SQLite"), "{path}");
    }
    let put = format!("PUT /week HTTP/1.1\r\nHost: {}\r\n", desk.address);
    assert_eq!(desk.sends(&put, "").status, 405);
}

#[test]
fn nothing_typed_is_taken_for_an_option() {
    let desk = Desk::open();
    for path in
        ["/patch?patch=--book%3D%2Fetc%2Fpasswd", "/crops?crop=--format%3Djson", "/crops?crop=-h"]
    {
        let reply = desk.get(path);
        assert!(matches!(reply.status, 404 | 422), "{path}: {}", reply.status);
        assert_eq!(reply.header("content-type"), Some("text/html; charset=utf-8"));
    }
}

#[test]
fn what_is_typed_never_becomes_markup() {
    let desk = Desk::open();
    let script = "%3Cscript%3Ealert(1)%3C%2Fscript%3E%22%27";
    for path in [
        format!("/crops?crop={script}"),
        format!("/patch?patch={script}"),
        format!("/week?people={script}"),
        format!("/boxes?month={script}&count={script}&each={script}"),
        format!("/{script}"),
    ] {
        let body = desk.get(&path).body;
        assert!(!body.contains("<script"), "{path}");
        assert!(!body.contains("=\"<") && !body.contains("\"\"'"), "{path}");
    }
}

#[test]
fn a_form_of_ten_megabytes_is_refused() {
    let desk = Desk::open();
    let head = format!(
        "POST /week HTTP/1.1\r\nHost: {}\r\nContent-Type: application/x-www-form-urlencoded\r\n",
        desk.address
    );
    let reply = desk.sends(&head, &"a".repeat(10 << 20));
    assert!(matches!(reply.status, 413 | 0), "{}", reply.status);
    let long =
        format!("GET /week?people={} HTTP/1.1\r\nHost: {}\r\n", "9".repeat(1 << 20), desk.address);
    assert!(matches!(desk.sends(&long, "").status, 400..500 | 0));
    assert_eq!(desk.get("/week").status, 200);
}

#[test]
fn whoever_sends_slowly_keeps_nobody_waiting() {
    let desk = Desk::open();
    let slow: Vec<TcpStream> = (0..40)
        .map(|_| {
            let mut stream = TcpStream::connect(desk.address).unwrap();
            stream.write_all(b"GET /week HTTP/1.1\r\nHost: loc").unwrap();
            stream
        })
        .collect();
    let begun = Instant::now();
    assert_eq!(desk.get("/due").status, 200);
    assert!(begun.elapsed() < Duration::from_secs(9), "{:?}", begun.elapsed());
    let mut first = slow.into_iter().next().unwrap();
    first.set_read_timeout(Some(Duration::from_secs(30))).unwrap();
    let mut rest = Vec::new();
    let _ = first.read_to_end(&mut rest);
    assert!(begun.elapsed() < Duration::from_secs(25), "it is let go: {:?}", begun.elapsed());
}

#[cfg(unix)]
#[test]
fn it_stops_when_it_is_told_to() {
    let desk = Desk::open();
    assert_eq!(desk.get("/week").status, 200);
    assert!(desk.stopped());
}
