//! The catalogue for machines: JSON, `stintbook.crops/1` and `stintbook.crop/1`.

use std::sync::Arc;

use super::cautions::{self, by_gravity};
use super::crop_facts::growth;
use super::crops::Listed;
use crate::json::{Declared, Flat, InUnit, Shape, object, written};
use crate::records::{Crop, Habit, LookAlikeGrade, PlantPart, Sourced, Status};
use crate::units::Measure;

/// The name and version of what [`crops_json`] writes.
pub const CROPS_SCHEMA: &str = "stintbook.crops/1";
/// The name and version of what [`crop_json`] writes.
pub const CROP_SCHEMA: &str = "stintbook.crop/1";

object! {
    /// All crops.
    struct CropsData<'a> {
        crops: Vec<InShort<'a>>,
    }

    /// One crop in full; each value with its source.
    struct CropData<'a> {
        in_short: Flat<InShort<'a>>,
        described: Flat<Described<'a>>,
        model: Flat<Model<'a>>,
        protection: Flat<Protection<'a>>,
    }

    struct InShort<'a> {
        name: &'a str,
        common_name: &'a str,
        scientific_name: &'a str,
        /// Where it is a keeper's own profile.
        own_file: Option<&'a str>,
        habit: Habit,
        season_from: String,
        season_to: String,
        gravest_look_alike: Option<LookAlikeGrade>,
    }

    struct Described<'a> {
        part: PlantPart,
        kitchen_role: &'a str,
        /// What is counted of it.
        piece: Option<&'a str>,
        countable: bool,
        cut_method: Text<'a>,
        look_alikes: LookAlikes<'a>,
        crop_cautions: Text<'a>,
        legal_note: Text<'a>,
        cautions: Vec<String>,
    }

    struct Text<'a> {
        value: &'a str,
        source: &'a str,
    }

    struct LookAlikes<'a> {
        /// The gravest first.
        value: Vec<LookAlikeData<'a>>,
        source: &'a str,
    }

    struct LookAlikeData<'a> {
        name: &'a str,
        grade: LookAlikeGrade,
    }

    struct Figure<'a> {
        value: f64,
        source: &'a str,
    }

    struct Whole<'a> {
        value: i64,
        source: &'a str,
    }

    struct Months<'a> {
        /// January first.
        value: Vec<f64>,
        source: &'a str,
    }

    struct Model<'a> {
        season: Spans<'a>,
        take_fraction: Figure<'a>,
        recovery_days: Figure<'a>,
        growth: &'a str,
        growth_by_month: Option<Months<'a>>,
        full_by_month: Option<Months<'a>>,
        full_late_days: Option<Whole<'a>>,
        kept_standing: Figure<'a>,
        reserve: Figure<'a>,
        smallest_useful: InUnit<Figure<'a>>,
    }

    struct Spans<'a> {
        value: String,
        source: &'a str,
    }

    struct Protection<'a> {
        leave_per_m2: InUnit<Option<Figure<'a>>>,
        cuts_per_season: Option<Whole<'a>>,
        code_cap: Option<Figure<'a>>,
        per_person_visit: InUnit<Option<Figure<'a>>>,
        protected: Option<Text<'a>>,
        invasive: Option<Text<'a>>,
    }
}

/// All crops in short.
pub fn crops_json<'a>(crops: impl IntoIterator<Item = Listed<'a>>) -> String {
    written(CROPS_SCHEMA, CropsData { crops: crops.into_iter().map(in_short).collect() })
}

/// One crop in full, each value with its source.
pub fn crop_json(listed: Listed) -> String {
    let crop = listed.crop;
    let data = CropData {
        in_short: Flat(in_short(listed)),
        described: Flat(described(crop)),
        model: Flat(model(crop)),
        protection: Flat(protection(crop)),
    };
    written(CROP_SCHEMA, data)
}

pub(super) fn declared() -> [Declared; 2] {
    [
        (CROPS_SCHEMA, Shape::of_version::<CropsData>(CROPS_SCHEMA)),
        (CROP_SCHEMA, Shape::of_version::<CropData>(CROP_SCHEMA)),
    ]
}

fn in_short<'a>(Listed { crop, own_file }: Listed<'a>) -> InShort<'a> {
    InShort {
        name: &crop.name,
        common_name: &crop.common_name,
        scientific_name: &crop.scientific_name,
        own_file,
        habit: crop.habit,
        season_from: crop.window.value.from.to_string(),
        season_to: crop.window.value.to.to_string(),
        gravest_look_alike: crop.gravest_look_alike().map(|it| it.grade),
    }
}

fn described(crop: &Crop) -> Described<'_> {
    Described {
        part: crop.part,
        kitchen_role: &crop.kitchen_role,
        piece: Some(&*crop.piece).filter(|_| crop.measure == Measure::Count),
        countable: crop.countable,
        cut_method: text(&crop.cut_method),
        look_alikes: LookAlikes {
            value: by_gravity(crop)
                .into_iter()
                .map(|it| LookAlikeData { name: &it.name, grade: it.grade })
                .collect(),
            source: &crop.look_alikes_source,
        },
        crop_cautions: text(&crop.cautions),
        legal_note: text(&crop.legal_note),
        cautions: cautions::full(crop, None),
    }
}

fn model(crop: &Crop) -> Model<'_> {
    let (window, recovery) = (&crop.window, &crop.recovery);
    Model {
        season: Spans { value: window.value.to_string(), source: &window.source },
        take_fraction: figure(recovery, |recovery| recovery.take_fraction),
        recovery_days: figure(recovery, |recovery| recovery.days),
        growth: growth(crop).name(),
        growth_by_month: crop.growth_by_month.as_ref().map(months),
        full_by_month: crop.full_swings().map(months),
        full_late_days: crop.full_late_days.as_ref().map(whole),
        kept_standing: figure(&crop.kept_standing, |part| *part),
        reserve: figure(&crop.reserve, |part| *part),
        smallest_useful: InUnit(crop.measure, figure(&crop.smallest_useful, |amount| amount.value)),
    }
}

fn protection(crop: &Crop) -> Protection<'_> {
    let (protected, invasive) = match &crop.status {
        Status::Ordinary => (None, None),
        Status::Protected(reason) => (Some(reason), None),
        Status::Invasive(caution) => (None, Some(caution)),
    };
    let least = crop.leave_per_m2.as_ref().map(|least| figure(least, |least| *least));
    let most = crop.per_person_visit.as_ref().map(|most| figure(most, |amount| amount.value));
    Protection {
        leave_per_m2: InUnit(crop.measure, least),
        cuts_per_season: crop.cuts_per_season.as_ref().map(whole),
        code_cap: crop.code_cap.as_ref().map(|cap| figure(cap, |cap| cap.fraction)),
        per_person_visit: InUnit(crop.measure, most),
        protected: protected.map(text),
        invasive: invasive.map(text),
    }
}

fn figure<T>(sourced: &Sourced<T>, value: impl FnOnce(&T) -> f64) -> Figure<'_> {
    Figure { value: value(&sourced.value), source: &sourced.source }
}

fn whole<T: Copy + Into<i64>>(sourced: &Sourced<T>) -> Whole<'_> {
    Whole { value: sourced.value.into(), source: &sourced.source }
}

fn months(months: &Sourced<[f64; 12]>) -> Months<'_> {
    Months { value: months.value.to_vec(), source: &months.source }
}

fn text(value: &Sourced<Arc<str>>) -> Text<'_> {
    Text { value: &value.value, source: &value.source }
}
