//! Commands that another door asks for, run on one book.

use std::error::Error as _;
use std::path::{Path, PathBuf};

use clap::Parser;
use jiff::ZonedDateTime;
use jiff::civil::Date;

use super::commands::Arguments;
use super::context::Context;
use super::dispatch;
use super::failure::{Failure, Status};
use super::own_crops;
use super::recording::begin_command;
use crate::book::Watch;
use crate::desk::{Brought, Commands, Ended, Rests, Told};
use crate::records::{Unfit, escaped};

/// Commands as if they were typed, one after the other, each with a context of its own.
#[derive(Debug)]
pub struct OnBook {
    book: PathBuf,
    watch: Watch,
    own_crops: Option<PathBuf>,
    /// `--on`, where the desk was started with it.
    on: Option<Date>,
}

impl Commands for OnBook {
    fn run_on(&self, words: &[String], brought: Vec<Brought>) -> (Ended, Told) {
        match self.read(words) {
            Err(sentence) => (Ended::Wrong(sentence), Told::default()),
            Ok(arguments) => {
                begin_command();
                let Arguments { book, catalogue, on, command } = arguments;
                let context = Context::new(&book, catalogue.as_deref(), on).keeping(brought);
                let ended = match dispatch(&context, command) {
                    Ok(Status::Done) => Ended::Done,
                    Ok(Status::No) => Ended::No,
                    Err(Failure::Wrong(sentence)) => Ended::Wrong(sentence),
                    Err(Failure::Storage(sentence)) => Ended::Storage(sentence),
                    Err(Failure::NobodyReads) => Ended::No,
                };
                (ended, context.told())
            }
        }
    }

    fn rests(&self) -> Option<Rests> {
        let mark = self.watch.mark()?;
        let crops = own_crops::written(self.own_crops.as_deref(), &self.book);
        let today = ZonedDateTime::now().date();
        Some(Rests(format!("{mark:?} {:?} {today} {crops:?}", self.on)))
    }

    fn book(&self) -> &Path {
        &self.book
    }

    fn on(&self) -> Date {
        self.on.unwrap_or_else(|| ZonedDateTime::now().date())
    }
}

impl OnBook {
    /// On the book of a context, with its crops and its day.
    pub fn of(context: &Context) -> Self {
        Self {
            book: context.book.clone(),
            watch: Watch::of(&context.book),
            own_crops: context.own_crops().map(Path::to_owned),
            on: context.asked_on,
        }
    }

    /// The words as a command line of this book.
    fn read(&self, words: &[String]) -> Result<Arguments, String> {
        for word in words {
            if let Some(unfit) = Unfit::first_in(word) {
                return Err(format!(
                    "`{}` has {unfit} in it; write plain text on one line",
                    escaped(word, &[])
                ));
            }
        }
        let mut typed = vec!["stintbook".to_owned(), format!("--book={}", self.book.display())];
        typed.extend(self.own_crops.iter().map(|file| format!("--catalogue={}", file.display())));
        let says_a_day =
            words.iter().take_while(|word| *word != "--").any(|word| word.starts_with("--on="));
        typed.extend(self.on.filter(|_| !says_a_day).map(|day| format!("--on={day}")));
        typed.extend(words.iter().cloned());
        Arguments::try_parse_from(typed).map_err(|error| said(&error))
    }
}

/// What is wrong with the words, without the ways of a terminal.
fn said(error: &clap::Error) -> String {
    if let Some(source) = error.source() {
        return source.to_string();
    }
    let text = error.render().to_string();
    let first = text.split("\n\n").next().unwrap_or_default();
    first.trim_start_matches("error: ").to_owned()
}
