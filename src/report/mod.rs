//! Assessments and seasons as text: tables, data formats, plots, cautions.
//!
//! No files, no clock, no printing, and no arithmetic beyond rounding and drawing.

mod accounts;
pub mod at_desk;
mod blurred;
mod box_packing;
mod box_plan_data;
mod box_plan_document;
#[cfg(feature = "bring")]
mod bringing;
#[cfg(feature = "bring")]
mod bringing_map;
#[cfg(feature = "bring")]
mod bringing_words;
mod by_site;
mod calendar;
mod calendar_data;
mod calendar_month;
mod calendar_page;
pub mod cautions;
mod charge;
mod check_data;
mod check_document;
mod codes;
mod column;
mod comeback;
mod contradictions;
mod counting;
mod crop_data;
mod crop_facts;
mod crops;
mod darwin_core;
mod day_map;
mod due;
mod effects;
mod evidence;
mod evidence_data;
mod fall;
pub mod field;
mod found_growing;
mod full_season;
mod granted;
mod hardest;
mod history;
mod keeping;
mod lacking;
pub mod layout;
mod looked_through;
mod map;
mod markup;
mod opening;
pub mod page;
mod people;
mod plan_gap;
mod planned_takes;
mod plot;
mod pressure_data;
mod pressure_document;
mod pressure_map;
mod pressure_strip;
mod pressure_words;
mod proof;
mod proof_names;
mod proof_tested;
mod proof_together;
mod reasons;
pub mod receipt;
mod recovery_plan;
mod rehearsal_data;
mod rehearsal_document;
mod rehearsal_played;
mod rehearsal_walks;
mod rehearsal_words;
mod schemas;
mod season;
mod sheet;
mod sparkline;
mod steps;
pub mod stress;
mod survey_advice_data;
mod survey_advice_document;
mod survey_plan_data;
mod survey_plan_document;
mod trace;
mod unsettled;
mod walk_list;
mod walk_plan_data;
mod walk_plan_document;
mod walk_split_data;
mod walk_split_document;
mod week_data;
mod week_document;
mod week_map;
mod years;

pub use accounts::accounted;
pub use blurred::{BLURRED_SCHEMA, blurred_csv, blurred_document, blurred_json, blurred_map};
pub use box_plan_data::{BOX_PLAN_SCHEMA, box_plan_json};
pub use box_plan_document::box_plan_document;
#[cfg(feature = "bring")]
pub use bringing::{
    Brought, bringing, bringing_form, bringing_numbered, bringing_prompt, bringing_refused,
    bringing_why,
};
#[cfg(feature = "bring")]
pub use bringing_map::{map_form, map_prompt};
pub use calendar_data::{CALENDAR_SCHEMA, calendar_json};
pub use calendar_month::month_document;
pub use calendar_page::calendar_document;
pub use charge::{charged, may_have_stopped_short, over_allowed, where_allowed};
pub use check_data::{CHECK_SCHEMA, check_json};
pub use check_document::{check_document, check_document_in_short};
pub use comeback::how_fast;
pub use crop_data::{CROP_SCHEMA, CROPS_SCHEMA, crop_json, crops_json};
pub use crops::{Listed, crop_document, crops_document};
pub use darwin_core::darwin_core;
pub use day_map::{MAP_SCHEMA, Place, Telling, day_map};
pub use due::{DUE_SCHEMA, due_calendar, due_document, due_json};
pub use effects::effects_list;
pub use evidence::trend_name;
pub use field::{App, FIELD_SCHEMA, FieldPage, field_page};
pub use history::{HISTORY_SCHEMA, fact_line, history_csv, history_document, history_json};
pub use looked_through::{
    LookedThrough, VERIFY_SCHEMA, looked_through_document, looked_through_json,
};
pub use map::{
    MapOf, MapPatch, Placing, STEPS, Shade, Shading, landmark_letter, landmark_place,
    placed_site_map, site_map,
};
pub use planned_takes::{PLANNED_TAKES_SCHEMA, planned_takes_document, planned_takes_json};
pub use plot::{
    CropScale, PlotError, Scale, calendar_svg, pressure_svg, proof_svg, rehearsal_svg,
    week_strip_svg,
};
pub use pressure_data::{
    PRESSURE_SCHEMA, pressure_csv, pressure_csv_more, pressure_json, pressure_json_around,
    pressure_json_of,
};
pub use pressure_document::PressureDocument;
pub use pressure_map::pressure_map_svg;
pub use proof::{proof_report, proof_row};
pub use proof_names::Named;
pub use recovery_plan::{PlannedTest, recovery_csv, recovery_document};
pub use rehearsal_data::{REHEARSAL_SCHEMA, rehearsal_csv, rehearsal_json};
pub use rehearsal_document::{Rehearsal, never_surveyed, rehearsal_document};
pub use rehearsal_played::{LeftOut, PlanFrom};
pub use schemas::schemas;
pub use season::{
    SEASON_SCHEMA, season_document, season_geojson, season_patches_csv, season_visits_csv,
};
pub use sheet::{WalkSheet, walk_sheet};
pub use sparkline::SeasonLine;
pub use survey_advice_data::{SURVEY_ADVICE_SCHEMA, survey_advice_csv, survey_advice_json};
pub use survey_advice_document::survey_advice_document;
pub use survey_plan_data::{
    SURVEY_PLAN_SCHEMA, survey_plan_csv, survey_plan_geojson, survey_plan_gpx,
};
pub use survey_plan_document::{PlannedSurvey, survey_plan_document};
pub use trace::trace_section;
pub use unsettled::Unsettled;
pub use walk_list::{
    ListedWalk, WALK_LIST_SCHEMA, walk_list_csv, walk_list_document, walk_list_json,
};
pub use walk_plan_data::{WALK_PLAN_SCHEMA, walk_plan_geojson, walk_plan_json};
pub use walk_plan_document::walk_plan_document;
pub use walk_split_data::{WALK_SPLIT_SCHEMA, walk_split_json};
pub use walk_split_document::walk_split_document;
pub use week_data::{WEEK_SCHEMA, week_csv, week_csv_headings, week_csv_lines, week_json};
pub use week_document::{Detail, no_patch_known, week_document};
pub use week_map::week_maps;
pub use years::{YEARS_SCHEMA, years_document, years_json};
