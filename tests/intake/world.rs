//! A small made-up book to read files against: two sites, four patches, three crops.

use std::sync::Arc;

use geo::{Coord, Rect};
use stintbook::intake::{CropNames, Intake, Known, Placed, Placer, Problems, read};
use stintbook::records::{
    Crop, Directory, GpsPoint, Habit, KnownPatch, PlantPart, Recovery, SiteName, Sourced, Status,
};
use stintbook::units::{Amount, Measure, Metres, Window};

pub struct World {
    names: Directory,
    crops: Vec<Crop>,
}

pub fn world() -> World {
    let patch = |name: &str, crop: &str| KnownPatch {
        name: name.parse().unwrap(),
        crop: crop.into(),
        id: None,
    };
    World {
        names: Directory {
            sites: ["north wood", "shore"].map(|name| SiteName::new(name).unwrap()).into(),
            patches: vec![
                patch("north wood/bank", "nettle-tops"),
                patch("north wood/ride", "nettle-tops"),
                patch("shore/bank", "alexanders-stem"),
                patch("shore/spit", "elder-flower"),
            ],
            ..Directory::default()
        },
        crops: vec![
            crop("nettle-tops", Measure::Mass),
            crop("alexanders-stem", Measure::Mass),
            crop("elder-flower", Measure::Count),
        ],
    }
}

impl World {
    pub fn known(&self) -> Known<'_> {
        Known { names: &self.names, crops: self, placer: self }
    }

    pub fn read(&self, text: impl AsRef<[u8]>) -> Result<Intake, Problems> {
        read("FILE", text.as_ref(), self.known())
    }

    /// What is said of a file that must be refused, without the closing line.
    pub fn refused(&self, text: impl AsRef<[u8]>) -> String {
        let text = text.as_ref();
        let problems = self.read(text).expect_err(&format!(
            "taken: {}",
            String::from_utf8_lossy(&text[..text.len().min(400)])
        ));
        let told = problems.to_string();
        told.rsplit_once('\n').unwrap().0.to_owned()
    }
}

impl CropNames for World {
    fn crop(&self, name: &str) -> Option<&Crop> {
        self.crops.iter().find(|crop| &*crop.name == name)
    }

    fn near(&self, name: &str) -> Option<String> {
        let start = name.get(..3)?;
        self.crops.iter().map(|crop| crop.name.to_string()).find(|known| known.starts_with(start))
    }
}

/// Goes by whole degrees of longitude, so that a test can say where it wants to be.
impl Placer for World {
    fn place(&self, _crop: &str, at: &GpsPoint) -> Placed {
        let bank = "north wood/bank".parse().unwrap();
        let ride = "north wood/ride".parse().unwrap();
        match at.lon.trunc() as i32 {
            1 => Placed::In(bank),
            2 => Placed::Near(bank, Metres(3.0)),
            3 => Placed::Between(vec![bank, ride]),
            4 => Placed::NoTake { patch: bank, zone: "path edge".into() },
            5 => Placed::Nowhere { nearest: Some((ride, Metres(38.0))) },
            _ => Placed::Nowhere { nearest: None },
        }
    }

    fn site_bounds(&self, site: &SiteName) -> Option<Rect> {
        (site.as_str() == "north wood")
            .then(|| Rect::new(Coord { x: -20.0, y: 48.0 }, Coord { x: -19.9, y: 48.1 }))
    }
}

fn crop(name: &str, measure: Measure) -> Crop {
    fn plain<T>(value: T) -> Sourced<T> {
        Sourced { value, source: "made up for tests".into() }
    }
    let text = || -> Arc<str> { "".into() };
    Crop {
        name: name.into(),
        common_name: name.into(),
        scientific_name: text(),
        part: PlantPart::Leaf,
        kitchen_role: text(),
        habit: Habit::FastLeaf,
        measure,
        piece: "head".into(),
        window: plain(Window::all_year()),
        recovery: plain(Recovery { take_fraction: 0.25, days: 42.0 }),
        growth_by_month: None,
        full_by_month: None,
        full_late_days: None,
        kept_standing: plain(0.78),
        reserve: plain(0.3),
        leave_per_m2: None,
        cuts_per_season: None,
        code_cap: None,
        per_person_visit: None,
        smallest_useful: plain(Amount { value: 50.0, measure }),
        status: Status::Ordinary,
        countable: true,
        cut_method: plain(text()),
        look_alikes: Vec::new(),
        look_alikes_source: text(),
        cautions: plain(text()),
        legal_note: plain(text()),
    }
}
