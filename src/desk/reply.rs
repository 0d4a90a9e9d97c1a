//! What goes back to a browser, and what it is told to keep to.

use std::fmt::Write;

use axum::body::{Body, Bytes};
use axum::http::{HeaderValue, Response, StatusCode, header};
use base64ct::{Base64, Encoding};
use sha2::{Digest, Sha256};

/// An answer before it is sent.
#[derive(Clone, Debug)]
pub struct Reply {
    pub status: StatusCode,
    pub media: &'static str,
    pub body: Bytes,
    /// Other headers, by name.
    pub headers: Vec<(&'static str, String)>,
    pub policy: Policy,
}

/// What a browser may do with it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Policy {
    /// Show it.
    Page,
    /// Run the script of the field page, which talks to this desk alone.
    Field,
    /// Run it beside the field page.
    Worker,
}

pub const HTML: &str = "text/html; charset=utf-8";

impl Reply {
    pub fn page(status: StatusCode, body: impl Into<Bytes>) -> Self {
        Self::of(status, HTML, body.into())
    }

    /// To be opened by the browser in place of what it asked for.
    pub fn see(address: String) -> Self {
        Self::page(StatusCode::SEE_OTHER, String::new()).header("location", address)
    }

    /// A file to be kept.
    pub fn download(name: &str, media: &'static str, body: Vec<u8>) -> Self {
        let kept = format!("attachment; filename=\"{name}\"");
        Self::of(StatusCode::OK, media, body.into()).header("content-disposition", kept)
    }

    /// Something that never changes while the program runs.
    pub fn fixed(media: &'static str, body: String) -> Self {
        let kept = "max-age=3600".to_owned();
        Self::of(StatusCode::OK, media, body.into()).header("cache-control", kept)
    }

    /// For the script of the field page.
    pub fn json(status: StatusCode, value: &serde_json::Value) -> Self {
        Self::of(status, "application/json", value.to_string().into())
    }

    fn of(status: StatusCode, media: &'static str, body: Bytes) -> Self {
        Self { status, media, body, headers: Vec::new(), policy: Policy::Page }
    }

    pub fn under(self, policy: Policy) -> Self {
        Self { policy, ..self }
    }

    pub fn header(mut self, name: &'static str, value: String) -> Self {
        self.headers.push((name, value));
        self
    }

    /// With all that a browser is told to keep to.
    pub fn sent(self) -> Response<Body> {
        let mut headers = vec![
            ("content-type", self.media.to_owned()),
            ("x-content-type-options", "nosniff".to_owned()),
            ("x-frame-options", "DENY".to_owned()),
            ("referrer-policy", "same-origin".to_owned()),
            ("cross-origin-opener-policy", "same-origin".to_owned()),
            ("cross-origin-resource-policy", "same-origin".to_owned()),
            (
                "content-security-policy",
                self.policy.text(&String::from_utf8_lossy(&self.body), self.media == HTML),
            ),
        ];
        if !self.headers.iter().any(|(name, _)| *name == "cache-control") {
            headers.push(("cache-control", "no-store".to_owned()));
        }
        let mut response = Response::new(Body::from(self.body));
        *response.status_mut() = self.status;
        for (name, value) in headers.into_iter().chain(self.headers) {
            let name = header::HeaderName::from_static(name);
            // A name that no header can bear is left out: it would end the header.
            if let Ok(value) = HeaderValue::from_str(&value) {
                response.headers_mut().append(name, value);
            }
        }
        response
    }
}

impl Policy {
    /// No style but served sheets and those that the program itself wrote into this page, each by
    /// its hash (CSP level 3), and no script that stands in it.
    fn text(self, body: &str, is_page: bool) -> String {
        let runs = match self {
            Self::Page => "form-action 'self'",
            Self::Field => {
                "script-src 'self'; connect-src 'self'; worker-src 'self'; manifest-src 'self'; \
                 form-action 'none'"
            }
            Self::Worker => "connect-src 'self'; form-action 'none'",
        };
        let styles = styles(body, is_page);
        format!(
            "default-src 'none'; style-src 'self'{styles}; img-src 'self' data:; {runs}; \
             base-uri 'none'; frame-ancestors 'none'"
        )
    }
}

fn styles(body: &str, is_page: bool) -> String {
    let mut styles = String::new();
    for style in body.split("<style>").skip(1).filter(|_| is_page) {
        let style = style.split("</style>").next().unwrap_or_default();
        let hash = Base64::encode_string(Sha256::digest(style.as_bytes()).as_slice());
        let source = format!(" 'sha256-{hash}'");
        if !styles.contains(&source) {
            let _ = write!(styles, "{source}");
        }
    }
    styles
}
