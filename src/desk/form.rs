//! Forms, for people and for the browser alone: nothing here needs a script.

use maud::{Markup, html};

use super::ask::{Ask, Field, Form, Shows};
use super::known::Known;
use super::person::Person;
use super::request::Filled;

/// More names than this are typed and not chosen.
const MOST_CHOICES: usize = 400;

/// What a form knows beside its fields.
#[derive(Clone, Copy, Debug)]
pub struct Around<'a> {
    pub known: &'a Known,
    pub person: &'a Person,
    pub filled: &'a Filled,
}

/// The questions of a page, to be asked otherwise.
pub fn asking(ask: &Ask, around: Around) -> Markup {
    let fields = ask.fields.iter().filter(|field| is_shown(field, around));
    let fields: Vec<&Field> = fields.collect();
    let is_file = matches!(ask.shows, Shows::Download { .. });
    html! {
        @if !fields.is_empty() || is_file {
            form.asking method="get" action=(ask.path) {
                @for field in fields { (shown(field, around, "")) }
                p.send { button type="submit" { (if is_file { "Take it home" } else { "Show" }) } }
            }
        }
    }
}

/// The same on a page that answers already: folded away, so that the answer comes first.
pub fn otherwise(ask: &Ask, around: Around) -> Markup {
    let labels: Vec<&str> = ask.fields.iter().map(|field| field.label).collect();
    html! {
        @if !labels.is_empty() {
            details.otherwise {
                summary { "Ask otherwise" span.quiet { ": " (labels.join(" · ")) } }
                (asking(ask, around))
            }
        }
    }
}

/// A deed. `hidden` is sent along; `asked` are the answers that the command wants.
pub fn deed(ask: &Ask, around: Around, hidden: &[(&str, &str)], asked: &[&Field]) -> Markup {
    let is_answer = |field: &&Field| field.form == Form::Answer;
    let fields = ask.fields.iter().filter(|field| !is_answer(field) && is_shown(field, around));
    html! {
        form.deed method="post" action=(ask.path) {
            @for (name, value) in hidden { input type="hidden" name=(name) value=(value); }
            @for field in fields { (shown(field, around, if field.needed { "" } else { " (if need be)" })) }
            @for field in asked { (shown(field, around, "")) }
            p.send { button type="submit" { (ask.title) } }
        }
    }
}

/// An account says who does something; only where there is none, a form asks.
fn is_shown(field: &Field, around: Around) -> bool {
    field.form != Form::Hand || around.person.name.is_none()
}

pub fn shown(field: &Field, around: Around, behind: &str) -> Markup {
    let id = format!("field-{}", field.name);
    let hint = format!("{id}-hint");
    let described = (!field.hint.is_empty()).then_some(&hint);
    let value = around.filled.get(field.name).unwrap_or_default();
    if matches!(field.form, Form::Tick | Form::Answer) {
        let ticked = !value.is_empty();
        return html! {
            p.field.tick {
                label for=(id) {
                    input type="checkbox" id=(id) name=(field.name) value="yes" checked[ticked] aria-describedby=[described];
                    " " (field.label)
                }
                @if !field.hint.is_empty() { span.under id=(hint) { (field.hint) } }
            }
        };
    }
    html! {
        p.field {
            label for=(id) { (field.label) span.quiet { (behind) } }
            (input(field, around, &id, described, value))
            @if !field.hint.is_empty() { span.under id=(hint) { (field.hint) } }
        }
    }
}

fn input(
    field: &Field,
    around: Around,
    id: &str,
    described: Option<&String>,
    value: &str,
) -> Markup {
    let needed = field.needed;
    if let Form::Choice(choices) = field.form {
        return html! {
            select id=(id) name=(field.name) required[needed] aria-describedby=[described] {
                @if !needed { option value="" { "–" } }
                @for (sent, said) in choices { option value=(sent) selected[*sent == value] { (said) } }
            }
        };
    }
    let choices = around.known.choices(field.form, around.person);
    let count: usize = choices.iter().map(|(_, names)| names.len()).sum();
    if (1..=MOST_CHOICES).contains(&count) {
        return html! {
            select id=(id) name=(field.name) required[needed] aria-describedby=[described] {
                @if value.is_empty() || !needed { option value="" { "–" } }
                @for (group, names) in &choices {
                    @if group.is_empty() { (options(names, value)) }
                    @else { optgroup label=(group) { (options(names, value)) } }
                }
            }
        };
    }
    let (kind, mode) = match field.form {
        Form::Date => ("date", None),
        Form::Month => ("month", None),
        Form::Number => ("text", Some("numeric")),
        _ => ("text", None),
    };
    html! {
        input type=(kind) inputmode=[mode] id=(id) name=(field.name) value=(value) required[needed]
            autocomplete="off" aria-describedby=[described];
    }
}

fn options(names: &[String], value: &str) -> Markup {
    html! {
        @for name in names {
            option value=(name) selected[name == value] {
                (name.strip_suffix('/').map_or_else(|| name.clone(), |site| format!("all of {site}")))
            }
        }
    }
}
