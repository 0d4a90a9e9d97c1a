//! Questions asked at a terminal, one after the other.

use std::io::{self, BufRead, IsTerminal, Write};

use crate::bring::{Answers, Question};
use crate::cli::context::Context;
use crate::cli::failure::Failure;
use crate::report::layout::paragraph;
use crate::report::{bringing_numbered, bringing_prompt, receipt};

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
        let reply = reply(context, &bringing_prompt(question))?;
        let numbered = bringing_numbered(question);
        let number = reply.trim().parse::<usize>().ok().and_then(|n| n.checked_sub(1));
        let meant = number.and_then(|at| numbered.get(at)).unwrap_or(&reply);
        if question.ask.hear(meant, answers) {
            return Ok(());
        }
        context.print(&format!("{}\n", receipt::NO_ANSWER))?;
    }
}

/// What is typed in reply.
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
    context.print(&format!("{} ", paragraph(asked, context.width, "").trim_end()))?;
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
