//! What comes out as JSON: each object's members are declared once, as fields with their types, and
//! both what is written and its JSON Schema (draft 2020-12) are made of that.

mod document;
mod form;
mod object;
mod shape;

pub use document::{any_of, document, map_or_not, written};
pub use form::{Coded, Degrees, Exact, Feature, FeatureCollection, Form, Geometry, number};
pub(crate) use form::{coded, one_of};
pub(crate) use object::object;
pub use object::{Flat, InUnit, Member, Members, Object, Perhaps, in_unit};
pub use shape::{Shape, closed, or_null};

/// A version of JSON that comes out: its name, and the schema of what bears it.
pub type Declared = (&'static str, serde_json::Value);
