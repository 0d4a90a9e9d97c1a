//! What is said of maps on the command line.

use jiff::civil::Date;

use crate::bring::{Closed, Told, map_kind_called};
use crate::cli::args::{day, length, words};
use crate::cli::context::Context;
use crate::cli::failure::Failure;
use crate::cli::new::name_beside;
use crate::maps::System;
use crate::records::Kind;
use crate::units::Metres;

/// What a map may leave open.
#[derive(Debug, clap::Args)]
#[command(next_help_heading = "What a map may leave open")]
pub struct MapAnswers {
    /// What the features of a layer are: `"Hedges 2026=patch"`; `=none` leaves the layer out.
    #[arg(long, value_name = "LAYER=KIND", value_parser = layer)]
    layer: Vec<(String, Option<Kind>)>,
    /// The property that has the names.
    #[arg(long, value_name = "PROPERTY", value_parser = words)]
    named_by: Option<String>,
    /// The site of what names none.
    #[arg(long, value_name = "NAME", value_parser = words)]
    site: Option<String>,
    /// The crop of patches that name none.
    #[arg(long, value_name = "NAME", value_parser = words)]
    crop: Option<String>,
    /// The full width of lines that are patches: hedges, verges.
    #[arg(long, value_name = "LENGTH", value_parser = length)]
    width: Option<Metres>,
    /// The radius of points that are patches.
    #[arg(long, value_name = "LENGTH", value_parser = length)]
    radius: Option<Metres>,
    /// What landmarks are that do not say it.
    #[arg(long, value_name = "WHAT", value_parser = words)]
    what: Option<String>,
    /// Who set it down (else STINTBOOK_BY, or the name in `by.txt` beside the book).
    #[arg(long, value_name = "NAME", value_parser = words)]
    by: Option<String>,
    /// The day on which it was set down.
    #[arg(long, value_name = "DATE", value_parser = day)]
    set_down: Option<Date>,
    /// What a line encloses that ends where it began: `ground`, or nothing, as a hedge all round:
    /// `line`.
    #[arg(long, value_name = "WHAT")]
    closed: Option<Closed>,
    /// How far off the receiver may be (5 m where nobody says); tracks are thinned to it.
    #[arg(long, value_name = "LENGTH", value_parser = length)]
    accuracy: Option<Metres>,
    /// The system of coordinates of a map that does not name it, like `EPSG:25832`.
    #[arg(long, value_name = "CODE", value_parser = code)]
    pub(super) system: Option<String>,
}

fn layer(text: &str) -> Result<(String, Option<Kind>), String> {
    let (name, what) = text
        .rsplit_once('=')
        .ok_or_else(|| format!("`{text}` is no answer; write `LAYER=patch`, or `LAYER=none`"))?;
    let what = if what.trim() == "none" { None } else { Some(kind(what)?) };
    Ok((name.trim().to_owned(), what))
}

pub(super) fn kind(text: &str) -> Result<Kind, String> {
    let unknown = || format!("`{text}` is none of `patch`, `zone`, `landmark`, `site`, `redraw`");
    map_kind_called(text).ok_or_else(unknown)
}

/// A code of a system that is known.
fn code(text: &str) -> Result<String, String> {
    System::of_code(text).map(|_| text.to_owned())
}

impl MapAnswers {
    /// # Errors
    /// A receiver that would be better than any is.
    pub(super) fn told(&self, kind: Option<Kind>) -> Result<Told, Failure> {
        let metres = |length: Option<Metres>| length.map(|length| length.0);
        if self.accuracy.is_some_and(|accuracy| accuracy.0 < 0.1) {
            return Err(Failure::wrong("no receiver knows its place to less than 0.1 m"));
        }
        Ok(Told {
            layers: self.layer.clone(),
            named_by: self.named_by.clone(),
            site: self.site.clone(),
            kind,
            crop: self.crop.clone(),
            width: metres(self.width),
            radius: metres(self.radius),
            what: self.what.clone(),
            by: self.by.clone(),
            set_down: self.set_down,
            closed: self.closed,
            accuracy: metres(self.accuracy),
        })
    }
}

/// Whoever writes is known, unless somebody else was told.
pub(super) fn signed(context: &Context, account: Option<&str>, told: Told) -> Told {
    let account = || account.map(str::to_owned);
    Told { by: told.by.clone().or_else(account).or_else(|| name_beside(&context.book)), ..told }
}
