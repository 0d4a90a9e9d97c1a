//! Overrides: one row replaces one value of a crop on a site or a patch.

use super::column::{BY, Cell, Column, DATE, FACT, Need, RECORDED_ON};
use super::fields::{Fields, Signature};
use super::filed::Filed;
use super::known::Gazetteer;
use super::problem::{Finding, quoted};
use super::tally::Reported;
use crate::records::{Crop, CropField, CropOverride, KnownPatch};
use crate::units::Measure;

impl Filed for CropOverride {
    const COLUMNS: &'static [Column] = &[
        Column::text("site", Need::Filled, "the name of a site", "north wood"),
        Column::text(
            "patch",
            Need::Optional,
            "the name of a patch of that site, without the site; empty for the whole site",
            "",
        ),
        Column::text("crop", Need::Filled, "the name of a crop in the catalogue", "nettle-tops"),
        Column::text(
            "field",
            Need::Filled,
            "`season`, `take_fraction`, `recovery_days`, `growth_by_month`, `kept_standing`, \
         `reserve`, `cuts_per_season`, `code_cap` or `smallest_useful`",
            "growth_by_month",
        ),
        Column::text("value", Need::Telling, "a value that the field takes", "3-10"),
        Column::text("source", Need::Filled, "where the value comes from", "our own record"),
        DATE,
        BY,
        RECORDED_ON,
        FACT,
    ];

    fn read(
        fields: &mut Fields<'_>,
        known: &Gazetteer<'_>,
    ) -> Result<Option<(Self, Signature)>, Reported> {
        let site = fields.site(known);
        let patch = match &site {
            Ok(site) => fields.patch_of_site(known, site),
            Err(reported) => Err(*reported),
        };
        let crop = fields.crop(known);
        let grown = grown_there(fields, patch, crop);
        let field = fields.required("field", |text| {
            let unknown = || format!("{} is not a value that can be replaced", quoted(text));
            text.parse::<CropField>().map_err(|()| unknown())
        });
        let source = fields.filled("source");
        let value = value(fields, crop, field);
        let signature = fields.signature(None);
        grown?;
        let change = Self {
            site: site?,
            patch: patch?.map(|patch| patch.name.patch().into()),
            crop: crop?.name.clone(),
            field: field?,
            value: value?.into(),
            source: source?.into(),
        };
        Ok(Some((change, signature?)))
    }

    fn rows(&self, _: Measure) -> Vec<Vec<Cell>> {
        let mut cells = vec![("site", self.site.to_string())];
        cells.extend(self.patch.as_ref().map(|patch| ("patch", patch.to_string())));
        cells.push(("crop", self.crop.to_string()));
        cells.push(("field", self.field.to_string()));
        cells.push(("value", self.value.to_string()));
        cells.push(("source", self.source.to_string()));
        vec![cells]
    }
}

fn grown_there(
    fields: &mut Fields<'_>,
    patch: Result<Option<&KnownPatch>, Reported>,
    crop: Result<&Crop, Reported>,
) -> Result<(), Reported> {
    match (patch, crop) {
        (Ok(Some(patch)), Ok(crop)) if patch.crop != crop.name => {
            let found =
                format!("`{}` is a patch of `{}`, not of `{}`", patch.name, patch.crop, crop.name);
            Err(fields.refuse("crop", Finding::new(found, format!("`{}`", patch.crop))))
        }
        _ => Ok(()),
    }
}

/// The value as written, once the crop itself has tried it on.
fn value<'a>(
    fields: &mut Fields<'a>,
    crop: Result<&Crop, Reported>,
    field: Result<CropField, Reported>,
) -> Result<&'a str, Reported> {
    let text = fields.filled("value")?;
    let mut tried = crop?.clone();
    match tried.set(field?, text, "") {
        Ok(()) => Ok(text),
        Err(error) => {
            let found = format!("{} is not a `{}`", quoted(text), error.field);
            Err(fields.refuse("value", Finding::new(found, error.expected)))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_list_of_fields_is_the_crops_own() {
        let column = CropOverride::COLUMNS.iter().find(|column| column.name == "field").unwrap();
        for field in CropField::ALL {
            assert!(column.expected.contains(&format!("`{field}`")), "{field}");
        }
    }
}
