//! Each method of survey as the parts it is kept in, and the parts as a survey again.

use super::part::{Role, StoredSample};
use super::quadrat::Measurement;
use super::survey::Empty;
use crate::estimate::{Paired, Sample};
use crate::records::{
    Counted, CountedSummary, CoverClass, CoverQuadrat, CoverSummary, CoverSurvey, Frame,
    JudgedQuadrat, JudgedSummary, JudgedSurvey, MethodSummary, Quadrat, Stratum, StratumSummary,
    SurveyMethod, UnitSummary, UnitSurvey,
};

/// What the column `method` may hold, and the method that it stands for.
pub(super) const METHODS: [(&str, Empty); 5] = [
    ("quadrats", |_| Some(SurveyMethod::Quadrats(Vec::new()))),
    ("judged", |_| {
        Some(SurveyMethod::Judged(JudgedSurvey { frame: Frame::Plant, quadrats: Vec::new() }))
    }),
    ("units", |unit| Some(units(unit, Counted::Sampled(Vec::new())))),
    ("units in all", |unit| Some(units(unit, Counted::InAll(0.0)))),
    ("cover", |scale| {
        let (quadrats, full_cover) = (Vec::new(), Vec::new());
        let scale = scale.parse().ok()?;
        Some(SurveyMethod::Cover(CoverSurvey { scale, quadrats, full_cover }))
    }),
];

fn units(unit: &str, counted: Counted) -> SurveyMethod {
    SurveyMethod::Units(UnitSurvey { unit: unit.into(), counted, weighings: Vec::new() })
}

/// The columns `method` and `measured_in`: the name of a unit, or a scale of cover.
pub(super) fn named(method: &SurveyMethod) -> (&'static str, String) {
    match method {
        SurveyMethod::Quadrats(_) => ("quadrats", String::new()),
        SurveyMethod::Judged(_) => ("judged", String::new()),
        SurveyMethod::Units(UnitSurvey { unit, counted: Counted::Sampled(_), .. }) => {
            ("units", unit.to_string())
        }
        SurveyMethod::Units(UnitSurvey { unit, .. }) => ("units in all", unit.to_string()),
        SurveyMethod::Cover(cover) => ("cover", cover.scale.to_string()),
    }
}

pub(in crate::book) fn parts(method: &MethodSummary) -> Vec<StoredSample> {
    match method {
        MethodSummary::Quadrats(strata) => strata_parts(Role::Amount, strata),
        MethodSummary::Judged(JudgedSummary { frame, judged, measured }) => vec![
            StoredSample { frame: *frame, ..StoredSample::of(Role::Judged, *judged) },
            StoredSample::of(Role::JudgedOfMeasured, measured.x),
            StoredSample {
                covariance: Some(measured.covariance),
                ..StoredSample::of(Role::Measured, measured.y)
            },
        ],
        MethodSummary::Units(UnitSummary { counted, weight }) => {
            let mut parts = match counted {
                CountedSummary::InAll(units) => {
                    let one = Sample { n: 1, mean: *units, sd: 0.0 };
                    vec![StoredSample::of(Role::UnitsInAll, one)]
                }
                CountedSummary::Sampled(strata) => strata_parts(Role::Units, strata),
            };
            parts.extend(weight.map(|weight| StoredSample::of(Role::UnitWeight, weight)));
            parts
        }
        MethodSummary::Cover(CoverSummary { cover, full_cover }) => {
            vec![
                StoredSample::of(Role::Cover, *cover),
                StoredSample::of(Role::FullCover, *full_cover),
            ]
        }
    }
}

fn strata_parts(role: Role, strata: &[StratumSummary]) -> Vec<StoredSample> {
    let part = |stratum: &StratumSummary| StoredSample {
        name: stratum.name.clone(),
        area: stratum.area,
        frame: stratum.frame,
        ..StoredSample::of(role, stratum.sample)
    };
    strata.iter().map(part).collect()
}

/// The parts of one survey made into its summary again; `None` where some are missing.
pub(in crate::book) fn summary<'p>(
    parts: impl Iterator<Item = &'p StoredSample> + Clone,
) -> Option<MethodSummary> {
    let the = |role| parts.clone().find(move |part| part.role == role);
    match parts.clone().next()?.role {
        Role::Amount => {
            // Of an iterator that does not know its end a list of one would have room for four.
            let mut strata = Vec::with_capacity(parts.clone().count());
            strata.extend(parts.map(stratum));
            Some(MethodSummary::Quadrats(strata))
        }
        Role::Judged | Role::JudgedOfMeasured | Role::Measured => {
            let (judged, measured) = (the(Role::Judged)?, the(Role::Measured)?);
            let (x, y) = (the(Role::JudgedOfMeasured)?.sample, measured.sample);
            let measured = Paired { x, y, covariance: measured.covariance? };
            let (frame, judged) = (judged.frame, judged.sample);
            Some(MethodSummary::Judged(JudgedSummary { frame, judged, measured }))
        }
        Role::Units | Role::UnitsInAll | Role::UnitWeight => {
            let counted = match the(Role::UnitsInAll) {
                Some(all) => CountedSummary::InAll(all.sample.mean),
                None => {
                    let strata = parts.clone().filter(|part| part.role == Role::Units);
                    CountedSummary::Sampled(strata.map(stratum).collect())
                }
            };
            let weight = the(Role::UnitWeight).map(|part| part.sample);
            Some(MethodSummary::Units(UnitSummary { counted, weight }))
        }
        Role::Cover | Role::FullCover => Some(MethodSummary::Cover(CoverSummary {
            cover: the(Role::Cover)?.sample,
            full_cover: the(Role::FullCover)?.sample,
        })),
    }
}

fn stratum(part: &StoredSample) -> StratumSummary {
    StratumSummary {
        name: part.name.clone(),
        area: part.area,
        frame: part.frame,
        sample: part.sample,
    }
}

/// The measurements of each part, in the order of `parts`; where an eye's judgement was
/// measured too, both stand in the measurement of the first part.
pub(super) fn measurements(method: &SurveyMethod) -> Vec<Vec<Measurement>> {
    let single = |amounts: &[f64]| amounts.iter().copied().map(Measurement::of).collect::<Vec<_>>();
    match method {
        SurveyMethod::Quadrats(strata) => strata_measurements(strata),
        SurveyMethod::Judged(judged) => {
            let measurement = |quadrat: &JudgedQuadrat| Measurement {
                at: quadrat.at,
                measured: quadrat.measured,
                ..Measurement::of(quadrat.judged)
            };
            vec![judged.quadrats.iter().map(measurement).collect(), Vec::new(), Vec::new()]
        }
        SurveyMethod::Units(UnitSurvey { counted, weighings, .. }) => {
            let mut measurements = match counted {
                Counted::InAll(units) => vec![vec![Measurement::of(*units)]],
                Counted::Sampled(strata) => strata_measurements(strata),
            };
            measurements.extend((!weighings.is_empty()).then(|| single(weighings)));
            measurements
        }
        SurveyMethod::Cover(cover) => {
            let measurement = |quadrat: &CoverQuadrat| Measurement {
                at: quadrat.at,
                cover_to: Some(quadrat.cover.high),
                cover_class: Some(quadrat.cover.name.clone()),
                ..Measurement::of(quadrat.cover.low)
            };
            vec![cover.quadrats.iter().map(measurement).collect(), single(&cover.full_cover)]
        }
    }
}

fn strata_measurements(strata: &[Stratum]) -> Vec<Vec<Measurement>> {
    let measurement = |quadrat: &Quadrat| Measurement {
        at: quadrat.at.as_deref().copied(),
        ..Measurement::of(quadrat.amount)
    };
    strata.iter().map(|stratum| stratum.quadrats.iter().map(measurement).collect()).collect()
}

/// Puts the measurements read back into a method that has none yet.
pub(super) fn fill(method: &mut SurveyMethod, parts: Vec<(StoredSample, Vec<Measurement>)>) {
    match method {
        SurveyMethod::Quadrats(strata) => *strata = parts.into_iter().map(quadrats).collect(),
        SurveyMethod::Judged(survey) => {
            if let Some((part, measurements)) = parts.into_iter().next() {
                survey.frame = part.frame;
                survey.quadrats = measurements.into_iter().map(judged).collect();
            }
        }
        SurveyMethod::Units(UnitSurvey { counted, weighings, .. }) => {
            let (weighed, sampled): (Vec<_>, Vec<_>) =
                parts.into_iter().partition(|(part, _)| part.role == Role::UnitWeight);
            *weighings = amounts(weighed).collect();
            match counted {
                Counted::InAll(units) => *units = amounts(sampled).sum(),
                Counted::Sampled(strata) => *strata = sampled.into_iter().map(quadrats).collect(),
            }
        }
        SurveyMethod::Cover(survey) => {
            let (weighed, sampled): (Vec<_>, Vec<_>) =
                parts.into_iter().partition(|(part, _)| part.role == Role::FullCover);
            survey.full_cover = amounts(weighed).collect();
            survey.quadrats =
                sampled.into_iter().flat_map(|(_, measurements)| measurements).map(cover).collect();
        }
    }
}

fn amounts(parts: Vec<(StoredSample, Vec<Measurement>)>) -> impl Iterator<Item = f64> {
    parts
        .into_iter()
        .flat_map(|(_, measurements)| measurements)
        .map(|measurement| measurement.amount)
}

fn quadrats((part, measurements): (StoredSample, Vec<Measurement>)) -> Stratum {
    let quadrat = |measurement: Measurement| Quadrat {
        at: measurement.at.map(Box::new),
        amount: measurement.amount,
    };
    Stratum {
        name: part.name,
        area: part.area,
        frame: part.frame,
        quadrats: measurements.into_iter().map(quadrat).collect(),
    }
}

fn judged(measurement: Measurement) -> JudgedQuadrat {
    JudgedQuadrat { at: measurement.at, judged: measurement.amount, measured: measurement.measured }
}

fn cover(measurement: Measurement) -> CoverQuadrat {
    let high = measurement.cover_to.unwrap_or(measurement.amount);
    let name = measurement.cover_class.unwrap_or_else(|| "".into());
    CoverQuadrat { at: measurement.at, cover: CoverClass { name, low: measurement.amount, high } }
}
