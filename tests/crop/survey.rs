//! Surveys in few words, and the ground they stand for.

use stintbook::crop::Extent;
use stintbook::records::{
    Counted, CoverClass, CoverQuadrat, CoverScale, CoverSurvey, Frame, JudgedQuadrat, JudgedSurvey,
    Placement, Quadrat, Stratum, Survey, SurveyMethod, SurveySummary, UnitSurvey,
};
use stintbook::units::SquareMetres;

/// Of 0.25 m².
pub const FRAME: Frame = Frame::Area(SquareMetres(0.25));

/// 100 m², or 400 frames.
pub fn ground() -> Extent {
    Extent { area: SquareMetres(100.0), length: None, plants: None }
}

pub fn summary(method: SurveyMethod) -> SurveySummary {
    let patch = "wood/bank".parse().unwrap();
    Survey { patch, placement: Placement::NotSaid, ripe: None, method, note: None }
        .summary()
        .unwrap()
}

pub fn stratum(amounts: &[f64]) -> Stratum {
    let quadrats = amounts.iter().map(|&amount| Quadrat { at: None, amount }).collect();
    Stratum { name: "".into(), area: None, frame: FRAME, quadrats }
}

pub fn quadrats(amounts: &[f64]) -> SurveyMethod {
    SurveyMethod::Quadrats(vec![stratum(amounts)])
}

/// The first of those judged were measured too.
pub fn judged(judged: &[f64], measured: &[f64]) -> SurveyMethod {
    let measured = measured.iter().copied().map(Some).chain(std::iter::repeat(None));
    let quadrat = |(&judged, measured)| JudgedQuadrat { at: None, judged, measured };
    let quadrats = judged.iter().zip(measured).map(quadrat).collect();
    SurveyMethod::Judged(JudgedSurvey { frame: FRAME, quadrats })
}

pub fn units(counted: Counted, weighings: &[f64]) -> SurveyMethod {
    let weighings = weighings.to_vec();
    SurveyMethod::Units(UnitSurvey { unit: "handful".into(), counted, weighings })
}

/// Per cent from and to.
pub fn cover(limits: &[(f64, f64)], full_cover: &[f64]) -> SurveyMethod {
    let quadrat = |&(low, high): &(f64, f64)| {
        let cover = CoverClass { name: "".into(), low, high };
        CoverQuadrat { at: None, cover }
    };
    let (scale, quadrats) = (CoverScale::Domin, limits.iter().map(quadrat).collect());
    SurveyMethod::Cover(CoverSurvey { scale, quadrats, full_cover: full_cover.to_vec() })
}
