//! What the script shows: the answers, the ground and the words, as JSON.

use geo::Point;
use serde::Serialize;

use super::day::Day;
use super::texts::Texts;
use super::walk::WalkData;
use super::words::{self, Word};
use super::{Drawn, FIELD_SCHEMA, FieldPage, app, patch_called, round};
use crate::assess::{Assessment, PatchComing};
use crate::ground::centre;
use crate::records::{Answer, Crop, FIELD_RECORDS, LookAlikeGrade, Stage, Trouble};
use crate::report::found_growing;
use crate::report::{Placing, cautions};
use crate::units::{Measure, spoken_day};

#[derive(Debug, Serialize)]
pub(super) struct Answers<'a> {
    schema: &'static str,
    /// Of the file in which the records leave.
    records: &'static str,
    book: &'a str,
    made: String,
    /// `15 Mar 2027`.
    #[serde(rename = "madeSaid")]
    made_said: String,
    days: Vec<DayNamed>,
    sites: Vec<SiteData>,
    patches: Vec<PatchData>,
    walk: Option<WalkData>,
    /// Where the desk serves it.
    app: Option<AppData<'a>>,
    /// Records that are in the book already, and so in the figures.
    known: Vec<String>,
    stages: Vec<&'static str>,
    troubles: Vec<TroubleData>,
    answers: Vec<&'static str>,
    words: serde_json::Map<String, serde_json::Value>,
    compass: [&'static str; 8],
    texts: Texts,
}

#[derive(Debug, Serialize)]
struct AppData<'a> {
    /// Whose account signs; nothing where there are no accounts.
    account: Option<&'a str>,
    /// Its own address.
    at: String,
    /// What to fetch, beside the page itself, to open it without a signal.
    parts: Vec<String>,
}

#[derive(Debug, Serialize)]
struct DayNamed {
    date: String,
    /// `Monday 15 March 2027`.
    long: String,
    /// `Mon 15 Mar`.
    short: String,
}

#[derive(Debug, Serialize)]
struct SiteData {
    name: String,
    /// Longitude, latitude, page units right and down, units a degree east and north, units a
    /// metre; empty where no ground is drawn.
    map: Vec<f64>,
}

#[derive(Debug, Serialize)]
struct PatchData {
    id: String,
    /// `site/patch`, as files write it.
    name: String,
    /// Its name on its site.
    short: String,
    /// Position among the sites.
    site: usize,
    number: usize,
    /// `ramsons, leaf`.
    crop: usize,
    /// Whether it is weighed; else it is counted.
    weighed: bool,
    piece: String,
    /// Longitude and latitude of a place on it.
    #[serde(skip_serializing_if = "Option::is_none")]
    at: Option<[f64; 2]>,
    /// See [`round::rings`].
    #[serde(skip_serializing_if = "Vec::is_empty")]
    rings: Vec<Vec<i64>>,
    /// What was found growing there, then what kills: it stands before all else.
    first: Vec<usize>,
    /// What else to know before anyone picks.
    care: Vec<usize>,
    /// What it may be mistaken for, gravest first, and whether that kills.
    like: Vec<(usize, u8)>,
    /// How it is cut.
    how: usize,
    days: Vec<Day>,
}

#[derive(Clone, Debug, Serialize)]
struct TroubleData {
    name: &'static str,
    /// Nothing is cut until somebody says that it is over.
    shuts: bool,
}

impl<'a> Answers<'a> {
    pub(super) fn of(page: &FieldPage<'a>, sites: &[Drawn]) -> Self {
        let mut texts = Texts::default();
        let patches = page.patches.iter().zip(1..);
        let patches = patches
            .filter_map(|(patch, number)| PatchData::of(page, sites, patch, number, &mut texts));
        Self {
            schema: FIELD_SCHEMA,
            records: FIELD_RECORDS,
            book: page.book,
            made: page.made_on.to_string(),
            made_said: spoken_day(page.made_on),
            patches: patches.collect(),
            days: page.days.iter().map(day_named).collect(),
            sites: sites.iter().map(SiteData::of).collect(),
            walk: page.walk.map(|walk| WalkData::of(page, walk, &mut texts)),
            app: page.app.map(|app| AppData {
                account: app.account,
                at: app::address(page),
                parts: app::parts(),
            }),
            known: page.known.iter().map(ToString::to_string).collect(),
            stages: Stage::ALL.map(Stage::name).to_vec(),
            troubles: Trouble::ALL
                .map(|trouble| TroubleData { name: trouble.name(), shuts: trouble.shuts() })
                .to_vec(),
            answers: Answer::ALL.map(Answer::name).to_vec(),
            words: words::FOR_SCRIPT
                .iter()
                .map(|Word(name, text)| ((*name).to_owned(), (*text).into()))
                .collect(),
            compass: words::COMPASS,
            texts,
        }
    }
}

fn day_named(day: &jiff::civil::Date) -> DayNamed {
    DayNamed {
        date: day.to_string(),
        long: day.strftime("%A %-d %B %Y").to_string(),
        short: day.strftime("%a %-d %b").to_string(),
    }
}

impl SiteData {
    fn of(site: &Drawn) -> Self {
        let map = site.placing.map(|placing| {
            let Placing { degrees, units, units_per_degree, units_per_metre } = placing;
            let (east, north) = units_per_degree;
            vec![degrees.x(), degrees.y(), units.0, units.1, east, north, units_per_metre]
        });
        Self { name: site.facts.site.record.name.to_string(), map: map.unwrap_or_default() }
    }
}

impl PatchData {
    fn of(
        page: &FieldPage,
        sites: &[Drawn],
        coming: &PatchComing,
        number: usize,
        texts: &mut Texts,
    ) -> Option<Self> {
        let first = coming.days.first()?;
        let of_site = |site: &Drawn| site.facts.site.record.name == *first.patch.site();
        let site = sites.iter().position(of_site)?;
        let footprint = &patch_called(sites[site].facts, &first.patch)?.footprint;
        let crop = &first.crop;
        let days = coming.days.iter().map(|day| match page.walk {
            Some(walk) => Day::of_walk(day, walk, texts),
            None => Day::of(day, texts),
        });
        Some(Self {
            days: days.collect(),
            id: first.id.to_string(),
            name: first.patch.to_string(),
            short: first.patch.patch().to_owned(),
            site,
            number,
            crop: texts.put(crop.common_name.to_string()),
            weighed: crop.measure == Measure::Mass,
            piece: crop.piece.to_string(),
            at: centre(footprint).map(in_degrees),
            rings: round::rings(footprint),
            first: texts.all(before_all(first)),
            care: texts.all(care(first)),
            like: look_alikes(crop, texts),
            how: texts.put(crop.cut_method.value.to_string()),
        })
    }
}

fn in_degrees(place: Point) -> [f64; 2] {
    [place.x(), place.y()].map(|degrees| (degrees * round::STEPS).round() / round::STEPS)
}

/// What was found growing there, and what kills and is mistaken for the crop.
fn before_all(patch: &Assessment) -> Vec<String> {
    let found = patch.found_growing.iter();
    let found = found.map(|found| found_growing::sentence(found, &patch.patch, &patch.crop));
    let fatal = cautions::fatal_by_crop(&[&patch.crop]);
    found.chain(fatal.iter().map(cautions::FatalOfCrop::sentence)).collect()
}

/// The full cautions without what stands before all else.
fn care(patch: &Assessment) -> Vec<String> {
    let before: Vec<String> = cautions::fatal_by_crop(&[&patch.crop])
        .iter()
        .map(cautions::FatalOfCrop::sentence)
        .collect();
    let mut all = cautions::full(&patch.crop, patch.site_cautions.as_deref());
    all.retain(|text| !before.contains(text));
    all
}

fn look_alikes(crop: &Crop, texts: &mut Texts) -> Vec<(usize, u8)> {
    let all = cautions::by_gravity(crop).into_iter();
    all.map(|like| (texts.put(&*like.name), u8::from(like.grade == LookAlikeGrade::Fatal)))
        .collect()
}
