//! From a request to its reply: what is refused at the door, and who is let through to what.

use std::net::IpAddr;
use std::sync::Arc;

use axum::body::{Body, to_bytes};
use axum::http::request::Parts;
use axum::http::{HeaderMap, Method, Request, Response, StatusCode, header};

use super::Desk;
use super::access::AccessError;
use super::ask::Shows;
use super::asks::asks;
use super::back::sign_in_first;
use super::hosts::Hosts;
use super::may::May;
use super::person::Person;
use super::reading::{self, not_found, plain};
use super::reply::Reply;
use super::request::Filled;
use super::routes::{FORM_MEDIA as FORM, Route, Takes, What};
use super::sessions::{COOKIE, Seat};
use super::signing;
use super::{bring, deed, exports, field, multipart, outbox};
use crate::report::page::STYLE;

/// The header in which a script sends the token of its session.
const TOKEN: &str = "x-stintbook-token";

/// What proxies add of whoever they pass on (RFC 7239, RFC 9110 7.6.3, and common practice). What
/// these say is never believed: anyone can write them. That they are there shuts, and opens nothing.
const PASSED_ON: [&str; 6] =
    ["forwarded", "via", "x-forwarded-for", "x-forwarded-host", "x-forwarded-proto", "x-real-ip"];

const OWN_STYLE: &str = include_str!("desk.css");

/// Answers one request; `route` is what is at its path, if anything.
pub async fn answer(
    desk: Arc<Desk>,
    route: Option<Route>,
    request: Request<Body>,
) -> Response<Body> {
    let (parts, body) = request.into_parts();
    let takes = route.map_or(What::Start, |route| route.what).takes();
    if let Err(refusal) = may_enter(&desk, &parts, takes) {
        return refusal.sent();
    }
    let Ok(body) = to_bytes(body, takes.most).await else {
        let said = format!("What is sent here may have {} at most.", takes.said);
        let large = "That is too large";
        return plain(&Person::nobody(), StatusCode::PAYLOAD_TOO_LARGE, large, &said).sent();
    };
    let filled = match parts.method {
        Method::POST if takes.media != FORM => Filled::default(),
        Method::POST => Filled::read(&body),
        _ => Filled::read(parts.uri.query().unwrap_or_default().as_bytes()),
    };
    let is_sent = parts.method == Method::POST;
    let said_of = |name: &str| parts.headers.get(name)?.to_str().ok().map(str::to_owned);
    let sent = Sent {
        is_sent,
        address: parts.uri.path_and_query().map_or_else(String::new, ToString::to_string),
        cookie: cookie(&parts.headers).map(str::to_owned),
        token: said_of(TOKEN),
        is_trusted: desk.is_secure || said_of("host").is_some_and(|host| is_this_machine(&host)),
        is_passed_on: PASSED_ON.iter().any(|name| parts.headers.contains_key(*name)),
        filled,
        media: said_of("content-type").unwrap_or_default(),
        body: body.to_vec(),
    };
    // Who writes waits here for who writes, so that no thread does that others could read on.
    let turn = desk.writing.clone();
    let turn = if is_sent { turn.acquire_owned().await.ok() } else { None };
    let answered = tokio::task::spawn_blocking(move || {
        let _turn = turn;
        reply(&desk, route, sent)
    });
    match answered.await {
        Ok(reply) => reply.sent(),
        Err(_) => {
            let said = "It is a fault of this program; nothing was recorded by it.";
            let broken = StatusCode::INTERNAL_SERVER_ERROR;
            plain(&Person::nobody(), broken, "Something went wrong here", said).sent()
        }
    }
}

/// A request that was let in.
struct Sent {
    is_sent: bool,
    /// The path with its query.
    address: String,
    cookie: Option<String>,
    /// By which a script shows that it is the desk's own.
    token: Option<String>,
    /// Whether a browser trusts the address: then a page may keep what it needs (W3C Secure
    /// Contexts).
    is_trusted: bool,
    /// Whether a proxy says that it comes from elsewhere.
    is_passed_on: bool,
    filled: Filled,
    /// Of the body.
    media: String,
    body: Vec<u8>,
}

fn reply(desk: &Desk, route: Option<Route>, sent: Sent) -> Reply {
    let Sent { is_sent, address, cookie, token, is_trusted, is_passed_on, filled, media, body } =
        sent;
    let seat: Option<Seat> = cookie.and_then(|id| desk.sessions.seat(&id));
    let seat = seat.as_ref();
    let person = match person(desk, seat, is_passed_on) {
        Ok(person) => person,
        Err(error) => return reading::out_of_order(&Person::nobody(), &error.to_string()),
    };
    let Some(route) = route else { return not_found(&person) };
    if !person.may(route.may) {
        return match (person.role, is_sent) {
            (None, false) => Reply::see(sign_in_first(&address)),
            (None, true) => reading::signed_out(route.path),
            _ => reading::not_yours(&person),
        };
    }
    match (route.what, is_sent) {
        (What::Ask(ask), true) if ask.shows == Shows::Deed => {
            return deed::sent(desk, ask, &person, seat, filled);
        }
        (What::Ask(ask), true) if ask.shows == Shows::Brings => {
            return bring::brought(desk, ask, &person, seat, multipart::read(&media, &body));
        }
        (What::Brought, true) => return bring::read(desk, &person, seat, &filled),
        (What::SignIn, true) => return signing::signed_in(desk, seat, &filled),
        (What::SignOut, true) => return signing::sign_out(desk, seat),
        (What::Link, true) => return signing::linked(desk, seat, &filled),
        (What::Outbox, true) => {
            let letter = outbox::Letter { token: token.as_deref(), body: &body };
            return outbox::taken(desk, &person, seat, letter);
        }
        (_, true) => {
            let said = "Nothing is recorded at this address.";
            return plain(&person, StatusCode::METHOD_NOT_ALLOWED, "Not so", said);
        }
        _ => {}
    }
    match route.what {
        What::Done => deed::done(desk, &person, seat, &filled),
        What::Ask(ask) if ask.shows == Shows::Deed => {
            deed::opened(desk, ask, &person, seat, filled)
        }
        What::Ask(ask) if ask.shows == Shows::Brings => bring::form(desk, ask, &person, seat),
        What::Brought => Reply::see("/bring".to_owned()),
        What::Unread => bring::unread(desk, &person, seat, &filled),
        What::Style => Reply::fixed("text/css; charset=utf-8", format!("{STYLE}\n{OWN_STYLE}")),
        What::Start => start(&person),
        What::SignIn => signing::sign_in(desk, seat, &filled),
        What::SignOut => Reply::see("/".to_owned()),
        What::Link => signing::link(desk, seat, &filled),
        What::Field => field::ways(desk, &person, is_trusted),
        What::Exports => exports::list(desk, &person),
        What::OfField(part) => field::part(part, &filled),
        What::Hello => outbox::hello(desk, &person, seat),
        What::Outbox => not_found(&person),
        What::Ask(ask) => reading::answer(desk, ask, &person, filled),
    }
}

/// Whoever sits there. Without accounts it is the machine's own user, if nobody else can come; who
/// takes the last account away opens nothing to the world, nor does a proxy that was put in front.
fn person(desk: &Desk, seat: Option<&Seat>, is_passed_on: bool) -> Result<Person, AccessError> {
    let accounts = desk.access.accounts()?;
    if accounts.is_empty() && desk.is_here && !is_passed_on {
        return Ok(Person::alone());
    }
    let name = seat.and_then(|seat| seat.account.as_deref());
    let account =
        accounts.iter().find(|account| account.has_passphrase() && name == Some(&*account.name));
    Ok(account.map_or_else(Person::nobody, |account| {
        Person::of_account(&account.name, account.role, &account.sites)
    }))
}

fn start(person: &Person) -> Reply {
    match asks().find(|ask| ask.may != May::Anyone && person.may(ask.may)) {
        Some(ask) => Reply::see(ask.path.to_owned()),
        None => Reply::see("/sign-in".to_owned()),
    }
}

/// `localhost:7717`, `127.0.0.1`, `[::1]`.
fn is_this_machine(host: &str) -> bool {
    let name = match host.rsplit_once(':') {
        Some((name, _)) if !host.ends_with(']') => name,
        _ => host,
    };
    let number = name.trim_matches(['[', ']']).parse::<IpAddr>();
    name.eq_ignore_ascii_case("localhost") || number.is_ok_and(|number| number.is_loopback())
}

/// The session that a browser says it is of.
fn cookie(headers: &HeaderMap) -> Option<&str> {
    let all = headers.get_all(header::COOKIE).iter().filter_map(|line| line.to_str().ok());
    let pairs = all.flat_map(|line| line.split(';')).filter_map(|pair| pair.split_once('='));
    pairs.into_iter().find(|(name, _)| name.trim() == COOKIE).map(|(_, id)| id.trim())
}

/// # Errors
/// Another host than this one, a method that nothing here has, a form that another page sent.
fn may_enter(desk: &Desk, parts: &Parts, takes: Takes) -> Result<(), Reply> {
    let Parts { method, headers, uri, .. } = parts;
    let refuse =
        |status, title: &str, said: &str| Err(plain(&Person::nobody(), status, title, said));
    let said_of = |name: header::HeaderName| headers.get(name).and_then(|it| it.to_str().ok());
    let host = said_of(header::HOST).unwrap_or_default();
    // A whole address in the first line counts before the header (RFC 9112, 3.2.2).
    let is_other = uri.authority().is_some_and(|named| !named.as_str().eq_ignore_ascii_case(host));
    let hosts = headers.get_all(header::HOST).iter().count();
    if is_other || hosts != 1 || !desk.hosts.answers(host) {
        let said = "The desk does not answer to that name; open it by its number, or name it with \
                    --host when you start it.";
        return refuse(StatusCode::MISDIRECTED_REQUEST, "Not here", said);
    }
    match *method {
        Method::GET | Method::HEAD => Ok(()),
        Method::POST => {
            let origin = said_of(header::ORIGIN);
            let from = headers.get("sec-fetch-site").and_then(|it| it.to_str().ok());
            let is_own = origin.is_none_or(|origin| Hosts::is_own(origin, host, desk.is_secure))
                && from.is_none_or(|from| matches!(from, "same-origin" | "none"));
            let is_form =
                said_of(header::CONTENT_TYPE).is_some_and(|it| it.starts_with(takes.media));
            match (is_own, is_form) {
                (false, _) => refuse(
                    StatusCode::FORBIDDEN,
                    "Sent from elsewhere",
                    "Only a page of this desk may send a form to it.",
                ),
                (_, false) => refuse(
                    StatusCode::UNSUPPORTED_MEDIA_TYPE,
                    "Not a form",
                    "The desk takes forms alone.",
                ),
                _ => Ok(()),
            }
        }
        _ => refuse(StatusCode::METHOD_NOT_ALLOWED, "Not so", "The desk takes GET and POST."),
    }
}
