//! `stintbook crops`: the catalogue, with the source of each value.

use std::sync::Arc;

use super::context::Context;
use super::failure::{Failure, Status};
use super::format::Format;
use super::named;
use crate::catalogue::Catalogue;
use crate::records::Crop;
use crate::report::{Listed, crop_document, crop_json, crops_document, crops_json};

#[derive(Debug, clap::Args)]
#[command(after_help = "Examples:\n  stintbook crops\n  stintbook crops ramsons-leaf")]
pub struct Crops {
    /// One crop in full.
    crop: Option<String>,
    /// How to answer.
    #[arg(long, default_value = Format::TABLE, value_parser = Format::among(&[Format::Table, Format::Html, Format::Md, Format::Json]))]
    format: Format,
}

pub fn run(context: &Context, asked: &Crops) -> Result<Status, Failure> {
    let catalogue = context.catalogue()?;
    let crop = asked.crop.as_deref().map(|name| named::crop(context, name)).transpose()?;
    let crop = crop.and_then(|name| catalogue.crop(&name));
    let listed = |crop| listed(catalogue, crop);
    let text = match (crop, asked.format) {
        (Some(crop), Format::Json) => crop_json(listed(crop)),
        (None, Format::Json) => crops_json(catalogue.crops().map(listed)),
        (Some(crop), format) => context.laid_out(format, &crop_document(listed(crop))),
        (None, format) => context.laid_out(format, &crops_document(catalogue.crops().map(listed))),
    };
    context.print(&text)?;
    Ok(Status::Done)
}

fn listed<'a>(catalogue: &'a Catalogue, crop: &'a Arc<Crop>) -> Listed<'a> {
    Listed { crop, own_file: catalogue.own_file(&crop.name).map(AsRef::as_ref) }
}
