//! Values by their types: how each is written, and how its schema has it.

use jiff::civil::Date;
use serde_json::{Number, Value, json};

/// What stands behind a name.
pub trait Form: Sized {
    /// As it is written.
    fn value(self) -> Value;

    /// Every value of this type, and nothing else.
    fn schema() -> Value;
}

/// Rounded to four decimals; null for what is no number.
pub fn number(value: f64) -> Value {
    const ROUNDED: f64 = 1e4;
    // `+ 0.0` turns −0 into 0.
    let rounded = (value * ROUNDED).round() / ROUNDED + 0.0;
    let shown = if rounded.is_finite() { rounded } else { value };
    Number::from_f64(shown).map_or(Value::Null, Value::Number)
}

/// To the last digit.
#[derive(Clone, Copy, Debug)]
pub struct Exact(pub f64);

/// Seven decimals: a centimetre.
#[derive(Clone, Copy, Debug)]
pub struct Degrees(pub f64);

/// A GeoJSON geometry (RFC 7946, 3.1).
#[derive(Clone, Debug)]
pub struct Geometry(pub Value);

/// The `type` of a feature (RFC 7946, 3.2).
#[derive(Clone, Copy, Debug)]
pub struct Feature;

/// The `type` of a whole collection (RFC 7946, 3.3).
#[derive(Clone, Copy, Debug, Default)]
pub struct FeatureCollection;

macro_rules! fixed {
    ($($Sort:ident),+) => {$(
        impl Form for $Sort {
            fn value(self) -> Value {
                stringify!($Sort).into()
            }

            fn schema() -> Value {
                json!({ "const": stringify!($Sort) })
            }
        }
    )+};
}

fixed!(Feature, FeatureCollection);

impl From<geojson::GeometryValue> for Geometry {
    fn from(shape: geojson::GeometryValue) -> Self {
        Self(serde_json::to_value(geojson::Geometry::new(shape)).unwrap_or(Value::Null))
    }
}

/// A word of a short list.
pub trait Coded: Sized {
    /// All words that may stand there.
    fn codes() -> Vec<&'static str>;

    /// This one.
    fn code(self) -> &'static str;
}

/// Implements [`Coded`] and [`Form`] for types with a list of `ALL` and a `name` each.
macro_rules! coded {
    ($($Word:ty),+ $(,)?) => {$(
        impl $crate::json::Coded for $Word {
            fn codes() -> Vec<&'static str> {
                <$Word>::ALL.into_iter().map(<$Word>::name).collect()
            }

            fn code(self) -> &'static str {
                self.name()
            }
        }

        impl $crate::json::Form for $Word {
            fn value(self) -> serde_json::Value {
                self.name().into()
            }

            fn schema() -> serde_json::Value {
                $crate::json::closed(&<$Word as $crate::json::Coded>::codes())
            }
        }
    )+};
}
pub(crate) use coded;

/// A short list of words, each with its name.
macro_rules! one_of {
    ($($(#[$doc:meta])* $vis:vis enum $Word:ident { $($(#[$about:meta])* $Name:ident = $name:literal),+ $(,)? })+) => {$(
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq)]
        $vis enum $Word { $($(#[$about])* $Name),+ }

        impl $Word {
            const ALL: [Self; [$($name),+].len()] = [$(Self::$Name),+];

            $vis fn name(self) -> &'static str {
                match self { $(Self::$Name => $name),+ }
            }
        }

        $crate::json::coded!($Word);
    )+};
}
pub(crate) use one_of;

impl Form for f64 {
    fn value(self) -> Value {
        number(self)
    }

    fn schema() -> Value {
        json!({ "type": "number" })
    }
}

impl Form for Exact {
    fn value(self) -> Value {
        Number::from_f64(self.0).map_or(Value::Null, Value::Number)
    }

    fn schema() -> Value {
        f64::schema()
    }
}

impl Form for Degrees {
    fn value(self) -> Value {
        ((self.0 * 1e7).round() / 1e7).into()
    }

    fn schema() -> Value {
        json!({ "type": "number", "minimum": -180, "maximum": 180 })
    }
}

impl Form for Geometry {
    fn value(self) -> Value {
        self.0
    }

    fn schema() -> Value {
        json!({ "$ref": super::shape::GEOMETRY })
    }
}

impl Form for bool {
    fn value(self) -> Value {
        self.into()
    }

    fn schema() -> Value {
        json!({ "type": "boolean" })
    }
}

macro_rules! whole {
    ($($Number:ty => $schema:expr),+ $(,)?) => {$(
        impl Form for $Number {
            fn value(self) -> Value {
                self.into()
            }

            fn schema() -> Value {
                $schema
            }
        }
    )+};
}

whole! {
    u8 => json!({ "type": "integer", "minimum": 0 }),
    u32 => json!({ "type": "integer", "minimum": 0 }),
    u64 => json!({ "type": "integer", "minimum": 0 }),
    usize => json!({ "type": "integer", "minimum": 0 }),
    i8 => json!({ "type": "integer" }),
    i32 => json!({ "type": "integer" }),
    i64 => json!({ "type": "integer" }),
}

impl Form for String {
    fn value(self) -> Value {
        self.into()
    }

    fn schema() -> Value {
        json!({ "type": "string" })
    }
}

impl Form for &str {
    fn value(self) -> Value {
        self.into()
    }

    fn schema() -> Value {
        String::schema()
    }
}

impl Form for Date {
    fn value(self) -> Value {
        self.to_string().into()
    }

    fn schema() -> Value {
        json!({ "type": "string", "format": "date" })
    }
}

impl<T: Form> Form for Vec<T> {
    fn value(self) -> Value {
        self.into_iter().map(T::value).collect()
    }

    fn schema() -> Value {
        super::shape::array_of(T::schema())
    }
}

impl<T: Form, const N: usize> Form for [T; N] {
    fn value(self) -> Value {
        self.into_iter().map(T::value).collect()
    }

    fn schema() -> Value {
        json!({ "type": "array", "items": T::schema(), "minItems": N, "maxItems": N })
    }
}

/// Null where there is nothing.
impl<T: Form> Form for Option<T> {
    fn value(self) -> Value {
        self.map_or(Value::Null, T::value)
    }

    fn schema() -> Value {
        super::shape::or_null(T::schema())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_no_number_is_null_and_nothing_is_minus_nothing() {
        for (value, written) in [
            (f64::NAN, "null"),
            (f64::INFINITY, "null"),
            (-0.0, "0.0"),
            (0.123_456, "0.1235"),
            (1e300, "1e+300"),
            (1e305, "1e+305"),
        ] {
            assert_eq!(number(value).to_string(), written);
        }
    }
}
