//! `stintbook glance`: record a judgement by eye.

use super::args::Signed;
use super::context::Context;
use super::failure::{Failure, Status};
use super::named;
use super::recording::Answered;
use super::typed;
use crate::gate::{Places, Surroundings};
use crate::report::layout::paragraph;
use crate::report::receipt;
use crate::units::{Amount, Measure};

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
    #[command(flatten)]
    answered: Answered,
}

pub fn run(context: &Context, made: &GlanceMade) -> Result<Status, Failure> {
    let mut book = context.open()?;
    let known = named::patch(&book, &made.patch)?;
    let places = Places::only(known.clone());
    let surroundings = Surroundings::of(&places, context.catalogue()?);
    let patch = &known.name;
    let row = vec![
        patch.to_string(),
        context.on.to_string(),
        made.signed.by.clone(),
        exact(made.standing),
        made.signed.recorded_on(),
    ];
    let columns = ["patch", "date", "by", "standing", "recorded_on"];
    let entry = typed::entry(&columns, &[row], surroundings.known())?;
    let admitted = context.record(&mut book, &known, entry, made.answered)?;
    let (ids, by) = (admitted.short_ids(), &made.signed.by);
    let said = receipt::glance_recorded(&ids, patch, by, made.standing, context.on);
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
