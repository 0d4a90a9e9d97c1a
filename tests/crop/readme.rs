//! The examples of surveys in `sites/files.md`, loaded as they stand there.

use stintbook::catalogue::Catalogue;
use stintbook::crop::Extent;
use stintbook::crop::standing_crop;
use stintbook::intake::{CropNames, Known, Placed, Placer, read};
use stintbook::records::{Crop, Directory, GpsPoint, KnownPatch, Record, SiteName};
use stintbook::units::{Metres, SquareMetres};

const FILES: &str = include_str!("../../sites/files.md");

/// A book that knows one patch.
struct OnePatch;

impl CropNames for OnePatch {
    fn crop(&self, name: &str) -> Option<&Crop> {
        Catalogue::built_in().crop(name).map(std::sync::Arc::as_ref)
    }

    fn near(&self, _: &str) -> Option<String> {
        None
    }
}

impl Placer for OnePatch {
    fn place(&self, _: &str, _: &GpsPoint) -> Placed {
        Placed::Nowhere { nearest: None }
    }

    fn site_bounds(&self, _: &SiteName) -> Option<geo::Rect> {
        None
    }
}

#[test]
fn every_example_of_a_survey_can_be_loaded_and_comes_to_a_standing_crop() {
    let crop = Catalogue::built_in()
        .crops()
        .find(|crop| crop.measure == stintbook::units::Measure::Mass)
        .unwrap();
    let patch =
        KnownPatch { name: "north wood/bank".parse().unwrap(), crop: crop.name.clone(), id: None };
    let sites = vec![SiteName::new("north wood").unwrap()];
    let names = Directory { sites, patches: vec![patch], ..Directory::default() };
    let known = Known { names: &names, crops: &OnePatch, placer: &OnePatch };
    let hedge = Extent { area: SquareMetres(60.0), length: Some(Metres(40.0)), plants: None };
    let examples: Vec<&str> =
        FILES.split("```csv\n").skip(1).map(|rest| rest.split("```").next().unwrap()).collect();
    assert_eq!(examples.len(), 3);
    for example in examples {
        let read = read("files.md", example.as_bytes(), known);
        let entries = read.unwrap_or_else(|problems| panic!("{problems}\n{example}")).entries;
        let [Record::Survey(survey)] =
            &entries.iter().map(|entry| entry.record.clone()).collect::<Vec<_>>()[..]
        else {
            panic!("not one survey: {example}")
        };
        let found = standing_crop(&survey.summary().unwrap(), &hedge).unwrap();
        assert!(found.best > 0.0 && found.standard_error > 0.0, "{example}");
    }
}
