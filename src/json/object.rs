//! Objects: members by their names.

use serde_json::{Map, Value};

use super::form::Form;
use super::shape::Shape;
use crate::units::Measure;

/// Members as they are written.
pub type Members = Map<String, Value>;

/// Something with members.
pub trait Object: Sized {
    /// Writes them behind those that are there.
    fn put_members(self, members: &mut Members);

    /// Declares them behind those that are declared.
    fn declare_members(shape: &mut Shape);
}

/// What a field of an [`Object`] writes: most often a member of its own name.
pub trait Member: Sized {
    /// Writes it.
    fn put(self, name: &str, members: &mut Members);

    /// Declares it; `about` may be empty.
    fn declare(name: &str, about: &str, shape: &mut Shape);
}

impl<T: Form> Member for T {
    fn put(self, name: &str, members: &mut Members) {
        put(name, self.value(), members);
    }

    fn declare(name: &str, about: &str, shape: &mut Shape) {
        shape.add(name, T::schema(), about);
    }
}

fn put(name: &str, value: Value, members: &mut Members) {
    members.insert(name.to_owned(), value);
}

/// `most_g` for grams, `most_count` for pieces.
pub fn in_unit(name: &str, measure: Measure) -> String {
    match measure {
        Measure::Mass => format!("{name}_g"),
        Measure::Count => format!("{name}_count"),
    }
}

/// An amount under the name of its own unit only: `most_g` or `most_count`.
#[derive(Clone, Copy, Debug)]
pub struct InUnit<T>(pub Measure, pub T);

impl<T: Form> Member for InUnit<T> {
    fn put(self, name: &str, members: &mut Members) {
        put(&in_unit(name, self.0), self.1.value(), members);
    }

    fn declare(name: &str, about: &str, shape: &mut Shape) {
        let names = [Measure::Mass, Measure::Count].map(|measure| in_unit(name, measure));
        shape.add_either(names, &T::schema(), about);
    }
}

/// Not there where there is nothing.
#[derive(Clone, Copy, Debug)]
pub struct Perhaps<T>(pub Option<T>);

impl<T> Default for Perhaps<T> {
    fn default() -> Self {
        Self(None)
    }
}

impl<T: Member> Member for Perhaps<T> {
    fn put(self, name: &str, members: &mut Members) {
        if let Some(there) = self.0 {
            there.put(name, members);
        }
    }

    fn declare(name: &str, about: &str, shape: &mut Shape) {
        let mut there = Shape::default();
        T::declare(name, about, &mut there);
        shape.add_optional(there);
    }
}

/// The members of another object among one's own; the field's name is not written.
#[derive(Clone, Copy, Debug)]
pub struct Flat<T>(pub T);

impl<T: Object> Member for Flat<T> {
    fn put(self, _: &str, members: &mut Members) {
        self.0.put_members(members);
    }

    fn declare(_: &str, _: &str, shape: &mut Shape) {
        T::declare_members(shape);
    }
}

/// A type with fields that are [`Member`]s: `r#for` is the member `for`. What stands above a field as
/// its comment is its description in the schema.
macro_rules! object {
    ($(
        $(#[$doc:meta])*
        $vis:vis struct $Name:ident $(<$life:lifetime>)? {
            $($(#[doc = $about:literal])* $seen:vis $field:ident: $Type:ty),+ $(,)?
        }
    )+) => {$(
        $(#[$doc])*
        #[derive(Debug)]
        $vis struct $Name $(<$life>)? {
            $($(#[doc = $about])* $seen $field: $Type),+
        }

        impl $(<$life>)? $crate::json::Object for $Name $(<$life>)? {
            fn put_members(self, members: &mut $crate::json::Members) {
                $($crate::json::Member::put(
                    self.$field,
                    stringify!($field).trim_start_matches("r#"),
                    members,
                );)+
            }

            fn declare_members(shape: &mut $crate::json::Shape) {
                $(<$Type as $crate::json::Member>::declare(
                    stringify!($field).trim_start_matches("r#"),
                    concat!($($about),*).trim(),
                    shape,
                );)+
            }
        }

        impl $(<$life>)? $crate::json::Form for $Name $(<$life>)? {
            fn value(self) -> serde_json::Value {
                let mut members = $crate::json::Members::new();
                $crate::json::Object::put_members(self, &mut members);
                serde_json::Value::Object(members)
            }

            fn schema() -> serde_json::Value {
                let mut shape = $crate::json::Shape::default();
                <Self as $crate::json::Object>::declare_members(&mut shape);
                shape.schema()
            }
        }
    )+};
}
pub(crate) use object;
