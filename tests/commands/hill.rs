//! A plainly synthetic holding on the open sea, as its keeper would write it down.
//!
//! All of it was recorded by early March 2021, so that no clock has a say in an answer.

use crate::trial::Trial;

/// South-west corner of the site, a square of some 750 m by 1.1 km.
pub const WEST: f64 = -20.0;
pub const SOUTH: f64 = 48.0;

/// Side of a square patch in degrees; each covers some 332 m².
const SIDE: f64 = 0.0002;

pub const PERMISSION: &str = "\
site,basis,for,from,by,recorded_on
Hill,written,own use; walk; sale,2020-01-01,Ida,2020-01-01
";

/// Ten quadrats of nettles on the bank, 30 g each on average.
pub const SURVEY: &str = "\
patch,date,by,frame_area_m2,mass_g,recorded_on
Hill/Bank,2021-03-01,Ida,0.25,30,2021-03-01
Hill/Bank,2021-03-01,Ida,0.25,20,2021-03-01
Hill/Bank,2021-03-01,Ida,0.25,40,2021-03-01
Hill/Bank,2021-03-01,Ida,0.25,25,2021-03-01
Hill/Bank,2021-03-01,Ida,0.25,35,2021-03-01
Hill/Bank,2021-03-01,Ida,0.25,30,2021-03-01
Hill/Bank,2021-03-01,Ida,0.25,28,2021-03-01
Hill/Bank,2021-03-01,Ida,0.25,32,2021-03-01
Hill/Bank,2021-03-01,Ida,0.25,24,2021-03-01
Hill/Bank,2021-03-01,Ida,0.25,36,2021-03-01
";

/// The published code's cap on nettles is lifted, so that the refilling share decides.
pub const LIFTED: &str = "\
site,basis,for,from,lifts_code_cap,by,recorded_on
Hill,written,own use; walk; sale,2020-01-01,yes,Ida,2020-01-01
";

/// A full crop is taken to stand at the same all year, so that amounts are those of the survey.
pub const LEVEL: &str = "\
site,crop,field,value,source,date,by,recorded_on
Hill,nettle-tops,full_by_month,all year,seen by us,2020-01-01,Ida,2020-01-01
Hill,ramsons-leaf,full_by_month,all year,seen by us,2020-01-01,Ida,2020-01-01
";

pub const PARTIES: &str = "\
party,adults,children,weight
Ann,2,1,
Bo,1,,
Cy,2,,
";

pub const NEW_WALK: &str = "walk new \"spring walk\" --on 2021-03-20 --leader Ida --site hill \
    --want \"nettle-tops=6kg,ramsons-leaf=300g\" --seed 7 --recorded-on 2021-03-10";

pub fn site() -> String {
    let (east, north) = (WEST + 0.01, SOUTH + 0.01);
    let ring = [(WEST, SOUTH), (east, SOUTH), (east, north), (WEST, north), (WEST, SOUTH)];
    feature("\"kind\": \"site\", \"name\": \"Hill\"", &polygon(&ring))
}

/// A square patch; patches with different numbers lie apart.
pub fn patch(name: &str, crop: &str, number: u32) -> String {
    patch_of(name, crop, &square(WEST + 0.001 * f64::from(number), SOUTH + 0.005))
}

pub fn patch_of(name: &str, crop: &str, geometry: &str) -> String {
    patch_with(name, crop, "", geometry)
}

/// `more` properties begin with a comma.
pub fn patch_with(name: &str, crop: &str, more: &str, geometry: &str) -> String {
    let properties = format!(
        "\"kind\": \"patch\", \"name\": \"{name}\", \"site\": \"Hill\", \"crop\": \"{crop}\"{more}"
    );
    feature(&properties, geometry)
}

fn feature(properties: &str, geometry: &str) -> String {
    format!("{{\"type\": \"Feature\", \"properties\": {{{properties}}}, \"geometry\": {geometry}}}")
}

pub fn square(west: f64, south: f64) -> String {
    let (east, north) = (west + SIDE, south + SIDE);
    polygon(&[(west, south), (east, south), (east, north), (west, north), (west, south)])
}

pub fn polygon(ring: &[(f64, f64)]) -> String {
    let ring: Vec<String> = ring.iter().map(|(lon, lat)| format!("[{lon},{lat}]")).collect();
    format!("{{\"type\": \"Polygon\", \"coordinates\": [[{}]]}}", ring.join(","))
}

pub fn places(features: &[String]) -> String {
    format!(
        "{{\"type\": \"FeatureCollection\", \"by\": \"Ida\", \"recorded_on\": \"2020-01-02\", \
         \"features\": [{}]}}\n",
        features.join(",\n")
    )
}

impl Trial {
    /// With the site `Hill` and, on it, `Bank` and `Field` of nettles and `Wood` of ramsons.
    pub fn on_hill() -> Self {
        let trial = Self::with_book();
        let features = [
            site(),
            patch("Bank", "nettle-tops", 1),
            patch("Field", "nettle-tops", 3),
            patch("Wood", "ramsons-leaf", 5),
        ];
        trial.load("places.geojson", places(&features)).done();
        trial
    }

    /// With permission to cut, no season of the full crop, and the bank surveyed on 1 March 2021.
    pub fn with_a_surveyed_bank() -> Self {
        let trial = Self::on_hill();
        trial.write("permissions.csv", LIFTED).write("surveys.csv", SURVEY);
        trial.write("overrides.csv", LEVEL);
        trial.run("load permissions.csv surveys.csv overrides.csv").done();
        trial
    }

    /// With all three patches surveyed on 1 March 2021.
    pub fn with_surveyed_patches() -> Self {
        let trial = Self::with_a_surveyed_bank();
        let more = SURVEY.replace("Hill/Bank", "Hill/Field");
        let wood = SURVEY.replace("Hill/Bank", "Hill/Wood");
        trial.load("field.csv", more).done();
        trial.load("wood.csv", wood).done();
        trial
    }

    /// With the walk `spring walk` of 20 March 2021 on all three patches, planned ten days
    /// before by Ida, for Ann's, Bo's and Cy's parties.
    pub fn with_a_walk() -> Self {
        let trial = Self::with_surveyed_patches();
        trial.write("parties.csv", PARTIES);
        trial.run(&format!("{NEW_WALK} --parties parties.csv")).done();
        trial
    }

    pub fn load(&self, file: &str, text: impl AsRef<[u8]>) -> crate::said::Said {
        self.write(file, text).run(&format!("load {file}"))
    }
}
