//! The fields of a record into the columns of its row.

use std::sync::Arc;

use geo::{Geometry, MultiPolygon};
use jiff::civil::Date;

use super::{footprint, survey};
use crate::book::error::Failure;
use crate::book::row::NewRow;
use crate::records::{Columns, Footprint, Giver, PatchName, SiteName, SurveyMethod, Written};
use crate::units::{Amount, Metres, SquareMetres};

/// A row being filled with the fields of a record.
pub(in crate::book) struct Writing<'w, 'a> {
    pub(in crate::book) row: &'w mut NewRow<'a>,
    /// The number of the site on which a new patch lies.
    pub(in crate::book) on_site: Option<i64>,
}

/// How each form is written: `to` is the [`Writing`], `value` is written, and `columns` are what
/// files call it.
macro_rules! gives {
    (
        $to:ident, $columns:ident, $value:ident:
        $($form:ident[$n:literal]$(<$W:ident>)?: $type:ty = $write:expr;)+
    ) => {
        $(fn $form$(<$W: Written>)?(
            &mut self,
            $columns: Columns<$n>,
            $value: &'a $type,
        ) -> Result<(), Failure> {
            let ($to, _) = (self, $columns);
            $write;
            Ok(())
        })+
    };
}

impl<'a> Giver<'a> for Writing<'_, 'a> {
    type Error = Failure;

    gives! { to, columns, value:
        new_site[1]: SiteName = to.row.text(value.as_str());
        new_patch[2]: PatchName = {
            to.row.maybe_whole(to.on_site);
            to.row.text(value.patch())
        };
        // What a record is about stands in its envelope.
        site[1]: SiteName = to.is_in_envelope(value);
        part_of_site[1]: Option<Arc<str>> = to.is_in_envelope(value);
        patch[1]: PatchName = to.is_in_envelope(value);
        stand[5]: PatchName = to.is_in_envelope(value);
        word[1]: Arc<str> = to.row.text(value);
        maybe_word[1]: Option<Arc<str>> = to.row.maybe_text(value.as_ref());
        words[1]: Vec<Arc<str>> = to.row.words(value);
        written[1]<W>: W = to.row.usable(columns[0].name, value)?;
        maybe_written[1]<W>: Option<W> = match value {
            Some(value) => to.row.usable(columns[0].name, value)?,
            None => to.row.nothing(),
        };
        list[1]<W>: Vec<W> = to.row.list(columns[0].name, value)?;
        yes_or_no[1]: bool = to.row.whole(*value);
        people[1]: Option<u32> = to.row.maybe_whole(*value);
        seed[1]: u32 = to.row.whole(*value);
        how_many[1]: u32 = to.row.whole(*value);
        area[1]: SquareMetres = to.row.number(columns[0].name, value.0)?;
        part[1]: f64 = to.row.number(columns[0].name, *value)?;
        buffer[1]: Metres = to.row.number(columns[0].name, value.0)?;
        first_day[1]: Date = to.row.day(columns[0].name, *value)?;
        last_day[1]: Option<Date> = to.row.maybe_day(columns[0].name, *value)?;
        amount[2]: Amount = to.row.amount("amount", *value)?;
        cap[2]: Option<Amount> = to.row.maybe_amount(columns[0].name, *value)?;
        by_eye[1]: Amount = to.row.amount(columns[0].name, *value)?;
        shape[0]: Geometry = to.row.shape("shape", value)?;
        boundary[0]: MultiPolygon =
            to.row.shape("boundary", &Geometry::MultiPolygon(value.clone()))?;
        footprint[3]: Footprint = footprint::write(value, to.row)?;
        maybe_footprint[3]: Option<Footprint> = footprint::write_any(value.as_ref(), to.row)?;
        method[15]: SurveyMethod = survey::write(value, to.row);
    }
}

impl Writing<'_, '_> {
    fn is_in_envelope<T>(&self, _: &T) {}
}
