//! The fields of a kind of record, declared once, and the doors through which they go.
//!
//! A kind lists its fields with [`fields!`]: each with a form, which is a method of the two
//! doors here, and the columns that it has in a file. Whoever writes records is a [`Giver`] and
//! is given every field in turn; whoever reads them is a [`Taker`] and is asked for each. What a
//! form looks like in a file or in a table, only the folder knows that has the door.

use std::fmt::Display;
use std::str::FromStr;
use std::sync::Arc;

use geo::{Geometry, MultiPolygon};
use jiff::civil::Date;

use super::{Column, CropField, Footprint, PatchName, SiteName, SurveyMethod, Taken};
use crate::units::{Amount, Metres, SquareMetres};

/// The columns of one field in a file.
pub type Columns<const N: usize> = &'static [Column; N];

/// A field as it is declared.
#[derive(Clone, Copy, Debug)]
pub struct Field {
    /// The name of its form.
    pub form: &'static str,
    /// What it has in a file.
    pub columns: &'static [Column],
}

/// A record whose fields are declared.
pub trait Declared: Sized {
    /// In the order in which files have them.
    const FIELDS: &'static [Field];

    /// Hands every field to `to`, in that order.
    fn give<'a, G: Giver<'a>>(&'a self, to: &mut G) -> Result<(), G::Error>;

    /// Asks `from` for every field, in that order, whatever became of those before; so that a
    /// reader can name all that is wrong.
    fn take<T: Taker>(from: &mut T) -> Result<Self, T::Error>;
}

/// Something that is written as it is read: a name, a choice of a few, an item of a list.
pub trait Written: Display + FromStr<Err: ToString> {
    /// What is expected in its place, where it is nothing to be recorded.
    fn is_unusable(&self) -> Option<&'static str> {
        None
    }
}

/// Declares the fields of a record: `fields! { Glance { patch: stand(STAND), … } }`.
macro_rules! fields {
    ($record:ident { $($field:ident: $form:ident($columns:expr)),+ $(,)? }) => {
        impl $crate::records::Declared for $record {
            const FIELDS: &'static [$crate::records::Field] = &[$($crate::records::Field {
                form: stringify!($form),
                columns: &$columns,
            }),+];

            fn give<'a, G: $crate::records::Giver<'a>>(&'a self, to: &mut G) -> Result<(), G::Error> {
                $(to.$form(const { &$columns }, &self.$field)?;)+
                Ok(())
            }

            fn take<T: $crate::records::Taker>(from: &mut T) -> Result<Self, T::Error> {
                $(let $field = from.$form(const { &$columns });)+
                Ok(Self { $($field: $field?),+ })
            }
        }
    };
}
pub(super) use fields;

macro_rules! forms {
    (
        { $($(#[$doc:meta])* $form:ident[$n:literal] $(<$W:ident>)?: $value:ty;)+ }
        { $($(#[$doc_like:meta])* $like:ident[$n_like:literal]: $value_like:ty => $plain:ident;)+ }
    ) => {
        /// Takes each field of a record in turn.
        #[allow(clippy::ptr_arg, reason = "the value is the field itself")]
        pub trait Giver<'a> {
            /// Why a field cannot be taken: what a file or a table says.
            type Error;

            $($(#[$doc])* fn $form$(<$W: Written>)?(
                &mut self,
                columns: Columns<$n>,
                value: &'a $value,
            ) -> Result<(), Self::Error>;)+

            $($(#[$doc_like])* fn $like(
                &mut self,
                columns: Columns<$n_like>,
                value: &'a $value_like,
            ) -> Result<(), Self::Error> {
                self.$plain(columns, value)
            })+
        }

        /// Gives each field of a record in turn.
        pub trait Taker {
            /// Why a field cannot be given: what is wrong with what a file or a table says.
            type Error;

            $($(#[$doc])* fn $form$(<$W: Written>)?(
                &mut self,
                columns: Columns<$n>,
            ) -> Result<$value, Self::Error>;)+

            $($(#[$doc_like])* fn $like(
                &mut self,
                columns: Columns<$n_like>,
            ) -> Result<$value_like, Self::Error> {
                self.$plain(columns)
            })+
        }
    };
}

// Each form, how many columns it has in a file, and what it is; below, those that are as plain
// as another but for what a reader of files asks of them.
forms! { {
    /// The name of the site that the record sets down.
    new_site[1]: SiteName;
    /// The name and the site of the patch that the record sets down.
    new_patch[2]: PatchName;
    /// The site that it is about.
    site[1]: SiteName;
    /// Beside `site`: the patch there, or the whole of it.
    part_of_site[1]: Option<Arc<str>>;
    /// The patch that it is about.
    patch[1]: PatchName;
    /// The same, by its name or by a crop and a position.
    stand[5]: PatchName;

    /// Words of one's own that must be there.
    word[1]: Arc<str>;
    /// Words of one's own, if there are any.
    maybe_word[1]: Option<Arc<str>>;
    /// Several words of one's own, or none.
    words[1]: Vec<Arc<str>>;
    /// What has a written form of its own.
    written[1]<W>: W;
    /// The same, if it is there.
    maybe_written[1]<W>: Option<W>;
    /// Several of them, or none.
    list[1]<W>: Vec<W>;
    /// No, where nothing is said.
    yes_or_no[1]: bool;
    /// How many came, if anyone counted them.
    people[1]: Option<u32>;
    /// 1, where nothing is said.
    seed[1]: u32;
    /// How many squares were cut.
    how_many[1]: u32;
    /// Of one square.
    area[1]: SquareMetres;
    /// What was left standing of a square; a quarter, where nothing is said.
    part[1]: f64;
    /// Around a shape; 0, where nothing is said.
    buffer[1]: Metres;

    /// The day from which it holds, or on which it is to be.
    first_day[1]: Date;
    /// The last day on which it holds, not before the first.
    last_day[1]: Option<Date>;

    /// In grams or in pieces, as the crop of its patch is reckoned.
    amount[2]: Amount;
    /// The most of each crop that it names.
    cap[2]: Option<Amount>;
    /// Judged by eye, with its unit.
    by_eye[1]: Amount;

    /// Any shape on a map.
    shape[0]: Geometry;
    /// The area of a site on a map.
    boundary[0]: MultiPolygon;
    /// The ground of a patch: a shape on a map, with a width or a number of plants.
    footprint[3]: Footprint;
    /// None for a patch that has no ground any more.
    maybe_footprint[3]: Option<Footprint>;
    /// A survey's way of measuring and all that was measured.
    method[15]: SurveyMethod;

} {
    /// What something on its site is called there.
    name_on_site[1]: Arc<str> => word;
    /// Of the catalogue, and grown on its patch.
    crop[1]: Arc<str> => word;
    /// Of the catalogue; none for all of them.
    crops[1]: Vec<Arc<str>> => words;
    /// A day that may be said, whatever other days there are.
    later_day[1]: Option<Date> => last_day;
    /// Further sites, or none.
    sites[1]: Vec<SiteName> => list;
    /// Which value of a crop.
    crop_field[1]: CropField => written;
    /// What that field of that crop can be.
    crop_value[1]: Arc<str> => word;
    /// All, where nothing is said.
    taken[1]: Taken => written;
} }
