//! Someone at a browser: keeps a cookie, fills in forms, and follows where it is sent.

use super::served::{Desk, Reply};

#[derive(Debug)]
pub struct Browser<'d> {
    pub desk: &'d Desk,
    pub cookie: String,
}

impl<'d> Browser<'d> {
    pub fn at(desk: &'d Desk) -> Self {
        Self { desk, cookie: String::new() }
    }

    fn head(&self, first: &str) -> String {
        format!("{first} HTTP/1.1\r\nHost: {}\r\nCookie: {}\r\n", self.desk.host, self.cookie)
    }

    pub fn get(&mut self, path: &str) -> Reply {
        let reply = self.desk.sends(&self.head(&format!("GET {path}")), "");
        self.keeps(reply)
    }

    /// Sends off these fields, and nothing else.
    pub fn sends(&mut self, path: &str, fields: &[(&str, &str)]) -> Reply {
        let body: Vec<String> =
            fields.iter().map(|(name, value)| format!("{name}={}", encoded(value))).collect();
        let head = self.head(&format!("POST {path}"));
        let kind = "Content-Type: application/x-www-form-urlencoded\r\n";
        let reply = self.desk.sends(&format!("{head}{kind}"), &format!("{}&", body.join("&")));
        self.keeps(reply)
    }

    /// As the script of a field page sends what was recorded.
    pub fn writes(&mut self, path: &str, token: &str, body: &str) -> Reply {
        let head = self.head(&format!("POST {path}"));
        let kind = format!("Content-Type: application/json\r\nX-Stintbook-Token: {token}\r\n");
        let reply = self.desk.sends(&format!("{head}{kind}"), body);
        self.keeps(reply)
    }

    /// Sends a file along with the form that asks for one.
    pub fn brings(&mut self, token: &str, name: &str, bytes: &[u8]) -> Reply {
        let head = self.head("POST /bring");
        let kind = "Content-Type: multipart/form-data; boundary=gate\r\n";
        let part = |what: &str| format!("--gate\r\nContent-Disposition: form-data; {what}\r\n\r\n");
        let token = format!("{}{token}\r\n", part("name=\"token\""));
        let file = part(&format!("name=\"file\"; filename=\"{name}\""));
        let body = [token.as_bytes(), file.as_bytes(), bytes, b"\r\n--gate--\r\n"].concat();
        let length = format!("Content-Length: {}\r\nConnection: close\r\n\r\n", body.len());
        let reply = self.desk.raw(&[format!("{head}{kind}{length}").as_bytes(), &body].concat());
        self.keeps(reply)
    }

    fn keeps(&mut self, reply: Reply) -> Reply {
        if let Some(cookie) = reply.header("set-cookie") {
            self.cookie = cookie.split(';').next().unwrap().to_owned();
        }
        reply
    }

    /// Opens the form at `path`, fills it in and sends it off; what comes back is not followed.
    pub fn fills(&mut self, path: &str, fields: &[(&str, &str)]) -> Reply {
        let form = self.get(path);
        self.again(&form, path, fields)
    }

    /// Sends off a form that is open already.
    pub fn again(&mut self, form: &Reply, path: &str, fields: &[(&str, &str)]) -> Reply {
        let hidden = hidden(&form.body);
        let mut all: Vec<(&str, &str)> =
            hidden.iter().map(|(name, value)| (name.as_str(), value.as_str())).collect();
        all.extend(fields);
        self.sends(path.split('?').next().unwrap(), &all)
    }

    /// The page that a reply sends to.
    pub fn follows(&mut self, reply: &Reply) -> Reply {
        assert_eq!(reply.status, 303, "{}", reply.body);
        let to = reply.header("location").unwrap().to_owned();
        self.get(&to)
    }

    /// The receipt of a deed.
    pub fn does(&mut self, path: &str, fields: &[(&str, &str)]) -> String {
        let sent = self.fills(path, fields);
        let receipt = self.follows(&sent);
        assert_eq!(receipt.status, 200);
        receipt.body
    }
}

/// The hidden fields of a page.
pub fn hidden(page: &str) -> Vec<(String, String)> {
    let inputs = page.split("<input type=\"hidden\" name=\"").skip(1);
    let read = |input: &str| {
        let (name, rest) = input.split_once("\" value=\"").unwrap();
        let value = rest.split('"').next().unwrap();
        let value = value.replace("&quot;", "\"").replace("&lt;", "<").replace("&gt;", ">");
        (name.to_owned(), value.replace("&amp;", "&"))
    };
    inputs.map(read).collect()
}

pub fn encoded(text: &str) -> String {
    let plain = |byte: u8| byte.is_ascii_alphanumeric();
    text.bytes()
        .map(|byte| match plain(byte) {
            true => char::from(byte).to_string(),
            false => format!("%{byte:02X}"),
        })
        .collect()
}
