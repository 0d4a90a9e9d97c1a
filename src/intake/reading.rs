//! The fields of a row or feature into those of a record.

use std::sync::Arc;

use geo::{Geometry, MultiPolygon};
use jiff::civil::Date;

use super::fields::{Fields, Signature, misfit};
use super::known::Gazetteer;
use super::problem::{Finding, quoted};
use super::tally::Reported;
use super::{boundary, footprint, stand, value};
use crate::records::{
    Clipping, Column, Columns, Crop, CropField, Footprint, KnownPatch, Listed, PatchName, SiteName,
    SurveyMethod, Taken, Taker, Written,
};
use crate::units::{Amount, AmountError, Measure, Metres, SquareMetres};

const LARGEST_PARTY: u32 = 10_000;
/// In metres.
const WIDEST_BUFFER: f64 = 5000.0;

/// What one row says; `None` for one that is left out.
pub(super) fn read_row<T: Listed>(
    fields: &mut Fields<'_>,
    known: &Gazetteer<'_>,
) -> Result<Option<(T, Signature)>, Reported> {
    let of_deed = T::IS_DEED.then(|| fields.signature_of_deed());
    let mut reading = Reading::new(fields, known, None, None);
    let record = T::take(&mut reading);
    let Reading { first_day, is_left_out, .. } = reading;
    // A first day that cannot be read has been reported, and is not missed twice.
    let otherwise = first_day.map(|day| day.unwrap_or(Date::MIN));
    let signature = of_deed.unwrap_or_else(|| fields.signature(otherwise));
    if is_left_out {
        return Ok(None);
    }
    let record = record?;
    match record.contradiction() {
        Some(found) => Err(fields.refuse(found.column, Finding::new(found.found, found.expected))),
        None => Ok(Some((record, signature?))),
    }
}

/// What one feature says that lies on `site`, or is one; its shape may be missing where the kind
/// lets it.
pub(super) fn read_feature<T: Listed>(
    fields: &mut Fields<'_>,
    known: &Gazetteer<'_>,
    site: Option<Result<SiteName, Reported>>,
    shape: Option<Result<Geometry, Reported>>,
) -> Result<T, Reported> {
    T::take(&mut Reading::new(fields, known, site, shape))
}

struct Reading<'r, 'a, 'k> {
    fields: &'r mut Fields<'a>,
    known: &'r Gazetteer<'k>,
    /// Taken once; `None` for a feature without one.
    shape: Option<Result<Geometry, Reported>>,
    /// It lies on no-take ground.
    is_left_out: bool,
    // What the fields read so far have told.
    site: Option<Result<SiteName, Reported>>,
    patch: Option<&'k KnownPatch>,
    crop: Option<&'k Crop>,
    crops: Vec<&'k Crop>,
    crop_field: Option<CropField>,
    /// `Some(None)` where it cannot be read.
    first_day: Option<Option<Date>>,
}

type Read<T> = Result<T, Reported>;

impl<'r, 'a, 'k> Reading<'r, 'a, 'k> {
    fn new(
        fields: &'r mut Fields<'a>,
        known: &'r Gazetteer<'k>,
        site: Option<Result<SiteName, Reported>>,
        shape: Option<Result<Geometry, Reported>>,
    ) -> Self {
        Self {
            fields,
            known,
            shape,
            is_left_out: false,
            site,
            patch: None,
            crop: None,
            crops: Vec::new(),
            crop_field: None,
            first_day: None,
        }
    }

    fn shape(&mut self) -> Read<Geometry> {
        self.shape.take().unwrap_or(Err(Reported))
    }

    /// Each item of a list, all that are wrong named.
    fn each<T>(
        &mut self,
        column: &Column,
        read: impl Fn(&str) -> Result<T, String>,
    ) -> Read<Vec<T>> {
        let mut items = Vec::new();
        let mut fit = Ok(());
        for text in value::list(self.fields.raw(column.name)) {
            match read(&text) {
                Ok(item) => items.push(item),
                Err(found) => fit = Err(self.fields.refuse(column.name, found)),
            }
        }
        fit.map(|()| items)
    }
}

impl Taker for Reading<'_, '_, '_> {
    type Error = Reported;

    fn new_site(&mut self, [name]: Columns<1>) -> Read<SiteName> {
        self.fields.parsed(name.name)
    }

    fn new_patch(&mut self, columns: Columns<2>) -> Read<PatchName> {
        let [_, site] = columns.each_ref();
        let site = self.site(std::array::from_ref(site));
        self.fields.name_on(&site)
    }

    fn site(&mut self, _: Columns<1>) -> Read<SiteName> {
        let Self { fields, known, .. } = self;
        self.site.get_or_insert_with(|| fields.site(known)).clone()
    }

    fn part_of_site(&mut self, [column]: Columns<1>) -> Read<Option<Arc<str>>> {
        let site = self.site.clone().unwrap_or(Err(Reported))?;
        let known = self.known;
        self.patch = self.fields.optional(column.name, |text| {
            known.patch(&format!("{site}/{text}")).map_err(|error| error.to_string())
        })?;
        Ok(self.patch.map(|patch| patch.name.patch().into()))
    }

    fn patch(&mut self, _: Columns<1>) -> Read<PatchName> {
        let patch = self.fields.patch(self.known)?;
        self.crop = self.known.crop(&patch.crop).ok();
        Ok(patch.name.clone())
    }

    fn stand(&mut self, _: Columns<5>) -> Read<PatchName> {
        let Some(stand) = stand::read(self.fields, self.known)? else {
            self.is_left_out = true;
            return Err(Reported);
        };
        self.crop = self.known.crop(&stand.crop).ok();
        Ok(stand.patch)
    }

    fn name_on_site(&mut self, _: Columns<1>) -> Read<Arc<str>> {
        let site = self.site.clone().unwrap_or(Err(Reported));
        Ok(self.fields.name_on(&site)?.patch().into())
    }

    fn word(&mut self, [column]: Columns<1>) -> Read<Arc<str>> {
        self.fields.filled(column.name).map(Arc::from)
    }

    fn maybe_word(&mut self, [column]: Columns<1>) -> Read<Option<Arc<str>>> {
        Ok(self.fields.text(column.name))
    }

    fn words(&mut self, [column]: Columns<1>) -> Read<Vec<Arc<str>>> {
        Ok(value::list(self.fields.raw(column.name)))
    }

    fn written<W: Written>(&mut self, [column]: Columns<1>) -> Read<W> {
        self.fields.parsed(column.name)
    }

    fn maybe_written<W: Written>(&mut self, [column]: Columns<1>) -> Read<Option<W>> {
        match self.fields.is_filled(column.name) {
            true => self.fields.parsed(column.name).map(Some),
            false => Ok(None),
        }
    }

    fn list<W: Written>(&mut self, [column]: Columns<1>) -> Read<Vec<W>> {
        self.each(column, |text| text.parse().map_err(|error: W::Err| error.to_string()))
    }

    fn sites(&mut self, [column]: Columns<1>) -> Read<Vec<SiteName>> {
        let known = self.known;
        self.each(column, |asked| known.site(asked).cloned().map_err(|found| found.to_string()))
    }

    fn yes_or_no(&mut self, [column]: Columns<1>) -> Read<bool> {
        Ok(self.fields.optional(column.name, value::yes_or_no)?.unwrap_or(false))
    }

    fn people(&mut self, [column]: Columns<1>) -> Read<Option<u32>> {
        self.fields.optional(column.name, |text| value::whole(text, LARGEST_PARTY))
    }

    fn seed(&mut self, [column]: Columns<1>) -> Read<u32> {
        let seed = self.fields.optional(column.name, |text| value::whole(text, u32::MAX));
        Ok(seed?.unwrap_or(1))
    }

    fn how_many(&mut self, [column]: Columns<1>) -> Read<u32> {
        self.fields.required(column.name, |text| value::whole(text, Clipping::MOST_SQUARES))
    }

    fn area(&mut self, [column]: Columns<1>) -> Read<SquareMetres> {
        let read = |text: &str| value::positive(text, Clipping::LARGEST_SQUARE, "an area");
        self.fields.required(column.name, read).map(SquareMetres)
    }

    fn part(&mut self, [column]: Columns<1>) -> Read<f64> {
        let bounds = Clipping::LEAST_LEFT..=Clipping::MOST_LEFT;
        let read = |text: &str| value::number_within(text, bounds, "a part left standing");
        Ok(self.fields.optional(column.name, read)?.unwrap_or(Clipping::LEFT))
    }

    fn buffer(&mut self, [column]: Columns<1>) -> Read<Metres> {
        let buffer = self.fields.optional(column.name, |text| {
            value::number_within(text, 0.0..=WIDEST_BUFFER, "a distance").map(Metres)
        });
        Ok(buffer?.unwrap_or_default())
    }

    fn first_day(&mut self, [column]: Columns<1>) -> Read<Date> {
        let day = self.fields.required(column.name, value::day);
        self.first_day = Some(day.ok());
        day
    }

    fn last_day(&mut self, [column]: Columns<1>) -> Read<Option<Date>> {
        let last = self.fields.optional(column.name, value::day)?;
        match (self.first_day.flatten(), last) {
            (Some(first), Some(last)) if last < first => {
                let found = format!("`{last}` is before the first day, `{first}`");
                let finding = Finding::new(found, "that day or a later one");
                Err(self.fields.refuse(column.name, finding))
            }
            _ => Ok(last),
        }
    }

    fn amount(&mut self, [grams, count]: Columns<2>) -> Read<Amount> {
        self.fields.required_amount((grams.name, count.name), self.crop)
    }

    /// In the measure of every crop that is named.
    fn cap(&mut self, [grams, count]: Columns<2>) -> Read<Option<Amount>> {
        let Some(cap) = self.fields.amount((grams.name, count.name), None)? else {
            return Ok(None);
        };
        match self.crops.iter().find_map(|crop| misfit(crop, cap.measure)) {
            None => Ok(Some(cap)),
            Some(found) => {
                let filled = if cap.measure == Measure::Mass { grams } else { count };
                let expected = "a permission of its own for crops reckoned otherwise";
                Err(self.fields.refuse(filled.name, Finding::new(found, expected)))
            }
        }
    }

    fn by_eye(&mut self, [column]: Columns<1>) -> Read<Amount> {
        let crop = self.crop;
        self.fields.required(column.name, |text| by_eye(text, crop))
    }

    fn taken(&mut self, [column]: Columns<1>) -> Read<Taken> {
        Ok(self.fields.optional(column.name, value::taken)?.unwrap_or(Taken::All))
    }

    fn crop(&mut self, [column]: Columns<1>) -> Read<Arc<str>> {
        let crop = self.fields.crop(self.known)?;
        self.crop = Some(crop);
        match self.patch {
            Some(patch) if patch.crop != crop.name => {
                let found = format!(
                    "`{}` is a patch of `{}`, not of `{}`",
                    patch.name, patch.crop, crop.name
                );
                let finding = Finding::new(found, format!("`{}`", patch.crop));
                Err(self.fields.refuse(column.name, finding))
            }
            _ => Ok(crop.name.clone()),
        }
    }

    fn crops(&mut self, [column]: Columns<1>) -> Read<Vec<Arc<str>>> {
        let known = self.known;
        let named = value::list(self.fields.raw(column.name));
        self.crops = named.iter().filter_map(|asked| known.crop(asked).ok()).collect();
        self.each(column, |asked| known.crop(asked).map(|crop| crop.name.clone()))
    }

    fn crop_field(&mut self, [column]: Columns<1>) -> Read<CropField> {
        let field = self.fields.parsed(column.name)?;
        self.crop_field = Some(field);
        Ok(field)
    }

    /// As written, once the crop itself has tried it on.
    fn crop_value(&mut self, [column]: Columns<1>) -> Read<Arc<str>> {
        let text = self.fields.filled(column.name)?;
        let (Some(crop), Some(field)) = (self.crop, self.crop_field) else { return Err(Reported) };
        match crop.clone().set(field, text, "") {
            Ok(()) => Ok(text.into()),
            Err(error) => {
                let found = format!("{} is not a `{}`", quoted(text), error.field);
                Err(self.fields.refuse(column.name, Finding::new(found, error.expected)))
            }
        }
    }

    fn shape(&mut self, _: Columns<0>) -> Read<Geometry> {
        self.shape()
    }

    fn boundary(&mut self, _: Columns<0>) -> Read<MultiPolygon> {
        let shape = self.shape()?;
        boundary::read(self.fields, shape)
    }

    fn footprint(&mut self, _: Columns<3>) -> Read<Footprint> {
        let shape = self.shape()?;
        footprint::read(self.fields, shape)
    }

    fn maybe_footprint(&mut self, _: Columns<3>) -> Read<Option<Footprint>> {
        match self.shape.take() {
            Some(shape) => footprint::read(self.fields, shape?).map(Some),
            None => Ok(None),
        }
    }

    /// Rows of surveys are gathered.
    fn method(&mut self, _: Columns<15>) -> Read<SurveyMethod> {
        let found = "a survey is not told in a single row";
        Err(self.fields.refuse_all(Finding::new(found, "a file of another form")))
    }
}

fn by_eye(text: &str, crop: Option<&Crop>) -> Result<Amount, Finding> {
    let amount: Amount = text.parse().map_err(|error: AmountError| error.to_string())?;
    if amount.value <= 0.0 {
        return Err(format!("{} is nothing to go by", quoted(text)).into());
    }
    match crop.and_then(|crop| misfit(crop, amount.measure)) {
        Some(found) => Err(found.into()),
        None => Ok(amount),
    }
}
