//! `stintbook glance`: record a judgement by eye.

use super::args::Signed;
use super::context::Context;
use super::failure::{Failure, Status};
use super::known::{Places, Surroundings};
use super::typed;
use crate::report::layout::paragraph;
use crate::units::{Amount, Measure, spoken_day};

#[derive(Debug, clap::Args)]
#[command(after_help = "Example:\n  stintbook glance \"mill bank\" 3kg --by Ida\n\n\
    Say what you think stands on the whole patch before anyone cuts. The book learns how \
    your eye errs from days on which you glance and someone surveys.")]
pub struct GlanceMade {
    /// The patch: its name, site/name, or short id.
    patch: String,
    /// What stands there by your eye: 3kg, 40 heads.
    standing: Amount,
    #[command(flatten)]
    signed: Signed,
}

pub fn run(context: &Context, made: &GlanceMade) -> Result<Status, Failure> {
    let mut book = context.open()?;
    let patch = book.patch(&made.patch)?.name;
    let places = Places::names_of(&book)?;
    let surroundings = Surroundings::of(&places, context.catalogue()?);
    let recorded_on = context.recorded_on(made.signed.recorded_on, context.on);
    let row = vec![
        patch.to_string(),
        context.on.to_string(),
        made.signed.by.clone(),
        exact(made.standing),
        recorded_on.to_string(),
    ];
    let columns = ["patch", "date", "by", "standing", "recorded_on"];
    let entry = typed::entry(&columns, &[row], surroundings.known())?;
    let id = context.record(&mut book, entry)?;
    let said = format!(
        "Recorded as {}: {} saw some {} on {patch} on {}.",
        id.short(),
        made.signed.by,
        made.standing,
        spoken_day(context.on)
    );
    context.print(&paragraph(&said, context.width, ""))?;
    Ok(Status::Done)
}

/// To the last digit: what is shown is rounded.
fn exact(amount: Amount) -> String {
    match amount.measure {
        Measure::Mass => format!("{} g", amount.value),
        Measure::Count => amount.value.to_string(),
    }
}
