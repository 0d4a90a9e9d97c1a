//! Questions asked at a terminal, one after the other.

use std::io::{self, BufRead, IsTerminal, Write};

use crate::bring::{Answers, Question};
use crate::cli::context::Context;
use crate::cli::failure::Failure;
use crate::report::{bringing_prompt, receipt};

/// Asks until the reply is an answer.
///
/// # Errors
/// The end of the keyboard's input, with nothing recorded.
pub fn answer(
    context: &Context,
    question: &Question,
    answers: &mut Answers,
) -> Result<(), Failure> {
    loop {
        prompt(context, &bringing_prompt(question))?;
        let reply =
            line()?.ok_or_else(|| Failure::wrong("nobody answers; nothing was recorded"))?;
        if question.ask.hear(&reply, answers) {
            return Ok(());
        }
        context.print(&format!("{}\n", receipt::NO_ANSWER))?;
    }
}

/// The reply to a question of a map.
///
/// # Errors
/// The end of the keyboard's input, with nothing recorded.
pub fn reply(context: &Context, asked: &str) -> Result<String, Failure> {
    prompt(context, asked)?;
    line()?.ok_or_else(|| Failure::wrong("nobody answers; nothing was recorded"))
}

/// Whether somebody sits there.
pub fn is_there(context: &Context) -> bool {
    !context.is_kept() && io::stdin().is_terminal() && io::stdout().is_terminal()
}

/// Whether all of it shall be recorded.
pub fn is_wished(context: &Context) -> Result<bool, Failure> {
    prompt(context, receipt::WISHED)?;
    Ok(line()?.is_some_and(|reply| matches!(&*reply.trim().to_lowercase(), "y" | "yes")))
}

/// Asks in a line of its own, on which the reply is typed: nothing else sends half a line out.
fn prompt(context: &Context, asked: &str) -> Result<(), Failure> {
    context.print(&format!("{asked} "))?;
    let sent = io::stdout().flush();
    sent.map_err(|error| Failure::Storage(format!("could not write the output: {error}")))
}

fn line() -> Result<Option<String>, Failure> {
    let mut line = String::new();
    let read = io::stdin().lock().read_line(&mut line);
    let length =
        read.map_err(|error| Failure::Storage(format!("could not read what was typed: {error}")))?;
    Ok((length > 0).then_some(line))
}
