//! The kinds of record: the one list of them, and what follows from it.
//!
//! Each kind says what it is in the file of its record; files and books add how they read and
//! write it, each in one file of their own. Whoever treats all kinds alike goes by this list.

use jiff::civil::Date;

use super::{Declared, Land, PatchName, Recorded, SiteName};
use crate::units::agreeing;

/// A kind that is in the list.
pub trait Listed: Recorded + Declared + Into<Record> {
    /// Its place in the list.
    const KIND: Kind;
}

macro_rules! kinds {
    (@held $record:ident) => { super::$record };
    (@held $record:ident in $holder:ident) => { $holder<super::$record> };
    ($d:tt $($kind:ident($record:ident $(in $holder:ident)?)),+ $(,)?) => {
        /// The kinds of record, in the order in which one may refer to another.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum Kind { $(
            #[doc = concat!("A [`", stringify!($record), "`](super::", stringify!($record), ").")]
            $kind
        ),+ }

        /// Any record, for those who handle all kinds alike.
        #[derive(Clone, Debug, PartialEq)]
        pub enum Record { $(
            #[doc = concat!("Of the kind [`Kind::", stringify!($kind), "`].")]
            $kind(kinds!(@held $record $(in $holder)?))
        ),+ }

        impl Kind {
            /// Every kind, each behind those that it refers to.
            pub const ALL: [Self; [$(Self::$kind),+].len()] = [$(Self::$kind),+];
        }

        $(impl Listed for super::$record {
            const KIND: Kind = Kind::$kind;
        })+

        $(impl From<super::$record> for Record {
            fn from(record: super::$record) -> Self {
                Self::$kind(record.into())
            }
        })+

        /// Does the same with a record of whichever kind: `of_any_kind!(record, it => it.gist())`.
        #[macro_export]
        macro_rules! of_any_kind {
            ($d record:expr, $d it:ident => $d done:expr) => {
                match $d record {
                    $($crate::records::Record::$kind($d it) => {
                        let $d it: &$crate::records::$record = $d it;
                        $d done
                    }),+
                }
            };
        }

        /// Does the same for any kind, with the type of its records:
        /// `for_its_type!(kind, T => T::NAME)`.
        #[macro_export]
        macro_rules! for_its_type {
            ($d kind:expr, $d T:ident => $d done:expr) => {
                match $d kind {
                    $($crate::records::Kind::$kind => {
                        type $d T = $crate::records::$record;
                        $d done
                    }),+
                }
            };
        }
    };
}

kinds! { $
    Site(Site),
    Zone(Zone),
    Patch(Patch),
    Permission(Permission),
    Closure(Closure),
    Override(CropOverride),
    Walk(Walk),
    Survey(Survey),
    Glance(Glance),
    Hold(Hold),
    Cut(Cut),
    Clipping(Clipping),
    // Twice as long as any other: of a million cuts, each would take up as much.
    Visit(Visit in Box),
    Redraw(Redraw),
    Landmark(Landmark),
    Emergency(Emergency),
}

pub use {for_its_type, of_any_kind};

impl Kind {
    /// One of it, as messages and tables call it: `cut`.
    pub const fn name(self) -> &'static str {
        for_its_type!(self, T => T::NAME)
    }

    /// Several of it, as messages and files call it: `cuts`.
    pub const fn plural(self) -> &'static str {
        for_its_type!(self, T => T::PLURAL)
    }

    /// `1 cut`, `3 cuts`.
    pub fn counted(self, n: usize) -> String {
        format!("{n} {}", agreeing(n, self.name(), self.plural()))
    }

    /// What goes into its file, in a sentence or two.
    pub const fn what(self) -> &'static str {
        for_its_type!(self, T => T::WHAT)
    }

    /// What of the land it is about.
    pub const fn land(self) -> Land {
        for_its_type!(self, T => T::LAND)
    }

    /// Whether it is seen or done on a day, and so cannot lie ahead.
    pub const fn is_deed(self) -> bool {
        for_its_type!(self, T => T::IS_DEED)
    }

    /// Whether it is drawn on a map, and so a feature and not a row.
    pub const fn has_shape(self) -> bool {
        for_its_type!(self, T => T::HAS_SHAPE)
    }
}

impl Record {
    /// Of which kind it is.
    pub fn kind(&self) -> Kind {
        fn kind_of<T: Listed>(_: &T) -> Kind {
            T::KIND
        }
        of_any_kind!(self, record => kind_of(record))
    }

    /// The site that it is about, or on which its patch lies.
    pub fn site(&self) -> &SiteName {
        of_any_kind!(self, record => record.site())
    }

    /// The patch that it is about or sets down; `None` for a site, or what holds on all of one.
    pub fn patch_name(&self) -> Option<PatchName> {
        of_any_kind!(self, record => {
            record.patch().and_then(|patch| PatchName::new(record.site(), patch).ok())
        })
    }

    /// What an entry of this kind is told apart by: its name, or patch, day and person.
    /// Further entries alike get ` #2`, ` #3` behind it.
    pub fn natural_key(&self, happened_on: Date, by: &str) -> String {
        of_any_kind!(self, record => record.key(happened_on, by))
    }

    /// All that it says in one line, without day and person.
    pub fn gist(&self) -> String {
        of_any_kind!(self, record => record.gist())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_kind_has_names_of_its_own() {
        for kind in Kind::ALL {
            let alike = |other: &&Kind| other.name() == kind.name();
            assert_eq!(Kind::ALL.iter().filter(alike).count(), 1, "{kind:?}");
            let alike = |other: &&Kind| other.plural() == kind.plural();
            assert_eq!(Kind::ALL.iter().filter(alike).count(), 1, "{kind:?}");
        }
    }

    #[test]
    fn places_come_before_what_is_about_them() {
        let at = |land: Land| Kind::ALL.iter().position(|kind| kind.land() == land);
        let first = Kind::ALL.iter().position(|kind| kind.land() == Land::Patch);
        assert!(at(Land::NewSite) < at(Land::NewPatch) && at(Land::NewPatch) < first);
        assert_eq!(at(Land::NewSite), Some(0));
    }
}
