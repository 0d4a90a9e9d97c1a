//! Seeded synthetic books and files, for the benchmarks. Plainly invented numbers.

#![allow(dead_code, reason = "each benchmark uses a part")]

use std::fmt::Write as _;
use std::fs;
use std::ops::Range;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use geo::{MultiPolygon, Rect};
use jiff::ToSpan;
use jiff::civil::{Date, date};
use stintbook::book::{Book, NewFact};
use stintbook::catalogue::Catalogue;
use stintbook::records::{
    Basis, Crop, Cut, Fact, FactId, Footprint, Frame, Patch, PatchName, Permission, Placement,
    Quadrat, Record, Site, SiteName, Stratum, Survey, SurveyMethod, Taken,
};
use stintbook::units::{Amount, Measure, SquareMetres};
use uuid::Uuid;

pub const PATCHES_PER_SITE: usize = 100;
const PATCHES_PER_FILE: usize = 100 * PATCHES_PER_SITE;
const QUADRATS_PER_SURVEY: usize = 10;
const LAST_DAY: Date = date(2027, 3, 14);
/// A patch is this many degrees wide and high, some 15 m; the grid leaves as much between.
const PATCH_DEGREES: f64 = 0.000_2;
const GRID_DEGREES: f64 = 0.000_5;
const PATCHES_PER_ROW: usize = 10;

/// How much a synthetic book holds.
#[derive(Clone, Copy, Debug)]
pub struct Size {
    pub patches: usize,
    pub surveys: usize,
    pub cuts: usize,
}

/// Writes a book of that size; the same seed gives the same facts but for their ids.
pub fn write_book(path: &Path, size: Size, seed: u64) {
    let mut maker = Maker { random: fastrand::Rng::with_seed(seed), facts: Vec::new() };
    let patches = maker.places(size.patches);
    for n in 0..size.surveys {
        maker.survey(&patches[n % patches.len()]);
    }
    for n in 0..size.cuts {
        maker.cut(&patches[n % patches.len()]);
    }
    let mut book = Book::create(path).unwrap();
    book.append(&maker.facts, &[]).unwrap();
}

/// A surveys CSV of so many quadrats for the patches of such a book.
pub fn quadrats_csv(quadrats: usize, size: Size, seed: u64) -> String {
    let mut random = fastrand::Rng::with_seed(seed);
    let mut text = "patch,date,by,frame_area_m2,mass_g\n".to_owned();
    for n in 0..quadrats {
        let survey = n / QUADRATS_PER_SURVEY;
        let patch = survey % size.patches;
        let day = LAST_DAY.checked_sub((1000 + (survey / size.patches) as i64).days()).unwrap();
        let (site, mass) = (patch / PATCHES_PER_SITE, random.u32(0..60));
        writeln!(text, "site {site}/patch {patch},{day},Ana,0.25,{mass}").unwrap();
    }
    text
}

/// The files from which a user would load a book of that size, in an order in which they may be
/// loaded: land in files of some hundred sites each, permissions, surveys and cuts.
pub fn write_files(folder: &Path, size: Size, seed: u64) -> Vec<PathBuf> {
    let mut random = fastrand::Rng::with_seed(seed);
    let mut written = Vec::new();
    let mut put = |name: &str, text: String| {
        written.push(folder.join(name));
        fs::write(folder.join(name), text).unwrap();
    };
    for (nth, from) in (0..size.patches).step_by(PATCHES_PER_FILE).enumerate() {
        let to = size.patches.min(from + PATCHES_PER_FILE);
        put(&format!("land-{nth}.geojson"), land(from..to, &mut random));
    }
    let mut permissions = "site,basis,from,by,largest_party\n".to_owned();
    for site in 0..size.patches.div_ceil(PATCHES_PER_SITE) {
        writeln!(permissions, "site {site},written,2020-01-01,Ana,12").unwrap();
    }
    put("permissions.csv", permissions);
    let (mut surveys, mut cuts) = (
        "patch,date,by,frame_area_m2,mass_g\n".to_owned(),
        "patch,date,by,mass_g,taken,people\n".to_owned(),
    );
    let day = |random: &mut fastrand::Rng, round: usize| {
        LAST_DAY.checked_sub((random.i64(0..60) + 60 * round as i64).days()).unwrap()
    };
    for n in 0..size.surveys {
        let (patch, round) = (name_of(n % size.patches), n / size.patches);
        let day = day(&mut random, round);
        for _ in 0..QUADRATS_PER_SURVEY {
            writeln!(surveys, "{patch},{day},Ana,0.25,{}", random.u32(5..60)).unwrap();
        }
    }
    for n in 0..size.cuts {
        let (patch, round) = (name_of(n % size.patches), n / size.patches);
        let (day, grams, people) =
            (day(&mut random, round), random.u32(50..400), random.u32(1..12));
        writeln!(cuts, "{patch},{day},Ana,{grams},all,{people}").unwrap();
    }
    put("surveys.csv", surveys);
    put("cuts.csv", cuts);
    written
}

fn name_of(patch: usize) -> String {
    format!("site {}/patch {patch}", patch / PATCHES_PER_SITE)
}

fn land(patches: Range<usize>, random: &mut fastrand::Rng) -> String {
    let built_in = Catalogue::built_in();
    let crops: Vec<_> = built_in.crops().filter(|crop| crop.measure == Measure::Mass).collect();
    let mut features = Vec::new();
    for n in patches {
        let (site, place) = (n / PATCHES_PER_SITE, n % PATCHES_PER_SITE);
        let (lon, lat) = corner(site);
        if place == 0 {
            let side = GRID_DEGREES * (PATCHES_PER_ROW as f64 + 1.0);
            features.push(format!(
                r#"{{"type":"Feature","properties":{{"kind":"site","name":"site {site}","date":"2020-01-01","by":"Ana"}},"geometry":{}}}"#,
                square((lon, lat), side)
            ));
        }
        let lon = lon + GRID_DEGREES * ((place % PATCHES_PER_ROW) as f64 + 0.5);
        let lat = lat + GRID_DEGREES * ((place / PATCHES_PER_ROW) as f64 + 0.5);
        let crop = &crops[random.usize(..crops.len())].name;
        features.push(format!(
            r#"{{"type":"Feature","properties":{{"kind":"patch","site":"site {site}","name":"patch {n}","crop":"{crop}","date":"2020-01-01","by":"Ana"}},"geometry":{}}}"#,
            square((lon, lat), PATCH_DEGREES)
        ));
    }
    format!("{{\"type\":\"FeatureCollection\",\"features\":[\n{}\n]}}\n", features.join(",\n"))
}

fn square((lon, lat): (f64, f64), side: f64) -> String {
    let (east, north) = (lon + side, lat + side);
    format!(
        r#"{{"type":"Polygon","coordinates":[[[{lon:.7},{lat:.7}],[{east:.7},{lat:.7}],[{east:.7},{north:.7}],[{lon:.7},{north:.7}],[{lon:.7},{lat:.7}]]]}}"#
    )
}

struct Maker {
    random: fastrand::Rng,
    facts: Vec<NewFact>,
}

impl Maker {
    fn places(&mut self, patches: usize) -> Vec<PatchName> {
        let crops: Vec<Arc<Crop>> = Catalogue::built_in()
            .crops()
            .filter(|crop| crop.measure == Measure::Mass)
            .cloned()
            .collect();
        let site_of = |n: usize| SiteName::new(&format!("site {}", n / PATCHES_PER_SITE)).unwrap();
        (0..patches)
            .map(|n| {
                let site = site_of(n);
                if n % PATCHES_PER_SITE == 0 {
                    self.site(&site, n / PATCHES_PER_SITE);
                }
                let crop = crops[self.random.usize(..crops.len())].clone();
                self.patch(&site, n, &crop)
            })
            .collect()
    }

    fn site(&mut self, name: &SiteName, n: usize) {
        let (lon, lat) = corner(n);
        let side = GRID_DEGREES * (PATCHES_PER_ROW as f64 + 1.0);
        let boundary = Rect::new((lon, lat), (lon + side, lat + side)).to_polygon();
        let site = Site {
            name: name.clone(),
            boundary: MultiPolygon::new(vec![boundary]),
            occupier: None,
            protected: None,
            cautions: None,
        };
        let permission = Permission {
            site: name.clone(),
            basis: Basis::Written,
            purposes: Some("own use; walk; sale".parse().unwrap()),
            from: date(2020, 1, 1),
            to: None,
            crops: Vec::new(),
            methods: Vec::new(),
            cap_per_visit: None,
            cap_per_season: None,
            largest_party: Some(12),
            ask_first: false,
            lifts_code_cap: false,
            note: None,
        };
        self.fact(date(2020, 1, 1), Record::Site(site));
        self.fact(date(2020, 1, 1), Record::Permission(permission));
    }

    fn patch(&mut self, site: &SiteName, n: usize, crop: &Arc<Crop>) -> PatchName {
        let (lon, lat) = corner(n / PATCHES_PER_SITE);
        let place = n % PATCHES_PER_SITE;
        let lon = lon + GRID_DEGREES * ((place % PATCHES_PER_ROW) as f64 + 0.5);
        let lat = lat + GRID_DEGREES * ((place / PATCHES_PER_ROW) as f64 + 0.5);
        let square = Rect::new((lon, lat), (lon + PATCH_DEGREES, lat + PATCH_DEGREES));
        let patch = Patch {
            name: PatchName::new(site, &format!("patch {n}")).unwrap(),
            crop: crop.name.clone(),
            footprint: Footprint::Area(MultiPolygon::new(vec![square.to_polygon()])),
            underfoot: None,
            note: None,
        };
        let name = patch.name.clone();
        self.fact(date(2020, 1, 1), Record::Patch(patch));
        name
    }

    fn survey(&mut self, patch: &PatchName) {
        let quadrat = |amount| Quadrat { at: None, amount };
        let quadrats = (0..QUADRATS_PER_SURVEY).map(|_| self.random.u32(5..60).into());
        let survey = Survey {
            patch: patch.clone(),
            placement: Placement::NotSaid,
            ripe: None,
            method: SurveyMethod::Quadrats(vec![Stratum {
                name: "".into(),
                area: None,
                frame: Frame::Area(SquareMetres(0.25)),
                quadrats: quadrats.map(quadrat).collect(),
            }]),
            note: None,
        };
        let day = self.day();
        self.fact(day, Record::Survey(survey));
    }

    fn cut(&mut self, patch: &PatchName) {
        let cut = Cut {
            patch: patch.clone(),
            amount: Amount::grams(self.random.u32(50..400).into()),
            taken: Taken::All,
            people: Some(self.random.u32(1..12)),
            method: None,
            walk: None,
        };
        let day = self.day();
        self.fact(day, Record::Cut(cut));
    }

    /// Within the last two years.
    fn day(&mut self) -> Date {
        LAST_DAY.checked_sub(self.random.i64(0..730).days()).unwrap()
    }

    fn fact(&mut self, happened_on: Date, record: Record) {
        let key = format!("{} #{}", record.natural_key(happened_on, "Ana"), self.facts.len());
        let fact = Fact {
            id: FactId(Uuid::now_v7()),
            happened_on,
            recorded_on: happened_on,
            by: "Ana".into(),
            file: None,
            record,
        };
        self.facts.push(NewFact { key, fact });
    }
}

/// The south-west corner of a site, on open ocean.
fn corner(n: usize) -> (f64, f64) {
    (-30.0 + 0.02 * (n % 100) as f64, 45.0 + 0.02 * (n / 100) as f64)
}
