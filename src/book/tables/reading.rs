//! The columns of a row into the fields of a record.

use std::sync::Arc;

use geo::{Geometry, MultiPolygon};
use jiff::civil::Date;

use super::{footprint, survey};
use crate::book::fields::Fields;
use crate::book::names::{Names, patch_name, site_name};
use crate::records::{
    Columns, Declared, Footprint, PatchName, SiteName, SurveyMethod, Taker, Written,
};
use crate::units::{Amount, Metres, SquareMetres};

/// The record in a row, whose columns are those of [`super::columns`] from here on; `None` where
/// its place, or the site it lies on, has no name in this view of the book.
///
/// A survey comes without what it measured.
pub(in crate::book) fn read<T: Declared>(
    place: i64,
    names: &Names,
    fields: &mut Fields,
) -> rusqlite::Result<Option<T>> {
    match T::take(&mut Reading { place, names, fields }) {
        Ok(record) => Ok(Some(record)),
        Err(Unread::Nameless) => Ok(None),
        Err(Unread::Failed(error)) => Err(error),
    }
}

struct Reading<'r, 'row, 'words> {
    place: i64,
    names: &'r Names,
    fields: &'r mut Fields<'row, 'words>,
}

enum Unread {
    /// The place has no name in the view.
    Nameless,
    Failed(rusqlite::Error),
}

impl From<rusqlite::Error> for Unread {
    fn from(error: rusqlite::Error) -> Self {
        Self::Failed(error)
    }
}

/// How each form is read: `row` is the [`Reading`].
macro_rules! takes {
    ($row:ident: $($form:ident[$n:literal]$(<$W:ident>)?: $value:ty = $read:expr;)+) => {
        $(fn $form$(<$W: Written>)?(&mut self, _: Columns<$n>) -> Result<$value, Unread> {
            let $row = self;
            Ok($read)
        })+
    };
}

impl Taker for Reading<'_, '_, '_> {
    type Error = Unread;

    takes! { row:
        new_site[1]: SiteName = site_name(row.fields)?;
        new_patch[2]: PatchName = {
            let site = row.names.site(row.fields.whole()?).ok_or(Unread::Nameless)?;
            patch_name(site, row.fields)?
        };
        site[1]: SiteName = row.site_and_patch()?.0;
        part_of_site[1]: Option<Arc<str>> = row.site_and_patch()?.1;
        patch[1]: PatchName = row.on_patch()?;
        stand[5]: PatchName = row.on_patch()?;
        word[1]: Arc<str> = row.fields.word()?;
        maybe_word[1]: Option<Arc<str>> = row.fields.maybe_word()?;
        words[1]: Vec<Arc<str>> = row.fields.words()?;
        written[1]<W>: W = row.fields.text_as(FITTING, |text| text.parse().ok())?;
        maybe_written[1]<W>: Option<W> =
            row.fields.maybe_text_as(FITTING, |text| text.parse().ok())?;
        list[1]<W>: Vec<W> = row.fields.list()?;
        yes_or_no[1]: bool = row.fields.yes_or_no()?;
        people[1]: Option<u32> = row.fields.maybe_whole()?;
        seed[1]: u32 = row.fields.whole()?;
        how_many[1]: u32 = row.fields.whole()?;
        area[1]: SquareMetres = SquareMetres(row.fields.number()?);
        part[1]: f64 = row.fields.number()?;
        buffer[1]: Metres = Metres(row.fields.number()?);
        first_day[1]: Date = row.fields.day()?;
        last_day[1]: Option<Date> = row.fields.maybe_day()?;
        amount[2]: Amount = row.fields.amount()?;
        cap[2]: Option<Amount> = row.fields.maybe_amount()?;
        by_eye[1]: Amount = row.fields.amount()?;
        shape[0]: Geometry = row.fields.shape()?;
        boundary[0]: MultiPolygon = row.fields.shape()?;
        footprint[3]: Footprint = footprint::read(row.fields)?;
        maybe_footprint[3]: Option<Footprint> = footprint::read_any(row.fields)?;
        method[15]: SurveyMethod = survey::read(row.fields)?;
    }
}

const FITTING: &str = "text of the right form";

impl Reading<'_, '_, '_> {
    fn on_patch(&self) -> Result<PatchName, Unread> {
        self.names.patch(self.place).cloned().ok_or(Unread::Nameless)
    }

    fn site_and_patch(&self) -> Result<(SiteName, Option<Arc<str>>), Unread> {
        self.names.site_and_patch(self.place).ok_or(Unread::Nameless)
    }
}
