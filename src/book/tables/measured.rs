//! Each method of survey as the parts it is kept in, and the parts as a survey again.

use super::part::{Part, Role};
use super::quadrat::Line;
use super::survey::Empty;
use crate::estimate::{Paired, Sample};
use crate::records::{
    Counted, CountedSummary, CoverClass, CoverQuadrat, CoverSummary, CoverSurvey, Frame,
    JudgedQuadrat, JudgedSummary, JudgedSurvey, MethodSummary, Quadrat, QuadratSummary,
    QuadratSurvey, SurveyMethod, UnitSummary, UnitSurvey,
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

pub(in crate::book) fn parts(method: &MethodSummary) -> Vec<Part> {
    match method {
        MethodSummary::Quadrats(strata) => strata_parts(Role::Amount, strata),
        MethodSummary::Judged(JudgedSummary { frame, judged, measured }) => vec![
            Part { frame: *frame, ..Part::of(Role::Judged, *judged) },
            Part::of(Role::JudgedOfMeasured, measured.x),
            Part { covariance: Some(measured.covariance), ..Part::of(Role::Measured, measured.y) },
        ],
        MethodSummary::Units(UnitSummary { counted, weight }) => {
            let mut parts = match counted {
                CountedSummary::InAll(units) => {
                    let one = Sample { n: 1, mean: *units, sd: 0.0 };
                    vec![Part::of(Role::UnitsInAll, one)]
                }
                CountedSummary::Sampled(strata) => strata_parts(Role::Units, strata),
            };
            parts.extend(weight.map(|weight| Part::of(Role::UnitWeight, weight)));
            parts
        }
        MethodSummary::Cover(CoverSummary { cover, full_cover }) => {
            vec![Part::of(Role::Cover, *cover), Part::of(Role::FullCover, *full_cover)]
        }
    }
}

fn strata_parts(role: Role, strata: &[QuadratSummary]) -> Vec<Part> {
    let part = |stratum: &QuadratSummary| Part {
        name: stratum.stratum.clone(),
        area: stratum.stratum_area,
        frame: stratum.frame,
        ..Part::of(role, stratum.sample)
    };
    strata.iter().map(part).collect()
}

/// The parts of one survey made into its summary again; `None` where some are missing.
pub(in crate::book) fn summary<'p>(
    parts: impl Iterator<Item = &'p Part> + Clone,
) -> Option<MethodSummary> {
    let the = |role| parts.clone().find(move |part| part.role == role);
    match parts.clone().next()?.role {
        Role::Amount => Some(MethodSummary::Quadrats(parts.map(stratum).collect())),
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

fn stratum(part: &Part) -> QuadratSummary {
    QuadratSummary {
        stratum: part.name.clone(),
        stratum_area: part.area,
        frame: part.frame,
        sample: part.sample,
    }
}

/// The measurements of each part, in the order of `parts`; where an eye's judgement was
/// measured too, both stand in the line of the first part.
pub(super) fn lines(method: &SurveyMethod) -> Vec<Vec<Line>> {
    let single = |amounts: &[f64]| amounts.iter().copied().map(Line::of).collect::<Vec<_>>();
    match method {
        SurveyMethod::Quadrats(strata) => strata_lines(strata),
        SurveyMethod::Judged(judged) => {
            let line = |quadrat: &JudgedQuadrat| Line {
                at: quadrat.at,
                measured: quadrat.measured,
                ..Line::of(quadrat.judged)
            };
            vec![judged.quadrats.iter().map(line).collect(), Vec::new(), Vec::new()]
        }
        SurveyMethod::Units(UnitSurvey { counted, weighings, .. }) => {
            let mut lines = match counted {
                Counted::InAll(units) => vec![vec![Line::of(*units)]],
                Counted::Sampled(strata) => strata_lines(strata),
            };
            lines.extend((!weighings.is_empty()).then(|| single(weighings)));
            lines
        }
        SurveyMethod::Cover(cover) => {
            let line = |quadrat: &CoverQuadrat| Line {
                at: quadrat.at,
                cover_to: Some(quadrat.cover.high),
                cover_class: Some(quadrat.cover.name.clone()),
                ..Line::of(quadrat.cover.low)
            };
            vec![cover.quadrats.iter().map(line).collect(), single(&cover.full_cover)]
        }
    }
}

fn strata_lines(strata: &[QuadratSurvey]) -> Vec<Vec<Line>> {
    let line = |quadrat: &Quadrat| Line { at: quadrat.at, ..Line::of(quadrat.amount) };
    strata.iter().map(|stratum| stratum.quadrats.iter().map(line).collect()).collect()
}

/// Puts the measurements read back into a method that has none yet.
pub(super) fn fill(method: &mut SurveyMethod, parts: Vec<(Part, Vec<Line>)>) {
    match method {
        SurveyMethod::Quadrats(strata) => *strata = parts.into_iter().map(quadrats).collect(),
        SurveyMethod::Judged(survey) => {
            if let Some((part, lines)) = parts.into_iter().next() {
                survey.frame = part.frame;
                survey.quadrats = lines.into_iter().map(judged).collect();
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
            survey.quadrats = sampled.into_iter().flat_map(|(_, lines)| lines).map(cover).collect();
        }
    }
}

fn amounts(parts: Vec<(Part, Vec<Line>)>) -> impl Iterator<Item = f64> {
    parts.into_iter().flat_map(|(_, lines)| lines).map(|line| line.amount)
}

fn quadrats((part, lines): (Part, Vec<Line>)) -> QuadratSurvey {
    let quadrat = |line: Line| Quadrat { at: line.at, amount: line.amount };
    QuadratSurvey {
        stratum: part.name,
        stratum_area: part.area,
        frame: part.frame,
        quadrats: lines.into_iter().map(quadrat).collect(),
    }
}

fn judged(line: Line) -> JudgedQuadrat {
    JudgedQuadrat { at: line.at, judged: line.amount, measured: line.measured }
}

fn cover(line: Line) -> CoverQuadrat {
    let high = line.cover_to.unwrap_or(line.amount);
    let name = line.cover_class.unwrap_or_else(|| "".into());
    CoverQuadrat { at: line.at, cover: CoverClass { name, low: line.amount, high } }
}
