//! What the columns of a kind's table are called.

use crate::records::{Column, Field, Listed};

/// Where a table calls a column otherwise than a file does; the tables without a name are all.
const OTHERWISE: [(&str, &str, &str); 19] = [
    // Words of SQL.
    ("", "from", "from_day"),
    ("", "to", "to_day"),
    ("cut", "mass_g", "taken_g"),
    ("cut", "count", "taken_pieces"),
    ("cut", "taken", "share_taken"),
    ("clipping", "mass_g", "cut_g"),
    ("clipping", "count", "cut_pieces"),
    ("clipping", "uncut_count", "uncut_pieces"),
    ("hold", "held_for", "walk"),
    ("hold", "mass_g", "most_g"),
    ("hold", "count", "most_pieces"),
    ("hold", "promised", "share_taken"),
    ("walk", "walk", "name"),
    ("walk", "for", "purpose"),
    ("permission", "for", "purposes"),
    ("permission", "cap_per_visit_g", "visit_cap_g"),
    ("permission", "cap_per_visit_count", "visit_cap_pieces"),
    ("permission", "cap_per_season_g", "season_cap_g"),
    ("permission", "cap_per_season_count", "season_cap_pieces"),
];

/// The columns after the envelope that all tables share, in the order in which the fields are
/// given and taken.
pub(in crate::book) fn columns<T: Listed>() -> String {
    T::FIELDS.iter().flat_map(|field| of_field(T::NAME, field)).collect::<Vec<_>>().join(", ")
}

fn of_field(table: &str, field: &Field) -> Vec<String> {
    let columns = match field.form {
        // The place in the envelope tells it.
        "site" | "part_of_site" | "patch" | "stand" => &[][..],
        "new_patch" => &["site", "name"],
        "shape" => &["shape"],
        "boundary" => &["boundary"],
        "footprint" | "maybe_footprint" => &["form", "width_m", "radius_m", "plants", "shape"],
        "method" => &["method", "measured_in"],
        "by_eye" => {
            let both =
                |column: &Column| ["g", "pieces"].map(|unit| format!("{}_{unit}", column.name));
            return field.columns.iter().flat_map(both).collect();
        }
        _ => return field.columns.iter().map(|column| called(table, column.name)).collect(),
    };
    columns.iter().map(|name| (*name).to_owned()).collect()
}

fn called(table: &str, name: &str) -> String {
    let is_it =
        |(of, named, _): &&(&str, &str, &str)| (of.is_empty() || *of == table) && *named == name;
    OTHERWISE.iter().find(is_it).map_or(name, |(.., other)| other).to_owned()
}
