//! The desk behind a proxy, by the very files of `sites/server/`, with other addresses and ports.

use std::fs;
use std::net::{SocketAddr, TcpListener, TcpStream};
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use tempfile::TempDir;

use super::access::PASSPHRASE;
use super::browser::Browser;
use super::served::{Desk, TODAY, folder, stintbook};
use super::trust::{Trust, certified};

const UNIT: &str = include_str!("../../sites/server/stintbook.service");
const NGINX: &str = include_str!("../../sites/server/nginx.conf");
const CADDY: &str = include_str!("../../sites/server/Caddyfile");

/// Ends with the test.
struct Proxy(Child);

impl Drop for Proxy {
    fn drop(&mut self) {
        // Asked first, so that it takes its own workers along.
        let _ = Command::new("kill").arg(self.0.id().to_string()).status();
        let _ = self.0.wait();
    }
}

fn is_here(program: &str) -> bool {
    let tried =
        Command::new(program).arg("-v").stdout(Stdio::null()).stderr(Stdio::null()).status();
    let is_here = tried.is_ok() || Command::new(program).arg("version").output().is_ok();
    if !is_here {
        skipped(program);
    }
    is_here
}

#[allow(clippy::print_stderr, reason = "a test that is skipped says so")]
fn skipped(program: &str) {
    eprintln!("SKIPPED: no {program} here");
}

fn free_port() -> u16 {
    TcpListener::bind("127.0.0.1:0").unwrap().local_addr().unwrap().port()
}

/// With this in the place of that, which must stand in it.
fn with(text: &str, that: &str, this: &str) -> String {
    assert!(text.contains(that), "`{that}` is not in the example");
    text.replace(that, this)
}

/// The desk that the unit starts, on a copy of the demo's book, and the key of a keeper's link.
fn of_the_unit(port: u16) -> (Desk, String) {
    let folder = folder();
    let added = ["--book", "book.sqlite", "access", "add", "Ida", "--as", "keeper"];
    let told = String::from_utf8(stintbook(folder.path(), &added).stdout).unwrap();
    let key = told.split("key=").nth(1).unwrap().trim().to_owned();
    let line = UNIT.lines().find_map(|line| line.strip_prefix("ExecStart=")).unwrap();
    let line = with(line, "/var/lib/stintbook/stintbook.sqlite", "book.sqlite");
    let line = with(&line, "/usr/local/bin/stintbook ", "");
    let words: Vec<&str> = line.split_whitespace().chain(["--on", TODAY]).collect();
    let mut desk = Desk::started(folder, &words);
    desk.host = format!("hill.example:{port}");
    (desk, key)
}

fn answers(port: u16) {
    let begun = Instant::now();
    while TcpStream::connect(("127.0.0.1", port)).is_err() {
        assert!(begun.elapsed() < Duration::from_secs(20), "the proxy does not come up");
        std::thread::sleep(Duration::from_millis(20));
    }
}

/// What must hold behind any proxy; `own` is where the desk itself listens.
fn holds(desk: &Desk, own: SocketAddr, key: &str) {
    let mut ida = Browser::at(desk);
    let form = ida.get(&format!("/link?key={key}"));
    let cookie = form.header("set-cookie").unwrap();
    assert!(cookie.ends_with("; Secure"), "{cookie}");
    let entered = ida.again(&form, "/link", &[("passphrase", PASSPHRASE)]);
    assert_eq!(entered.header("location"), Some("/"), "{}", entered.body);
    let week = ida.get("/week");
    assert!(week.status == 200 && week.body.contains("Mill bank"));
    assert!(ida.get("/field").body.contains("keeps itself there"), "the address is trusted");
    let cut = [("patch", "Wendlestow/Mill bank"), ("amount", "650g")];
    let receipt = ida.does("/cut?patch=Wendlestow%2FMill+bank", &cut);
    assert!(receipt.contains("Recorded as "), "{receipt}");
    // A browser says where its page is from; the proxy must not make it another.
    let posts = |origin: &str| {
        let head = format!(
            "POST /sign-in HTTP/1.1\r\nHost: {}\r\nOrigin: {origin}\r\n\
             Content-Type: application/x-www-form-urlencoded\r\n",
            desk.host
        );
        desk.sends(&head, "name=Ida").body.contains("Sent from elsewhere")
    };
    assert!(!posts(&format!("https://{}", desk.host)));
    assert!(posts("https://dale.example") && posts(&format!("http://{}", desk.host)));
    // Whatever else is forwarded, and by which name it is called, opens nothing.
    let host = |host: &str, more: &str| {
        desk.sends(&format!("GET /week HTTP/1.1\r\nHost: {host}\r\n{more}"), "")
    };
    let other = host("dale.example", "");
    assert!(other.status == 421 || other.body.is_empty(), "{}", other.body);
    let forwarded = "X-Forwarded-Host: dale.example\r\nX-Forwarded-For: 127.0.0.1\r\n";
    let sent_on = host(&desk.host, forwarded);
    assert_eq!(sent_on.header("location"), Some("/sign-in?back=%2Fweek"), "{}", sent_on.head);
    let head = format!(
        "POST /sign-in HTTP/1.1\r\nHost: {}\r\n\
         Content-Type: application/x-www-form-urlencoded\r\n",
        desk.host
    );
    let large = desk.sends(&head, &"a".repeat(10 << 20));
    assert!(matches!(large.status, 413 | 502 | 0), "{}", large.status);
    assert_eq!(ida.get("/due").status, 200);
    assert!(own.ip().is_loopback());
}

#[test]
fn the_example_for_nginx_serves_the_desk() {
    if !is_here("nginx") {
        return;
    }
    let (port, plain) = (free_port(), free_port());
    let (mut desk, key) = of_the_unit(port);
    let own = desk.address;
    let place = TempDir::new().unwrap();
    certified(place.path(), "own", &["hill.example"]);
    let at = |name: &str| place.path().join(name).display().to_string();
    let site = with(NGINX, "listen 443 ssl;", &format!("listen 127.0.0.1:{port} ssl;"));
    let site = with(&site, "listen 80;", &format!("listen 127.0.0.1:{plain};"));
    let site = with(&site, "127.0.0.1:7717", &own.to_string());
    let site = with(&site, "/etc/ssl/hill.example.pem", &at("own.pem"));
    let site = with(&site, "/etc/ssl/hill.example.key", &at("own.key"));
    let kinds = ["client_body", "proxy", "fastcgi", "uwsgi", "scgi"];
    let kept = kinds.map(|kind| format!("{kind}_temp_path {};", at(kind))).join("\n");
    let whole = format!(
        "daemon off;\npid {};\nerror_log {};\nevents {{}}\nhttp {{\naccess_log off;\n{kept}\n{site}\n}}\n",
        at("pid"),
        at("error.log")
    );
    fs::write(at("nginx.conf"), whole).unwrap();
    let mut started = Command::new("nginx");
    started.args(["-e", &at("error.log"), "-c", &at("nginx.conf")]);
    let _proxy = Proxy(quietly(&mut started).spawn().unwrap());
    answers(port);
    desk.secure = Some(Trust::of(&place.path().join("own.pem"), "hill.example"));
    desk.address = ([127, 0, 0, 1], port).into();
    holds(&desk, own, &key);
    // Whoever comes without TLS is sent to it.
    desk.secure = None;
    desk.address = ([127, 0, 0, 1], plain).into();
    desk.host = "hill.example".to_owned();
    let sent_on = desk.get("/week?people=9");
    assert_eq!(sent_on.header("location"), Some("https://hill.example/week?people=9"));
}

#[test]
fn the_example_for_caddy_serves_the_desk() {
    if !is_here("caddy") {
        return;
    }
    let port = free_port();
    let (mut desk, key) = of_the_unit(port);
    let own = desk.address;
    let place = TempDir::new().unwrap();
    let at = |name: &str| place.path().join(name).display().to_string();
    let site = with(CADDY, "hill.example {", &format!("hill.example:{port} {{"));
    let site = with(&site, "127.0.0.1:7717", &own.to_string());
    // A certificate of its own making, for nobody vouches for an example.
    let head = format!(
        "{{\n\tadmin off\n\tlocal_certs\n\tskip_install_trust\n\tauto_https disable_redirects\n\
         \tstorage file_system {}\n\tdefault_bind 127.0.0.1\n}}\n",
        at("storage")
    );
    fs::write(at("Caddyfile"), head + &site).unwrap();
    let mut started = Command::new("caddy");
    started.args(["run", "--adapter", "caddyfile", "--config", &at("Caddyfile")]);
    started.env("HOME", place.path()).env("XDG_CONFIG_HOME", place.path());
    let _proxy = Proxy(quietly(&mut started).spawn().unwrap());
    answers(port);
    let root = place.path().join("storage/pki/authorities/local/root.crt");
    let begun = Instant::now();
    while !root.is_file() {
        assert!(begun.elapsed() < Duration::from_secs(20), "it makes no certificate");
        std::thread::sleep(Duration::from_millis(20));
    }
    desk.secure = Some(Trust::of(&root, "hill.example"));
    desk.address = ([127, 0, 0, 1], port).into();
    while desk.get("/sign-in").status != 200 {
        assert!(begun.elapsed() < Duration::from_secs(20), "it certifies nothing");
        std::thread::sleep(Duration::from_millis(20));
    }
    holds(&desk, own, &key);
}

fn quietly(command: &mut Command) -> &mut Command {
    command.stdout(Stdio::null()).stderr(Stdio::null())
}

#[test]
fn systemd_finds_nothing_wrong_with_the_unit() {
    let place = TempDir::new().unwrap();
    let file = place.path().join("stintbook.service");
    let own = env!("CARGO_BIN_EXE_stintbook");
    let unit = with(UNIT, "/usr/local/bin/stintbook --book", &format!("{own} --book"));
    fs::write(&file, unit).unwrap();
    let Some(said) = verified(&file) else { return skipped("systemd-analyze") };
    let own: Vec<&str> = said.lines().filter(|line| line.contains("stintbook")).collect();
    assert!(own.is_empty(), "{said}");
    // It would have found something.
    fs::write(&file, with(UNIT, "ProtectSystem=strict", "ProtectSystm=strict")).unwrap();
    assert!(verified(&file).unwrap().contains("ProtectSystm"));
}

/// What systemd says of a unit; `None` where there is no systemd.
fn verified(unit: &Path) -> Option<String> {
    let told = Command::new("systemd-analyze").arg("verify").arg(unit).output().ok()?;
    Some(String::from_utf8_lossy(&told.stderr).into_owned())
}
