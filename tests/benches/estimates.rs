//! How long surveys of all methods take to become standing crops, in memory.
//!
//! `cargo bench` reports; nothing here passes or fails.

#![expect(clippy::unwrap_used, reason = "a benchmark may stop at once")]

use divan::Bencher;
use stintbook::crop::{Extent, standing_crop};
use stintbook::records::{
    Counted, CoverQuadrat, CoverScale, CoverSurvey, Frame, JudgedQuadrat, JudgedSurvey, Placement,
    Quadrat, Stratum, Survey, SurveyMethod, SurveySummary, UnitSurvey,
};
use stintbook::units::{Metres, SquareMetres};

const SURVEYS: usize = 100_000;
const QUADRATS: usize = 12;
const SEED: u64 = 2027;

fn main() {
    divan::main();
}

struct Maker(fastrand::Rng);

impl Maker {
    fn survey(&mut self, n: usize) -> Survey {
        let placement = if n.is_multiple_of(2) { Placement::ByChoice } else { Placement::NotSaid };
        let method = match n % 5 {
            0 => SurveyMethod::Quadrats(self.strata(Frame::Area(SquareMetres(0.25)))),
            1 => SurveyMethod::Quadrats(self.strata(Frame::Length(Metres(2.0)))),
            2 => self.judged(),
            3 => self.units(),
            _ => self.cover(),
        };
        Survey { patch: "site/patch".parse().unwrap(), placement, ripe: None, method, note: None }
    }

    fn amount(&mut self) -> f64 {
        f64::from(self.0.u32(5..60))
    }

    fn amounts(&mut self, n: usize) -> Vec<f64> {
        (0..n).map(|_| self.amount()).collect()
    }

    fn strata(&mut self, frame: Frame) -> Vec<Stratum> {
        let quadrats = self.amounts(QUADRATS).into_iter();
        let quadrats = quadrats.map(|amount| Quadrat { at: None, amount }).collect();
        vec![Stratum { name: "".into(), area: None, frame, quadrats }]
    }

    fn judged(&mut self) -> SurveyMethod {
        let quadrats = (0..QUADRATS).map(|n| {
            let amount = self.amount();
            let measured = (n % 3 == 0).then_some(amount);
            JudgedQuadrat { at: None, judged: 3.0 + 0.9 * amount, measured }
        });
        let quadrats = quadrats.collect();
        SurveyMethod::Judged(JudgedSurvey { frame: Frame::Area(SquareMetres(0.25)), quadrats })
    }

    fn units(&mut self) -> SurveyMethod {
        let counted = Counted::Sampled(self.strata(Frame::Area(SquareMetres(0.25))));
        let weighings = self.amounts(5);
        SurveyMethod::Units(UnitSurvey { unit: "handful".into(), counted, weighings })
    }

    fn cover(&mut self) -> SurveyMethod {
        let classes = ["3", "4", "5", "6", "7", "8"];
        let class = |_| CoverScale::Domin.class(classes[self.0.usize(..classes.len())]).unwrap();
        let quadrat = |cover| CoverQuadrat { at: None, cover };
        let quadrats = (0..QUADRATS).map(class).map(quadrat).collect();
        let (scale, full_cover) = (CoverScale::Domin, self.amounts(4));
        SurveyMethod::Cover(CoverSurvey { scale, quadrats, full_cover })
    }
}

fn surveys() -> Vec<Survey> {
    let mut maker = Maker(fastrand::Rng::with_seed(SEED));
    (0..SURVEYS).map(|n| maker.survey(n)).collect()
}

fn total(surveys: impl Iterator<Item = SurveySummary>) -> f64 {
    let extent = Extent { area: SquareMetres(300.0), length: Some(Metres(200.0)), plants: None };
    surveys.filter_map(|survey| standing_crop(&survey, &extent)).map(|found| found.best).sum()
}

#[divan::bench(sample_count = 20)]
fn estimates_of_100_000_surveys_from_what_a_ledger_holds(bencher: Bencher) {
    let summaries: Vec<SurveySummary> =
        surveys().iter().map(|survey| survey.summary().unwrap()).collect();
    bencher.bench(|| total(summaries.iter().cloned()));
}

#[divan::bench(sample_count = 20)]
fn estimates_of_100_000_surveys_from_their_quadrats(bencher: Bencher) {
    let surveys = surveys();
    bencher.bench(|| total(surveys.iter().map(|survey| survey.summary().unwrap())));
}
