//! Signing in and out, and the link by which a passphrase is set.

use axum::http::StatusCode;
use maud::{Markup, html};

use super::Desk;
use super::access::{Account, SHORTEST};
use super::back::{Back, back};
use super::chance::same;
use super::person::Person;
use super::reading::{out_of_order, refused, under};
use super::reply::Reply;
use super::request::Filled;
use super::sessions::Seat;

const OK: StatusCode = StatusCode::OK;

/// The form to sign in.
pub fn sign_in(desk: &Desk, seat: Option<&Seat>, filled: &Filled) -> Reply {
    asks(desk, seat, "Sign in", OK, &html! {}, |token| named_form(token, back(filled)))
}

/// # Errors
/// None: what is wrong is said on the form.
pub fn signed_in(desk: &Desk, seat: Option<&Seat>, filled: &Filled) -> Reply {
    let again = |status, sentence: &str| {
        let form = |token: &str| named_form(token, back(filled));
        asks(desk, seat, "Sign in", status, &refused(sentence), form)
    };
    if !is_own(seat, filled) {
        return again(StatusCode::FORBIDDEN, "the form is of an earlier sitting; sign in here");
    }
    let said = |name| filled.get(name).unwrap_or_default();
    let name = said("name").trim();
    if let Some(wait) = desk.throttle.wait(name) {
        let sentence = format!("too many were wrong; wait {} seconds", wait.as_secs() + 1);
        return again(StatusCode::TOO_MANY_REQUESTS, &sentence);
    }
    match desk.access.known(name, said("passphrase")) {
        Ok(Some(account)) => {
            desk.throttle.passed(name);
            enter(desk, seat, &account, back(filled))
        }
        Ok(None) => {
            desk.throttle.failed(name);
            again(StatusCode::FORBIDDEN, "nobody is known by that name and passphrase")
        }
        Err(error) => out_of_order(&Person::nobody(), &error.to_string()),
    }
}

/// The form that a link leads to.
pub fn link(desk: &Desk, seat: Option<&Seat>, filled: &Filled) -> Reply {
    let key = filled.get("key").unwrap_or_default();
    match desk.access.whose(key) {
        Ok(account) => link_form(desk, seat, OK, &account, key, &html! {}),
        Err(error) => {
            let said = refused(&error.to_string());
            under("This link leads nowhere", &Person::nobody(), StatusCode::NOT_FOUND, &said)
        }
    }
}

pub fn linked(desk: &Desk, seat: Option<&Seat>, filled: &Filled) -> Reply {
    let key = filled.get("key").unwrap_or_default();
    if !is_own(seat, filled) {
        return link(desk, seat, filled);
    }
    match desk.access.settle(key, filled.get("passphrase").unwrap_or_default()) {
        Ok(account) => {
            desk.sessions.end_of(&account.name);
            desk.throttle.passed(&account.name);
            enter(desk, seat, &account, None)
        }
        Err(error) => match desk.access.whose(key) {
            Ok(account) => {
                let said = refused(&error.to_string());
                link_form(desk, seat, StatusCode::UNPROCESSABLE_ENTITY, &account, key, &said)
            }
            Err(_) => link(desk, seat, filled),
        },
    }
}

/// Ends the session here, and not only in the browser.
pub fn sign_out(desk: &Desk, seat: Option<&Seat>) -> Reply {
    if let Some(seat) = seat {
        desk.sessions.end(&seat.id);
    }
    Reply::see("/sign-in".to_owned()).header("set-cookie", desk.cookie("") + "; Max-Age=0")
}

/// A session under a new name, so that nobody who knew the old one comes along.
fn enter(desk: &Desk, seat: Option<&Seat>, account: &Account, to: Option<Back>) -> Reply {
    let person = Person::of_account(&account.name, account.role, &account.sites);
    let to = to.filter(|to| person.may(to.may)).map_or("/", |to| to.address);
    if let Some(seat) = seat {
        desk.sessions.end(&seat.id);
    }
    match desk.sessions.begin(Some(&account.name)) {
        Ok(seat) => Reply::see(to.to_owned()).header("set-cookie", desk.cookie(&seat.id)),
        Err(error) => out_of_order(&Person::nobody(), &error.to_string()),
    }
}

fn is_own(seat: Option<&Seat>, filled: &Filled) -> bool {
    let token = filled.get("token").unwrap_or_default();
    seat.is_some_and(|seat| same(&seat.token, token))
}

fn asks(
    desk: &Desk,
    seat: Option<&Seat>,
    title: &str,
    status: StatusCode,
    said: &Markup,
    form: impl FnOnce(&str) -> Markup,
) -> Reply {
    let Ok(seat) = seat.cloned().map_or_else(|| desk.sessions.begin(None), Ok) else {
        return out_of_order(&Person::nobody(), "this system gives no random numbers");
    };
    let body = html! { (said) (form(&seat.token)) };
    let page = under(title, &Person::nobody(), status, &body);
    page.header("set-cookie", desk.cookie(&seat.id))
}

fn named_form(token: &str, to: Option<Back>) -> Markup {
    html! {
        form.deed method="post" action="/sign-in" {
            input type="hidden" name="token" value=(token);
            @if let Some(to) = to { input type="hidden" name="back" value=(to.address); }
            p.field { label for="name" { "Name" } input id="name" name="name" type="text" autocomplete="username" required; }
            p.field { label for="passphrase" { "Passphrase" } input id="passphrase" name="passphrase" type="password" autocomplete="current-password" required; }
            p.send { button type="submit" { "Sign in" } }
        }
    }
}

fn link_form(
    desk: &Desk,
    seat: Option<&Seat>,
    status: StatusCode,
    account: &Account,
    key: &str,
    said: &Markup,
) -> Reply {
    asks(desk, seat, &format!("Welcome, {}", account.name), status, said, |token| {
        html! {
            form.deed method="post" action="/link" {
                input type="hidden" name="token" value=(token);
                input type="hidden" name="key" value=(key);
                p.field {
                    label for="passphrase" { "A passphrase of your own" }
                    input id="passphrase" name="passphrase" type="password" minlength=(SHORTEST) autocomplete="new-password" required aria-describedby="passphrase-hint";
                    span.under id="passphrase-hint" { "several words, " (SHORTEST) " letters or more" }
                }
                p.send { button type="submit" { "Keep it and go in" } }
            }
        }
    })
}
