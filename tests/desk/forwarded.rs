//! A proxy in front: what it says of whoever it passes on opens nothing.

use super::served::{Desk, folder, stintbook};

const SAID: [&str; 6] = [
    "Forwarded: for=127.0.0.1;host=localhost;proto=https",
    "Via: 1.1 hill.example",
    "X-Forwarded-For: 127.0.0.1",
    "X-Forwarded-Host: localhost",
    "X-Forwarded-Proto: https",
    "X-Real-IP: 127.0.0.1",
];

#[test]
fn behind_a_proxy_nobody_comes_in_without_an_account() {
    let folder = folder();
    let refused = stintbook(folder.path(), &["--book", "book.sqlite", "serve", "--behind-tls"]);
    let told = String::from_utf8(refused.stderr).unwrap();
    assert_eq!(refused.status.code(), Some(2), "{told}");
    assert!(told.contains("nobody would have to sign in"), "{told}");
    // Nor where a proxy was put in front of a desk that knows of none.
    let desk = Desk::on(folder, &[]);
    for said in SAID {
        let get = format!("GET /week HTTP/1.1\r\nHost: {}\r\n{said}\r\n", desk.host);
        let reply = desk.sends(&get, "");
        assert_eq!(reply.header("location"), Some("/sign-in?back=%2Fweek"), "{said}");
        let post = format!(
            "POST /cut HTTP/1.1\r\nHost: {}\r\n{said}\r\n\
             Content-Type: application/x-www-form-urlencoded\r\n",
            desk.host
        );
        assert_eq!(desk.sends(&post, "amount=650g").status, 403, "{said}");
    }
    assert_eq!(desk.get("/week").status, 200);
}

#[test]
fn a_forwarded_name_or_scheme_is_not_believed() {
    let folder = folder();
    let added = ["--book", "book.sqlite", "access", "add", "Ida", "--as", "keeper"];
    assert!(stintbook(folder.path(), &added).status.success());
    let desk = Desk::on(folder, &[]);
    let hidden = |body: &str| {
        let token = body.split("name=\"token\" value=\"").nth(1).unwrap()[..64].to_owned();
        body.replace(&token, "")
    };
    let plain = hidden(&desk.get("/sign-in").body);
    for said in SAID {
        let get = format!("GET /sign-in HTTP/1.1\r\nHost: {}\r\n{said}\r\n", desk.host);
        let reply = desk.sends(&get, "");
        assert_eq!(hidden(&reply.body), plain, "{said}");
        assert!(!reply.header("set-cookie").unwrap().contains("Secure"), "{said}");
        let other = format!("GET /sign-in HTTP/1.1\r\nHost: hill.example\r\n{said}\r\n");
        assert_eq!(desk.sends(&other, "").status, 421, "{said}");
        let from = format!(
            "POST /sign-in HTTP/1.1\r\nHost: {}\r\nOrigin: http://hill.example\r\n\
             X-Forwarded-Host: hill.example\r\n{said}\r\n\
             Content-Type: application/x-www-form-urlencoded\r\n",
            desk.host
        );
        let reply = desk.sends(&from, "name=Ida");
        assert!(reply.body.contains("Sent from elsewhere"), "{said}");
    }
}

#[cfg(not(feature = "tls"))]
#[test]
fn a_build_without_tls_says_how_to_come_by_one() {
    let folder = folder();
    std::fs::write(folder.path().join("own.pem"), "").unwrap();
    let words = ["--book", "book.sqlite", "serve", "--tls-cert", "own.pem", "--tls-key", "own.pem"];
    let refused = stintbook(folder.path(), &words);
    let told = String::from_utf8(refused.stderr).unwrap();
    assert_eq!(refused.status.code(), Some(2), "{told}");
    assert!(told.contains("built without TLS") && told.contains("--features tls"), "{told}");
}
