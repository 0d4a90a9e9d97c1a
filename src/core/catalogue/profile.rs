//! From a TOML table to the profile of a crop.

use std::sync::Arc;

use toml::{Table, Value};

use crate::records::{Crop, CropField, Habit, LookAlike, LookAlikeGrade, PlantPart, Status};
use crate::units::{Amount, Measure};

use super::codes::Code;
use super::fields::expected;
use super::table::CropTable;
use super::{CatalogueProblem, CatalogueProblems, defaults};

/// Fields of the model that only the crop itself can know.
const REQUIRED: [CropField; 3] =
    [CropField::Season, CropField::TakeFraction, CropField::RecoveryDays];

/// Reads the crops of one file, one table each.
///
/// # Errors
/// Every problem of the file: the crop, the field, what was found and what would be right.
pub fn read(file: &str, toml: &str) -> Result<Vec<Crop>, CatalogueProblems> {
    let tables: Table =
        toml.parse().map_err(|error| CatalogueProblems::not_toml(file, toml, &error))?;
    let mut crops = Vec::with_capacity(tables.len());
    let mut problems = Vec::new();
    for (name, value) in &tables {
        if let Value::Table(fields) = value {
            let mut table = CropTable::new(name, fields);
            table.refuse_unfit();
            crops.push(profile(&mut table));
            problems.extend(table.finish());
        } else {
            let (crop, found) = (name.clone(), value.to_string());
            problems.push(CatalogueProblem::NotATable { crop, found });
        }
    }
    if problems.is_empty() {
        Ok(crops)
    } else {
        Err(CatalogueProblems { file: file.to_owned(), problems })
    }
}

fn profile(table: &mut CropTable<'_>) -> Crop {
    let mut crop = described(table);
    for field in CropField::ALL {
        set(&mut crop, field, table);
    }
    crop
}

/// The crop with its texts, and the defaults of its habit and code of practice.
fn described(table: &mut CropTable<'_>) -> Crop {
    let habit = table.one_of("habit", Habit::ALL, Habit::name);
    let part = table.one_of("part", PlantPart::ALL, PlantPart::name);
    let code = table.optional_one_of("code", Code::ALL, Code::name);
    let piece = table.optional_text("piece");
    let measure = if piece.is_some() { Measure::Count } else { Measure::Mass };
    Crop {
        name: table.name(),
        common_name: table.text("common_name"),
        scientific_name: table.text("scientific_name"),
        part,
        kitchen_role: table.text("kitchen_role"),
        habit,
        measure,
        piece: piece.unwrap_or_else(|| "piece".into()),
        window: defaults::season_to_be_read(),
        recovery: defaults::recovery_to_be_read(),
        growth_by_month: None,
        full_by_month: None,
        full_late_days: None,
        kept_standing: defaults::kept_standing(habit, part),
        reserve: defaults::reserve(habit),
        leave_per_m2: table.optional_sourced("leave_per_m2", density),
        cuts_per_season: None,
        code_cap: code.map(Code::cap),
        per_person_visit: table
            .optional_sourced("per_person_visit", |text| amount(text, measure))
            .or_else(|| code.and_then(Code::per_person_visit)),
        smallest_useful: defaults::smallest_useful(measure),
        status: status(table),
        countable: countable(table),
        cut_method: table.sourced_text("cut_method"),
        look_alikes: look_alikes(table),
        look_alikes_source: table.source("look_alikes"),
        cautions: table.sourced_text("cautions"),
        legal_note: table.sourced_text("legal_note"),
    }
}

/// Sets a field of the model, if the table gives it.
fn set(crop: &mut Crop, field: CropField, table: &mut CropTable<'_>) {
    match table.written(field.name()) {
        Some(text) => {
            let source = table.source(source_name(field));
            if let Err(error) = crop.set(field, &text, &source) {
                table.problem(error.field, Some(error.found), error.expected);
            }
        }
        None if REQUIRED.contains(&field) => table.missing(field.name()),
        None => {}
    }
}

/// The two halves of a recovery have one source.
fn source_name(field: CropField) -> &'static str {
    match field {
        CropField::TakeFraction | CropField::RecoveryDays => "recovery",
        other => other.name(),
    }
}

fn status(table: &mut CropTable<'_>) -> Status {
    let protected = table.optional_sourced_text("protected");
    let invasive = table.optional_sourced_text("invasive");
    match (protected, invasive) {
        (Some(_), Some(caution)) => {
            let both = Some(caution.value.to_string());
            table.problem("invasive", both, "either `protected` or `invasive`, not both");
            Status::Ordinary
        }
        (Some(reason), None) => Status::Protected(reason),
        (None, Some(caution)) => Status::Invasive(caution),
        (None, None) => Status::Ordinary,
    }
}

fn countable(table: &mut CropTable<'_>) -> bool {
    match table.value("countable") {
        None | Some(Value::Boolean(true)) => true,
        Some(Value::Boolean(false)) => false,
        Some(other) => {
            table.problem("countable", Some(other.to_string()), expected("countable"));
            true
        }
    }
}

/// `look_alikes = [{ name = "hemlock", grade = "fatal" }]`; an empty list says there are none.
fn look_alikes(table: &mut CropTable<'_>) -> Vec<LookAlike> {
    const FIELD: &str = "look_alikes";
    let Some(value) = table.value(FIELD) else {
        table.missing(FIELD);
        return Vec::new();
    };
    let items = value.as_array().map_or(&[][..], Vec::as_slice);
    let read: Option<Vec<LookAlike>> = items.iter().map(look_alike).collect();
    match read {
        Some(look_alikes) if value.is_array() => look_alikes,
        _ => {
            table.problem(FIELD, Some(value.to_string()), expected(FIELD));
            Vec::new()
        }
    }
}

fn look_alike(value: &Value) -> Option<LookAlike> {
    let name: Arc<str> = value.get("name")?.as_str()?.trim().into();
    let grade = value.get("grade")?.as_str()?;
    let grade = LookAlikeGrade::ALL.into_iter().find(|known| known.name() == grade)?;
    Some(LookAlike { name, grade }).filter(|look_alike| !look_alike.name.is_empty())
}

fn amount(text: &str, measure: Measure) -> Option<Amount> {
    text.parse().ok().filter(|amount: &Amount| amount.measure == measure && amount.value > 0.0)
}

fn density(text: &str) -> Option<f64> {
    text.parse().ok().filter(|per_m2: &f64| per_m2.is_finite() && *per_m2 > 0.0)
}
