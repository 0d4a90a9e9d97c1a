//! Each crop's look-alikes, gravest first and the grade in words, and its cautions.

use std::sync::Arc;

use maud::{Markup, html};

use super::WalkSheet;
use crate::records::{Crop, LookAlikeGrade};
use crate::report::cautions;
use crate::report::page::{bullets, section};
use crate::units::{listed, noun_for};

#[derive(Debug)]
pub(super) struct Crops(Vec<CropCard>);

#[derive(Debug)]
struct CropCard {
    name: String,
    scientific_name: String,
    stops: String,
    look_alikes: Vec<Grade>,
    cautions: Vec<String>,
}

/// The look-alikes of one grade.
#[derive(Debug)]
struct Grade {
    is_fatal: bool,
    words: &'static str,
    names: String,
}

impl Crops {
    pub(super) fn of(sheet: &WalkSheet) -> Self {
        let mut seen: Vec<&Arc<Crop>> = Vec::new();
        for stop in &sheet.briefing.stops {
            if !seen.iter().any(|crop| crop.name == stop.crop.name) {
                seen.push(&stop.crop);
            }
        }
        Self(seen.into_iter().map(|crop| CropCard::of(sheet, crop)).collect())
    }

    pub(super) fn laid_out(&self) -> Markup {
        let body = html! {
            p {
                "A list of names helps nobody to know a plant. Someone who knows each crop, and what \
                 is mistaken for it, looks at every piece. There may be look-alikes that are not \
                 listed here."
            }
            div.meanings { (bullets(&cautions::grades_explained())) }
            div class=[(self.0.len() > 1).then_some("cards")] { @for card in &self.0 { (card.laid_out()) } }
        };
        section("crops", "The crops, and what is mistaken for them", &body)
    }
}

impl CropCard {
    fn of(sheet: &WalkSheet, crop: &Arc<Crop>) -> Self {
        let stops = sheet.briefing.stops.iter().enumerate();
        let stops = stops.filter(|(_, stop)| stop.crop.name == crop.name);
        let stops: Vec<String> = stops.map(|(n, _)| (n + 1).to_string()).collect();
        let noun = noun_for(stops.len(), "stop");
        let law = Some(&crop.legal_note.value).filter(|text| !text.is_empty());
        let own = Some(&crop.cautions.value).filter(|text| !text.is_empty());
        let own = own.map(|text| text.to_string());
        let law = law.map(|text| format!("Law: {text}"));
        Self {
            name: crop.common_name.to_string(),
            scientific_name: crop.scientific_name.to_string(),
            stops: format!("{noun} {}", listed(&stops)),
            look_alikes: grades(crop),
            cautions: cautions::status(crop).into_iter().chain(own).chain(law).collect(),
        }
    }

    fn laid_out(&self) -> Markup {
        html! {
            article.crop-card {
                h3 { (self.name) span.crop { i lang="la" { (self.scientific_name) } ", " (self.stops) } }
                @if self.look_alikes.is_empty() {
                    p { "No look-alike is on record, which does not mean that there is none." }
                }
                ul.grades {
                    @for grade in &self.look_alikes {
                        li class=[grade.is_fatal.then_some("fatal")] {
                            strong { (grade.words) ": " } (grade.names)
                        }
                    }
                }
                @for text in &self.cautions { p { (text) } }
            }
        }
    }
}

fn grades(crop: &Crop) -> Vec<Grade> {
    let sorted = cautions::by_gravity(crop);
    let grades = LookAlikeGrade::ALL.into_iter().rev();
    let of_grade = |grade| {
        let names = sorted.iter().filter(|look_alike| look_alike.grade == grade);
        let names: Vec<String> = names.map(|look_alike| look_alike.name.to_string()).collect();
        (!names.is_empty()).then(|| Grade {
            is_fatal: grade == LookAlikeGrade::Fatal,
            words: words(grade),
            names: names.join("; "),
        })
    };
    grades.filter_map(of_grade).collect()
}

fn words(grade: LookAlikeGrade) -> &'static str {
    match grade {
        LookAlikeGrade::Fatal => "Fatal, it kills",
        LookAlikeGrade::Poisonous => "Poisonous, it makes you ill",
        LookAlikeGrade::Irritant => "Irritant, it burns mouth or skin",
        LookAlikeGrade::Harmless => "Harmless, but not this crop",
    }
}
