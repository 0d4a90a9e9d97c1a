//! `stintbook crops`: the catalogue, with the source of each value.

use std::sync::Arc;

use super::args::Format;
use super::context::Context;
use super::failure::{Failure, Status};
use super::week::known_crop;
use crate::catalogue::Catalogue;
use crate::records::Crop;
use crate::report::{Listed, crop_json, crop_profile, crop_table, crops_json};

#[derive(Debug, clap::Args)]
#[command(after_help = "Examples:\n  stintbook crops\n  stintbook crops ramsons-leaf")]
pub struct Crops {
    /// One crop in full.
    crop: Option<String>,
    /// table or json.
    #[arg(long, value_enum, default_value = "table")]
    format: Format,
}

pub fn run(context: &Context, asked: &Crops) -> Result<Status, Failure> {
    let catalogue = context.catalogue()?;
    let crop = asked.crop.as_deref().map(|name| known_crop(context, name)).transpose()?;
    let crop = crop.and_then(|name| catalogue.crop(&name));
    let listed = |crop| listed(catalogue, crop);
    let text = match (crop, asked.format) {
        (Some(crop), Format::Table) => crop_profile(listed(crop), context.width),
        (Some(crop), Format::Json) => crop_json(listed(crop)),
        (None, Format::Table) => crop_table(catalogue.crops().map(listed), context.width),
        (None, Format::Json) => crops_json(catalogue.crops().map(listed)),
        (_, _) => {
            return Err(Failure::wrong("`crops` writes `table` or `json`"));
        }
    };
    context.print(&text)?;
    Ok(Status::Done)
}

fn listed<'a>(catalogue: &'a Catalogue, crop: &'a Arc<Crop>) -> Listed<'a> {
    Listed { crop, own_file: catalogue.own_file(&crop.name).map(AsRef::as_ref) }
}
