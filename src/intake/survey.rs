//! Surveys: one row a quadrat or weighing; rows of one patch, day and person make a survey.

use std::sync::Arc;

use foldhash::HashMap;
use jiff::civil::Date;

use super::fields::{Fields, Signature};
use super::known::Gazetteer;
use super::method::{MethodRow, MethodSoFar};
use super::problem::{Finding, Place};
use super::stand::{self, Stand};
use super::tally::{Reported, Tally};
use super::value;
use crate::records::{
    FactId, PatchName, Placement, PlacementError, Record, Ripe, RipeError, Survey,
};

pub(super) const MOST_VISITS: u32 = 100;

/// Columns that hold for a whole survey, not for a quadrat or stratum of it.
pub(super) const OF_THE_WHOLE: [&str; 14] = [
    "patch",
    "crop",
    "date",
    "by",
    "visit",
    "placed",
    "ripe",
    "unit",
    "units_in_all",
    "cover_scale",
    "note",
    "sure",
    "recorded_on",
    "fact",
];
/// Columns that are measured anew at each quadrat or weighing.
pub(super) const OF_ONE_QUADRAT: [&str; 11] = [
    "lon",
    "lat",
    "accuracy_m",
    "mass_g",
    "count",
    "judged_g",
    "judged_count",
    "units",
    "unit_g",
    "cover",
    "full_cover_g_per_m2",
];

/// What tells one survey of a file from the next.
type Visit = (PatchName, Date, Arc<str>, u32);

/// Gathers rows into surveys, in the order in which each began.
#[derive(Debug, Default)]
pub(super) struct Gathering {
    places: HashMap<Visit, usize>,
    surveys: Vec<SurveySoFar>,
    /// That of the last row.
    last: usize,
    /// Some row was refused that may belong to any of them.
    has_strays: bool,
}

#[derive(Debug)]
struct SurveySoFar {
    place: Place,
    patch: PatchName,
    signature: Signature,
    visit: u32,
    notes: Vec<Arc<str>>,
    /// Not said, or as the first row says that says it.
    placement: Placement,
    ripe: Option<Ripe>,
    method: Option<MethodSoFar>,
    /// A row of it was refused, so that what is left says nothing of the whole.
    is_spoilt: bool,
}

impl Gathering {
    /// Takes one row; a quadrat on no-take ground is left out.
    pub fn add(&mut self, fields: &mut Fields<'_>, known: &Gazetteer<'_>) -> Result<(), Reported> {
        let signature = fields.signature_of_deed();
        let visit = fields.optional("visit", |text| value::whole(text, MOST_VISITS));
        let sure = value::is_sure(fields);
        let stand = stand::read(fields, known);
        let (crop, at) = match &stand {
            Ok(Some(stand)) => (known.crop(&stand.crop).ok(), stand.at),
            _ => (None, None),
        };
        let row = MethodRow::read(fields, crop, at);
        let (placement, ripe) = (placement(fields), ripe(fields));
        let (Ok(signature), Ok(visit), Ok(sure), Ok(stand)) = (signature, visit, sure, stand)
        else {
            self.miss();
            return Err(Reported);
        };
        let Some(Stand { patch, .. }) = stand else { return row.map(|_| ()) };
        let survey = self.survey(patch, signature, visit.unwrap_or(1), fields)?;
        survey.signature.sure |= sure;
        survey.notes.extend(fields.text("note").filter(|note| !survey.notes.contains(note)));
        let placed = placement.and_then(|placement| survey.placed(placement, fields));
        let ripe = ripe.and_then(|ripe| survey.was_ripe(ripe, fields));
        let added = row.and_then(|row| survey.add(row, fields));
        let added = placed.and(ripe).and(added);
        survey.is_spoilt |= added.is_err();
        added
    }

    fn survey(
        &mut self,
        patch: PatchName,
        signature: Signature,
        visit: u32,
        fields: &mut Fields<'_>,
    ) -> Result<&mut SurveySoFar, Reported> {
        let next = self.surveys.len();
        let is_last = |last: &SurveySoFar| last.is_of(&patch, &signature, visit);
        let index = if self.surveys.get(self.last).is_some_and(is_last) {
            self.last
        } else {
            let key = (patch.clone(), signature.happened_on, signature.by.clone(), visit);
            *self.places.entry(key).or_insert(next)
        };
        self.last = index;
        if index == next {
            let place = fields.place().clone();
            let signature = signature.clone();
            self.surveys.push(SurveySoFar {
                place,
                patch,
                signature,
                visit,
                notes: Vec::new(),
                placement: Placement::NotSaid,
                ripe: None,
                method: None,
                is_spoilt: false,
            });
        }
        let survey = &mut self.surveys[index];
        survey.known_as(signature.id, fields)?;
        if survey.signature.recorded_on != signature.recorded_on {
            survey.is_spoilt = true;
            let found = format!("this row and {} of one survey differ", survey.place);
            return Err(
                fields.refuse("recorded_on", Finding::new(found, "one day for all its rows"))
            );
        }
        Ok(survey)
    }

    /// Notes that a row was lost before anyone could tell whose it was.
    pub fn miss(&mut self) {
        self.has_strays = true;
    }

    /// The surveys, each with the number of its visit.
    pub fn finish(self, tally: &mut Tally) -> Vec<(Record, Signature, u32)> {
        let whole = |survey: &SurveySoFar| !(self.has_strays || survey.is_spoilt);
        self.surveys
            .into_iter()
            .filter(whole)
            .filter_map(|survey| survey.finish(tally).ok())
            .collect()
    }
}

impl SurveySoFar {
    fn is_of(&self, patch: &PatchName, signature: &Signature, visit: u32) -> bool {
        let Signature { happened_on, by, .. } = &self.signature;
        (happened_on, by, self.visit, &self.patch)
            == (&signature.happened_on, &signature.by, visit, patch)
    }

    fn add(&mut self, row: MethodRow, fields: &mut Fields<'_>) -> Result<(), Reported> {
        if self.method.is_none() && self.is_spoilt {
            // What holds for all rows stood in one that was refused and is not to be missed.
            return Err(Reported);
        }
        let method = self.method.get_or_insert_with(|| MethodSoFar::begun_by(&row));
        method.add(row, &self.place, fields)
    }

    /// Takes the id that a row gives; rows added since an export may have none.
    fn known_as(&mut self, id: Option<FactId>, fields: &mut Fields<'_>) -> Result<(), Reported> {
        let id = id.or(self.signature.id);
        if self.signature.id.is_some_and(|first| id != Some(first)) {
            self.is_spoilt = true;
            let found = format!("this row and {} of one survey differ", self.place);
            let expected = "one id for all its rows; `visit` 2 makes it a second survey";
            return Err(fields.refuse("fact", Finding::new(found, expected)));
        }
        self.signature.id = id;
        Ok(())
    }

    fn placed(&mut self, placement: Placement, fields: &mut Fields<'_>) -> Result<(), Reported> {
        if self.placement == Placement::NotSaid {
            self.placement = placement;
        } else if placement != Placement::NotSaid && placement != self.placement {
            let found = format!("`{placement}` where another row has `{}`", self.placement);
            let expected = "the same for all places of a survey";
            return Err(fields.refuse("placed", Finding::new(found, expected)));
        }
        Ok(())
    }

    fn was_ripe(&mut self, ripe: Option<Ripe>, fields: &mut Fields<'_>) -> Result<(), Reported> {
        match (self.ripe, ripe) {
            (Some(first), Some(ripe)) if first != ripe => {
                let found = format!("`{ripe}` where another row has `{first}`");
                let expected = "the same for all places of a survey";
                Err(fields.refuse("ripe", Finding::new(found, expected)))
            }
            _ => {
                self.ripe = self.ripe.or(ripe);
                Ok(())
            }
        }
    }

    fn finish(self, tally: &mut Tally) -> Result<(Record, Signature, u32), Reported> {
        let method = self.method.ok_or(Reported)?.finish(&self.patch, &self.place, tally)?;
        let note = (!self.notes.is_empty()).then(|| self.notes.join("; ").into());
        let Self { patch, placement, ripe, .. } = self;
        let record = Record::Survey(Survey { patch, placement, ripe, method, note });
        Ok((record, self.signature, self.visit))
    }
}

fn ripe(fields: &mut Fields<'_>) -> Result<Option<Ripe>, Reported> {
    fields.optional("ripe", |text| text.parse().map_err(|error: RipeError| error.to_string()))
}

fn placement(fields: &mut Fields<'_>) -> Result<Placement, Reported> {
    let read = |text: &str| text.parse().map_err(|error: PlacementError| error.to_string());
    Ok(fields.optional("placed", read)?.unwrap_or_default())
}
