//! The fields of a record into the cells of its row, or of its rows.

use std::convert::Infallible;
use std::fmt::Display;
use std::sync::Arc;

use geo::{Geometry, MultiPolygon};
use jiff::civil::Date;

use super::cell::plain_amount;
use super::column::Cell;
use super::{footprint, method};
use crate::records::{
    Column, Columns, Footprint, Giver, Listed, PatchName, SiteName, SurveyMethod, Written,
};
use crate::units::{Amount, Measure, Metres, SquareMetres};

/// The record alone, without dates and names: one row, or one for each quadrat of a survey,
/// the first of which has what holds for all; `measure` is what a survey's crop is reckoned in.
pub(super) fn rows<T: Listed>(record: &T, measure: Measure) -> Vec<Vec<Cell>> {
    let Writing { cells, measured, .. } = written(record, measure);
    let kind = T::HAS_SHAPE.then(|| ("kind", T::NAME.to_owned()));
    let Some(mut rows) = measured else { return vec![kind.into_iter().chain(cells).collect()] };
    let (place, of_all) = cells.split_at(cells.len().min(1));
    for row in &mut rows {
        row.splice(0..0, place.iter().cloned());
    }
    if let Some(first) = rows.first_mut() {
        first.extend_from_slice(of_all);
    }
    rows
}

/// What is drawn of it on a map.
pub(super) fn shape<T: Listed>(record: &T) -> Option<Geometry> {
    written(record, Measure::Mass).shape
}

fn written<T: Listed>(record: &T, measure: Measure) -> Writing {
    let mut writing = Writing { measure, cells: Vec::new(), measured: None, shape: None };
    let Ok(()) = record.give(&mut writing);
    writing
}

struct Writing {
    measure: Measure,
    cells: Vec<Cell>,
    measured: Option<Vec<Vec<Cell>>>,
    shape: Option<Geometry>,
}

impl Writing {
    fn put(&mut self, column: &Column, value: impl Display) {
        self.cells.push((column.name, value.to_string()));
    }

    fn maybe_put(&mut self, column: &Column, value: Option<impl Display>) {
        if let Some(value) = value {
            self.put(column, value);
        }
    }

    fn put_all<T: ToString>(&mut self, column: &Column, items: &[T]) {
        self.put(column, items.iter().map(T::to_string).collect::<Vec<_>>().join("; "));
    }

    fn put_amount(&mut self, [grams, count]: Columns<2>, amount: Option<Amount>) {
        if let Some(amount) = amount {
            let column = if amount.measure == Measure::Mass { grams } else { count };
            self.put(column, amount.value);
        }
    }
}

/// How each form is written: `to` is the [`Writing`], and `value` goes into its `columns`.
macro_rules! gives {
    (
        $to:ident, $columns:ident, $value:ident:
        $($form:ident[$n:literal]$(<$W:ident>)?: $type:ty = $write:expr;)+
    ) => {
        $(fn $form$(<$W: Written>)?(
            &mut self,
            $columns: Columns<$n>,
            $value: &'a $type,
        ) -> Result<(), Infallible> {
            let ($to, _) = (self, $columns);
            $write;
            Ok(())
        })+
    };
}

impl<'a> Giver<'a> for Writing {
    type Error = Infallible;

    gives! { to, columns, value:
        new_site[1]: SiteName = to.put(&columns[0], value);
        new_patch[2]: PatchName = {
            to.put(&columns[0], value.patch());
            to.put(&columns[1], value.site())
        };
        site[1]: SiteName = to.put(&columns[0], value);
        part_of_site[1]: Option<Arc<str>> = to.maybe_put(&columns[0], value.as_ref());
        patch[1]: PatchName = to.put(&columns[0], value);
        stand[5]: PatchName = to.put(&columns[0], value);
        word[1]: Arc<str> = to.put(&columns[0], value);
        maybe_word[1]: Option<Arc<str>> = to.maybe_put(&columns[0], value.as_ref());
        words[1]: Vec<Arc<str>> = to.put_all(&columns[0], value);
        written[1]<W>: W = to.put(&columns[0], value);
        maybe_written[1]<W>: Option<W> = to.maybe_put(&columns[0], value.as_ref());
        list[1]<W>: Vec<W> = to.put_all(&columns[0], value);
        yes_or_no[1]: bool = to.put(&columns[0], if *value { "yes" } else { "no" });
        people[1]: Option<u32> = to.maybe_put(&columns[0], *value);
        seed[1]: u32 = to.put(&columns[0], value);
        how_many[1]: u32 = to.put(&columns[0], value);
        area[1]: SquareMetres = to.put(&columns[0], value.0);
        part[1]: f64 = to.put(&columns[0], value);
        buffer[1]: Metres = to.put(&columns[0], value.0);
        first_day[1]: Date = to.put(&columns[0], value);
        last_day[1]: Option<Date> = to.maybe_put(&columns[0], *value);
        amount[2]: Amount = to.put_amount(columns, Some(*value));
        cap[2]: Option<Amount> = to.put_amount(columns, *value);
        by_eye[1]: Amount = to.put(&columns[0], plain_amount(*value));
        shape[0]: Geometry = to.shape = Some(value.clone());
        boundary[0]: MultiPolygon = to.shape = Some(Geometry::MultiPolygon(value.clone()));
        footprint[3]: Footprint = {
            to.cells.extend(footprint::cell(value));
            to.shape = Some(footprint::shape(value));
        };
        maybe_footprint[3]: Option<Footprint> = {
            to.cells.extend(value.as_ref().and_then(footprint::cell));
            to.shape = value.as_ref().map(footprint::shape);
        };
        method[15]: SurveyMethod = to.measured = Some(method::rows(value, to.measure));
    }
}
