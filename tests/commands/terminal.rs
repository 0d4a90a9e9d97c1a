//! What a terminal shows in bold and colour, and who can turn that off or on.
//!
//! A terminal is lent by `script` of util-linux; where there is none, what needs one is skipped.

use std::process::Command;

use crate::said::Said;
use crate::trial::Trial;

const ASKED: &str = "check bank --on 2021-03-15";
/// Begins what is bold or coloured.
const ESCAPE: char = '\u{1b}';

/// On a terminal, with these in its environment; `None` where no terminal is to be had.
fn shown(trial: &Trial, environment: &[(&str, &str)]) -> Option<String> {
    let asked = trial.command(ASKED);
    let words = std::iter::once(asked.get_program()).chain(asked.get_args());
    let line: Vec<&str> = words.map(|word| word.to_str().unwrap()).collect();
    let mut script = Command::new("script");
    script.args(["-qec", &line.join(" "), "/dev/null"]).current_dir(trial.path("."));
    plain(&mut script).env("TERM", "xterm-256color").envs(environment.iter().copied());
    let output = script.output().ok().filter(|output| output.status.success())?;
    Some(String::from_utf8(output.stdout).unwrap().replace("\r\n", "\n"))
}

/// Without what the one who runs the tests has set.
fn plain(command: &mut Command) -> &mut Command {
    for name in ["NO_COLOR", "CLICOLOR", "CLICOLOR_FORCE", "CI"] {
        command.env_remove(name);
    }
    command.env("COLUMNS", "80")
}

/// Through a pipe.
fn piped(trial: &Trial, environment: &[(&str, &str)]) -> String {
    let mut command = trial.command(ASKED);
    Said::by(plain(&mut command).envs(environment.iter().copied())).done()
}

fn without_codes(text: &str) -> String {
    let mut parts = text.split(ESCAPE);
    let first = parts.next().unwrap().to_owned();
    parts.fold(first, |text, part| text + part.split_once('m').unwrap().1)
}

#[test]
fn a_terminal_shows_verdict_and_amount_in_bold_and_says_the_same_as_a_pipe() {
    let trial = Trial::with_a_surveyed_bank();
    let plain = piped(&trial, &[]);
    assert!(plain.contains("OPEN: at most ") && !plain.contains(ESCAPE), "{plain}");
    // Whatever is asked for, no code goes on to another program.
    assert_eq!(piped(&trial, &[("CLICOLOR_FORCE", "1")]), plain);
    for environment in [("CLICOLOR", "1"), ("CLICOLOR_FORCE", "1")] {
        let Some(shown) = shown(&trial, &[environment]) else { return };
        for told in ["\u{1b}[1m\u{1b}[32mOPEN\u{1b}[0m", "\u{1b}[1m5.67 kg\u{1b}[0m"] {
            assert!(shown.contains(told), "{shown:?}");
        }
        assert_eq!(without_codes(&shown), plain);
    }
}

#[test]
fn whoever_wants_no_colour_gets_none() {
    let trial = Trial::with_a_surveyed_bank();
    let plain = piped(&trial, &[]);
    // A build service says `CI`, which asks for colour where a terminal's name does not.
    for asked in [("NO_COLOR", "1"), ("CLICOLOR", "0"), ("TERM", "dumb")] {
        for environment in [vec![asked], vec![asked, ("CI", "true")]] {
            let Some(shown) = shown(&trial, &environment) else { return };
            assert_eq!(shown, plain, "{environment:?}");
        }
    }
    let Some(shown) = shown(&trial, &[("NO_COLOR", "1"), ("CLICOLOR_FORCE", "1")]) else { return };
    assert_eq!(shown, plain);
}
