//! What a command said, and how it ended.

use std::path::Path;
use std::process::Command;

use crate::schemas::hold;

/// An exported file without the ids of its facts, which no two books share.
pub fn nameless(export: &str) -> String {
    let without = |line: &str| match line.trim_end_matches(',').rsplit_once([',', ':']) {
        Some((rest, last)) if last.trim_matches([' ', '"']).len() == 36 => rest.to_owned(),
        _ => line.to_owned(),
    };
    export.lines().map(|line| without(line) + "\n").collect()
}

/// Exit status and output of one run.
#[derive(Debug)]
pub struct Said {
    pub status: i32,
    pub out: String,
    pub err: String,
}

impl Said {
    /// Runs the command; whatever was asked, it ends by itself and in words.
    pub fn by(command: &mut Command) -> Self {
        let output = command.output().unwrap();
        let said = Self {
            status: output.status.code().unwrap_or(-1),
            out: String::from_utf8(output.stdout).unwrap(),
            err: String::from_utf8(output.stderr).unwrap(),
        };
        assert!((0..=3).contains(&said.status), "{command:?} ended so: {said:?}");
        assert!(!said.err.contains("panicked"), "{command:?} panicked: {}", said.err);
        // What other programs say names no version of ours.
        if Path::new(command.get_program()).file_stem().is_some_and(|it| it == "stintbook") {
            hold(&said.out, &format!("{command:?}"));
        }
        said
    }

    /// Done without complaint; gives the output.
    pub fn done(self) -> String {
        self.ended(0);
        assert_eq!(self.err, "");
        self.out
    }

    /// `check` or `verify` said no; gives the output.
    pub fn no(self) -> String {
        self.ended(1);
        assert_eq!(self.err, "");
        self.out
    }

    /// Refused for wrong use or bad input; gives the reason.
    pub fn wrong(self) -> String {
        self.ended(2);
        assert_eq!(self.out, "");
        self.err
    }

    /// The book or a file could not be read or written; gives the reason.
    pub fn failed(self) -> String {
        self.ended(3);
        self.err
    }

    fn ended(&self, status: i32) {
        assert_eq!(self.status, status, "{}{}", self.out, self.err);
    }
}

/// Holds where every one of these occurs in the text, in this order.
#[track_caller]
pub fn has(text: &str, parts: &[&str]) {
    let plain = text.split_whitespace().collect::<Vec<_>>().join(" ");
    let mut rest = plain.as_str();
    for part in parts {
        match rest.find(part) {
            Some(at) => rest = &rest[at + part.len()..],
            None => panic!("no `{part}` (in its place) in:\n{text}"),
        }
    }
}

/// The lines of a list, each with what it goes on with below.
pub fn unfolded(text: &str) -> String {
    let mut lines: Vec<String> = Vec::new();
    for line in text.lines() {
        match lines.last_mut().filter(|_| line.starts_with("    ")) {
            Some(last) => *last += &format!(" {}", line.trim_start()),
            None => lines.push(line.to_owned()),
        }
    }
    lines.join("\n")
}

/// The text with `########` for each short id: those differ from run to run.
pub fn without_ids(text: &str) -> String {
    let is_id = |word: &str| {
        word.len() == 8 && word.chars().all(|c| c.is_ascii_digit() || ('a'..='f').contains(&c))
    };
    let plain = |word: &str| {
        let bare = word.trim_matches([',', ':', '.', '`', '\n']);
        if is_id(bare) { word.replace(bare, "########") } else { word.to_owned() }
    };
    text.split_inclusive([' ', '\n'])
        .map(|word| match word.strip_suffix([' ', '\n']) {
            Some(bare) => plain(bare) + &word[bare.len()..],
            None => plain(word),
        })
        .collect()
}
