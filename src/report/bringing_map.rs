//! What is asked of a map at the keyboard and on a form.

use crate::bring::{MapAsk, MapQuestion};

/// At the keyboard: what is not known, and what may be typed, each reply with its number.
pub fn map_prompt(asked: &MapQuestion) -> String {
    let replies = asked.ask.replies();
    let numbered = replies.iter().zip(1..).map(|(reply, n): (_, usize)| format!("{n}={reply}"));
    let numbered = numbered.collect::<Vec<_>>().join(", ");
    let wanted = wanted(&asked.ask);
    let said = super::bringing_words::capital(&asked.what());
    match replies.is_empty() {
        true => format!("{said}; {wanted}?"),
        false => format!("{said}; {wanted}: {numbered}?"),
    }
}

/// On a form: what is not known, replies with what each says, and what else may be typed.
pub fn map_form(asked: &MapQuestion) -> (String, Vec<(String, String)>, Option<String>) {
    let replies = asked.ask.replies().into_iter();
    let replies: Vec<(String, String)> = replies.map(|reply| (reply.clone(), reply)).collect();
    let typed = replies.is_empty().then(|| wanted(&asked.ask).to_owned());
    (asked.what(), replies, typed)
}

fn wanted(ask: &MapAsk) -> &'static str {
    match ask {
        MapAsk::Layer(_) => "what is it",
        MapAsk::Names { .. } => "which property has them",
        MapAsk::Lacks("site") => "on which site",
        MapAsk::Lacks("crop") => "which crop",
        MapAsk::Lacks("what") => "what is it",
        MapAsk::Lacks("by") => "who was it",
        MapAsk::Lacks("date") => "which day, like 2027-03-15",
        MapAsk::Lacks("width_m") => "how wide in full, like 2m",
        MapAsk::Lacks("radius_m") => "how far, like 3m",
        MapAsk::Lacks(_) => "what",
        MapAsk::Closed { .. } => "is all inside it ground, or is it a line all round",
    }
}
