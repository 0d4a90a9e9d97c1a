//! What people and machines are shown.

#![allow(clippy::unwrap_used)] // the trial's builders may panic as its tests do

use std::sync::Arc;

use jiff::ToSpan;
use jiff::civil::{Date, date};
use proptest::prelude::*;
use proptest::test_runner::RngSeed;
use serde_json::Value;
use stintbook::assess::{
    Comeback, DayRuling, Evidence, Granted, PatchSeason, Speed, WeekAnswer, week,
};
use stintbook::catalogue::Catalogue;
use stintbook::crop::Trend;
use stintbook::pressure::{
    DayTake, Footfall, MeasuredOn, ModelledCrop, PressureDay, PressureSeries, TroddenGround,
};
use stintbook::records::{Crop, LookAlikeGrade, PatchName, SiteName, Taken};
use stintbook::report::stress::plain;
use stintbook::report::*;
use stintbook::rules::{Ruling, Verdict};
use stintbook::units::{Season, SquareMetres};
use unicode_width::UnicodeWidthStr;

mod holding;
use holding::{Holding, assessed, crop, ledger, seasons};

const TODAY: Date = date(2027, 4, 12);

fn season() -> Season {
    "2026/27".parse().unwrap()
}

/// A season made by hand: full crop 1 kg, 100 g allowed, standing as told for each day.
fn made(
    name: &str,
    crop: Arc<Crop>,
    until: Date,
    standing: impl Fn(Date) -> Option<f64>,
) -> PatchSeason {
    let modelled = |standing: f64| ModelledCrop {
        standing,
        low: standing * 0.8,
        high: standing * 1.25,
        full: 1000.0,
        share_limit: 100.0,
        depletion: 1.0 - standing / 1000.0,
        survey_holds: true,
    };
    let days = season().days().take_while(|day| *day <= until);
    let day = |day| PressureDay {
        day,
        crop: standing(day).map(modelled),
        cut: 0.0,
        take: None,
        surveyed: false,
        feet: Footfall::default(),
    };
    PatchSeason {
        patch: name.parse().unwrap(),
        crop,
        series: PressureSeries { season: season(), days: days.map(day).collect() },
        rulings: vec![],
        ground: TroddenGround {
            area: SquareMetres(100.0),
            underfoot: None,
            measured_on: MeasuredOn::Harvestable,
        },
        visits: 0,
        person_visits: 0,
        visits_without_people: 0,
    }
}

fn with_cut(patch: PatchSeason, on: Date, amount: f64) -> PatchSeason {
    with_cut_of(patch, on, amount, 100.0)
}

/// A cut on a day that allowed so much.
fn with_cut_of(mut patch: PatchSeason, on: Date, amount: f64, allowed: f64) -> PatchSeason {
    let (most, by_share) = (Some(allowed), Some(allowed));
    let take = DayTake { taken: amount, allowed: most, by_share, decided_by: None };
    let day = patch.series.days.iter_mut().find(|day| day.day == on).unwrap();
    (day.cut, day.take) = (amount, Some(take));
    let verdict = if allowed > 0.0 { Verdict::Open } else { Verdict::Resting };
    let morning = Ruling { verdict, most, one_in: None, ceilings: vec![], binding: None };
    patch.rulings.push(DayRuling { day: on, take, people: None, morning });
    patch.visits += 1;
    patch
}

fn surveyed(mut patch: PatchSeason, on: Date) -> PatchSeason {
    patch.series.days.iter_mut().find(|day| day.day == on).unwrap().surveyed = true;
    patch
}

/// First surveyed on 1 December and full; from 1 March down by half; once over the limit.
fn a_used_patch() -> PatchSeason {
    let standing = |day: Date| match day {
        day if day < date(2026, 12, 1) => None,
        day if day < date(2027, 3, 1) => Some(1000.0),
        _ => Some(500.0),
    };
    let patch = made("north wood/gate bank", crop("ramsons-leaf"), TODAY, standing);
    let patch = surveyed(patch, date(2026, 12, 1));
    with_cut(with_cut(patch, date(2027, 3, 1), 350.0), date(2027, 4, 2), 80.0)
}

fn an_unknown_patch() -> PatchSeason {
    made("far point/north ledge", crop("dulse-frond"), TODAY, |_| None)
}

#[test]
fn a_season_in_a_line_shades_what_is_missing_and_stays_blank_where_nothing_is_known() {
    // 1 September to 31 August: an eighth more each month from December on.
    let rises = |day: Date| {
        let months = (day.year() - 2026) * 12 + i16::from(day.month()) - 12;
        (months >= 0).then(|| 1000.0 * f64::from(months) / 7.0)
    };
    let patch = made("a/b", crop("ramsons-leaf"), date(2027, 7, 31), rises);
    let line = SeasonLine::new(season(), 1);
    assert_eq!(line.missing(&patch.series), "   █████▓▒· ");
    assert_eq!(line.months(), "SONDJFMAMJJA");
    assert_eq!(SeasonLine::new(season(), 2).months(), "S O N D J F M A M J J A ");
}

#[test]
fn a_sparkline_never_leaves_its_cells() {
    for cells in [1, 2, 4, 40] {
        let line = SeasonLine::new(season(), cells);
        for text in [line.months(), line.missing(&a_used_patch().series)] {
            assert_eq!(text.width(), 12 * cells);
        }
    }
}

#[test]
fn marks_show_surveys_cuts_and_cuts_over_their_limit() {
    let marks = SeasonLine::new(season(), 1).marks(&a_used_patch().series);
    assert_eq!(marks, "   o  !^    ");
    // Cuts of the same month within their limits, before and after, hide nothing.
    let [before, after] = [date(2027, 3, 1), date(2027, 3, 20)];
    let patch = with_cut(a_used_patch(), after, 80.0);
    assert_eq!(SeasonLine::new(season(), 1).marks(&patch.series), "   o  !^    ");
    let patch = with_cut(with_cut(patch, before, 80.0), after, 350.0);
    assert_eq!(SeasonLine::new(season(), 1).marks(&patch.series), "   o  !^    ");
}

/// Of a season, in short or week by week.
fn pressure_text(patches: &[PatchSeason], width: usize) -> String {
    text_of(PressureDocument::new(season()), patches, width)
}

fn weeks_text(patches: &[PatchSeason], width: usize) -> String {
    text_of(PressureDocument::by_week(season()), patches, width)
}

fn text_of(mut found: PressureDocument, patches: &[PatchSeason], width: usize) -> String {
    found.add(patches);
    plain(&found.document().text(width))
}

#[test]
fn the_pressure_table_reads_as_a_whole_at_80_columns() {
    let table = pressure_text(&[a_used_patch(), an_unknown_patch()], 80);
    assert_eq!(
        table,
        "\
Pressure in the season 2026/27, to 12 Apr 2027

OVER THE LIMIT
  - north wood/gate bank on 1 Mar 2027, 350 g cut where 100 g was allowed.

FAR POINT
  not cut      crop          standing
  north ledge  dulse-frond  not known

NORTH WOOD
patch           S O N D J F M A M J J A       standing   taken     hardest
  crop                                    likely range  visits     missing
gate bank             ······███                  500 g   430 g  350 % OVER
  ramsons-leaf        o     ! ^              400–625 g       2        50 %

How to read it: a letter is a quarter of a month, or more where there is less
room, and shows how much of the full crop was missing: · under 5 %, ░ under
10 %, ▒ under 20 %, ▓ under 40 %, █ more; blank where nothing is known. Under
it: ^ a cut, ! a cut over its limit, o a survey. The likely range holds the crop
in some eight cases of ten. The hardest cut is given as a part of what all rules
together allowed that day; missing is how much of the full crop is missing now.
"
    );
}

#[test]
fn a_table_of_nothing_says_so() {
    let said = "Pressure in the season 2026/27\n\nNo patch to show for the season 2026/27.\n";
    assert_eq!(pressure_text(&[], 80), said);
}

#[test]
fn a_cut_where_nothing_was_allowed_is_told_in_words() {
    let patch = with_cut_of(a_used_patch(), date(2027, 4, 5), 20.0, 0.0);
    let table = pressure_text(std::slice::from_ref(&patch), 80);
    assert!(table.contains("OVER, of 0"), "{table}");
    assert!(table.contains("20 g cut where nothing was allowed."), "{table}");
    let data: Value = serde_json::from_str(&pressure_json(&[patch], season())).unwrap();
    assert_eq!(data["patches"][0]["hardest_cut_of_allowed"], Value::Null);
    assert_eq!(data["patches"][0]["cuts_over_allowed"], 2);
}

/// Fixed seed, nothing written to disk.
fn laws() -> ProptestConfig {
    ProptestConfig {
        cases: 200,
        failure_persistence: None,
        rng_seed: RngSeed::Fixed(27),
        ..ProptestConfig::default()
    }
}

proptest! {
    #![proptest_config(laws())]

    /// But for numbers that no column has room for: they are never cut short.
    #[test]
    fn no_line_is_wider_than_asked_for(
        names in prop::collection::vec("[a-zA-Z 草é.'-]{1,60}", 1..6),
        standing in 0.0..1e4_f64,
        cut in 0.0..1e2_f64,
        width in prop_oneof![Just(80_usize), Just(120)],
    ) {
        let patches: Vec<PatchSeason> = names
            .iter()
            .filter(|name| !name.trim().is_empty())
            .map(|name| {
                let site = SiteName::new(name).unwrap();
                let name = PatchName::new(&site, name).unwrap().to_string();
                let patch = made(&name, crop("elder-flower"), TODAY, |_| Some(standing));
                let mut patch = with_cut(patch, date(2026, 9, 9), cut);
                let feet = Footfall { person_visits: 9, part_of_limit: Some(cut), ..worn() };
                patch.series.days.iter_mut().for_each(|day| day.feet = feet);
                patch
            })
            .collect();
        let tables = [pressure_text, weeks_text].map(|text| text(&patches, width));
        for line in tables.iter().flat_map(|table| table.lines()) {
            prop_assert!(line.width() <= width, "{} columns: {line}", line.width());
        }
    }
}

fn svg(patches: &[PatchSeason], site: &str, on: Date) -> String {
    pressure_svg(&SiteName::new(site).unwrap(), patches, season(), on).unwrap()
}

#[test]
fn a_plot_has_every_name_whole_and_within_its_room() {
    let name = "Green lane bank along the old mill stream and the weir 86411";
    let mut patch = a_used_patch();
    let site = SiteName::new("north wood").unwrap();
    patch.patch = PatchName::new(&site, name).unwrap();
    let strip = week_strip_svg(&site, &[patch.clone()], season(), TODAY).unwrap();
    for (picture, most) in [(svg(&[patch], "north wood", TODAY), 1720.0), (strip, 1640.0)] {
        let parsed = roxmltree::Document::parse(&picture).unwrap();
        let is_name = |node: &roxmltree::Node| {
            node.has_tag_name("text") && node.text().is_some_and(|text| text.trim() == name)
        };
        let text = parsed.descendants().find(is_name).expect("the name is cut");
        let length: f64 = text.attribute("textLength").unwrap().parse().unwrap();
        assert!(length > 0.8 * most && length <= most, "{length}");
        assert!(!picture.contains('…') && !picture.contains('\u{2063}'));
    }
}

#[test]
fn a_plot_is_well_formed_and_says_what_it_shows() {
    let picture = svg(&[a_used_patch(), an_unknown_patch()], "north wood", TODAY);
    let parsed = roxmltree::Document::parse(&picture).unwrap();
    let root = parsed.root_element();
    assert_eq!(root.attribute("role"), Some("img"));
    assert_eq!(root.attribute("width"), Some("720"));
    assert!(root.attribute("viewBox").unwrap().starts_with("0 0 7200 "));
    let text_of = |tag: &str| {
        parsed.descendants().find(|node| node.has_tag_name(tag)).unwrap().text().unwrap()
    };
    assert_eq!(text_of("title"), "north wood: use of the patches in 2026/27");
    let description = text_of("desc");
    assert!(
        description.ends_with(
            " gate bank (Ramsons (wild garlic), leaf): stands 500 g; took 430 g, 1 over."
        ),
        "{description}"
    );
    for id in root.attribute("aria-labelledby").unwrap().split(' ') {
        assert!(parsed.descendants().any(|node| node.attribute("id") == Some(id)), "no `{id}`");
    }
    let shown = words(&picture);
    for expected in ["gate bank", "Ramsons", "350 %", "12 Apr 2027"] {
        assert!(shown.iter().any(|text| text == expected), "`{expected}` is not in {shown:?}");
    }
    assert!(!picture.contains("north ledge"), "a patch of another site is drawn");
}

fn words(picture: &str) -> Vec<String> {
    let parsed = roxmltree::Document::parse(picture).unwrap();
    let texts = parsed.descendants().filter(|node| node.has_tag_name("text"));
    texts.map(|node| node.text().unwrap().trim().to_owned()).collect()
}

fn worn() -> Footfall {
    Footfall {
        person_visits: 30,
        visits_without_people: 0,
        passes_per_100m2: Some(60.0),
        part_of_limit: Some(0.3),
    }
}

/// The same patch, its first survey believed for sixty days only, and trodden from 1 March on.
fn a_worn_patch() -> PatchSeason {
    let mut patch = a_used_patch();
    for day in &mut patch.series.days {
        if let Some(crop) = &mut day.crop {
            crop.survey_holds = day.day < date(2027, 1, 30);
        }
        if day.day >= date(2027, 3, 1) {
            day.feet = worn();
        }
    }
    patch
}

/// The corners of each line of a path, in canvas pixels.
fn lines_of(path: roxmltree::Node) -> Vec<Vec<(f64, f64)>> {
    let mut lines: Vec<Vec<(f64, f64)>> = Vec::new();
    let steps = path.attribute("d").unwrap_or_default().trim_end_matches('z');
    let letters = |c: char| c.is_ascii_alphabetic();
    let starts: Vec<usize> = steps.match_indices(letters).map(|(at, _)| at).collect();
    let ends = starts.iter().skip(1).copied().chain([steps.len()]);
    for step in starts.iter().zip(ends).map(|(start, end)| &steps[*start..end]) {
        let spaced = step[1..].replace('-', " -");
        let by: Vec<f64> =
            spaced.split_whitespace().map(|number| number.parse().unwrap()).collect();
        let (x, y) = lines.last().and_then(|line| line.last()).copied().unwrap_or_default();
        match (&step[..1], &by[..]) {
            ("M", [x, y]) => lines.push(vec![(*x, *y)]),
            ("h", [right]) => lines.last_mut().unwrap().push((x + right, y)),
            ("v", [down]) => lines.last_mut().unwrap().push((x, y + down)),
            ("l", [right, down]) => lines.last_mut().unwrap().push((x + right, y + down)),
            _ => panic!("`{step}`"),
        }
    }
    lines
}

fn dashes_of(picture: &str, colour: &str, width: &str) -> usize {
    let parsed = roxmltree::Document::parse(picture).unwrap();
    let drawn = |node: &roxmltree::Node| {
        node.attribute("stroke") == Some(colour) && node.attribute("stroke-width") == Some(width)
    };
    parsed.descendants().filter(drawn).map(|path| lines_of(path).len()).sum()
}

#[test]
fn a_crop_on_an_expired_survey_is_drawn_in_dashes_and_without_a_limit() {
    let (fresh, stale) = (a_used_patch(), a_worn_patch());
    let count = |patch: &PatchSeason, colour, width| {
        dashes_of(&svg(std::slice::from_ref(patch), "north wood", TODAY), colour, width)
    };
    // The key has one sample of each; its dashes are counted with a patch that has none.
    let unknown = an_unknown_patch();
    let in_key = |colour, width| {
        dashes_of(&svg(std::slice::from_ref(&unknown), "far point", TODAY), colour, width)
    };
    assert_eq!(count(&fresh, "#545454", "12"), in_key("#545454", "12"));
    assert!(count(&stale, "#545454", "12") > in_key("#545454", "12") + 5);
    assert!(count(&stale, "#AA4C00", "12") < count(&fresh, "#AA4C00", "12"));
}

fn strip(patches: &[PatchSeason], site: &str, on: Date) -> String {
    week_strip_svg(&SiteName::new(site).unwrap(), patches, season(), on).unwrap()
}

/// Left edge, width and height of the filled boxes of a colour, in canvas pixels.
fn boxes(picture: &str, colour: &str) -> Vec<(f64, f64, f64)> {
    let parsed = roxmltree::Document::parse(picture).unwrap();
    let filled = parsed
        .descendants()
        .filter(|node| node.has_tag_name("path") && node.attribute("fill") == Some(colour));
    let sides = |node: roxmltree::Node| {
        let corners = &lines_of(node)[0];
        let [(left, top), _, (right, bottom), ..] = corners[..] else { panic!("{corners:?}") };
        (left, right - left, bottom - top)
    };
    filled.map(sides).collect()
}

#[test]
fn a_strip_is_well_formed_stands_beside_a_plot_and_says_what_it_shows() {
    let picture = strip(&[a_worn_patch(), an_unknown_patch()], "north wood", TODAY);
    let parsed = roxmltree::Document::parse(&picture).unwrap();
    let root = parsed.root_element();
    assert_eq!((root.attribute("role"), root.attribute("width")), (Some("img"), Some("720")));
    let text_of = |tag: &str| {
        parsed.descendants().find(|node| node.has_tag_name(tag)).unwrap().text().unwrap()
    };
    assert_eq!(text_of("title"), "north wood: pressure week by week in 2026/27");
    assert!(
        text_of("desc").ends_with(
            " gate bank (Ramsons (wild garlic), leaf): 50 % missing; feet 30 %; cut in 2 weeks."
        ),
        "{}",
        text_of("desc")
    );
    let plot = svg(&[a_worn_patch()], "north wood", TODAY);
    for id in root.attribute("aria-labelledby").unwrap().split(' ') {
        assert!(parsed.descendants().any(|node| node.attribute("id") == Some(id)), "no `{id}`");
        assert!(!plot.contains(&format!("\"{id}\"")), "a plot on the same page has `{id}` too");
    }
    let shown = words(&picture);
    for expected in ["gate bank", "50 % missing", "feet 30 %", "12 Apr 2027", "Sep", "2027"] {
        assert!(shown.iter().any(|text| text == expected), "`{expected}` is not in {shown:?}");
    }
    assert!(!picture.contains("north ledge"), "a patch of another site is drawn");
}

/// Full from the week of 1 December on, half gone from 1 March on; the survey expires on
/// 30 January, and feet come on 1 March.
#[test]
fn a_strip_shades_weeks_by_what_was_missing_thinner_where_the_survey_is_too_old() {
    let picture = strip(&[a_worn_patch()], "north wood", TODAY);
    let in_rows = |colour: &str| {
        let mut found = boxes(&picture, colour);
        // The first is the key's.
        found.remove(0);
        found
    };
    let week = (720.0 - 32.0 - 164.0 - 96.0) * 10.0 / 53.0;
    let weeks = |width: f64| (width / week).round();
    let [full, stale] = in_rows("#E3EEF5")[..] else { panic!("{:?}", in_rows("#E3EEF5")) };
    // Weeks that end on 6 December to 24 January, then on 31 January to 28 February.
    assert_eq!((weeks(full.1), weeks(stale.1)), (8.0, 5.0));
    assert!((full.2 / stale.2 - 2.0).abs() < 0.1, "{full:?}, {stale:?}");
    let [half_gone] = in_rows("#063656")[..] else { panic!("{:?}", in_rows("#063656")) };
    // To the week of 12 April, which is only begun.
    assert_eq!(weeks(half_gone.1), 7.0);
    let [feet] = in_rows("#C7893E")[..] else { panic!("{:?}", in_rows("#C7893E")) };
    assert_eq!((feet.0, feet.1), (half_gone.0, half_gone.1));
}

#[test]
fn a_strip_of_little_says_so() {
    assert!(
        words(&strip(&[an_unknown_patch()], "far point", TODAY)).contains(&"no survey yet".into())
    );
    let none = words(&strip(&[], "far point", TODAY));
    assert!(none.contains(&"No patches are recorded for this site.".into()), "{none:?}");
    let after = season().last_day().checked_add(40.days()).unwrap();
    let shown = words(&strip(&[a_used_patch()], "north wood", after));
    assert!(!shown.iter().any(|text| text.contains("2027") && text.len() > 4), "{shown:?}");
}

#[test]
fn the_weeks_read_as_a_whole_at_80_columns() {
    let table = weeks_text(&[a_worn_patch(), an_unknown_patch()], 80);
    assert_eq!(
        table,
        "\
Pressure week by week in the season 2026/27, to 12 Apr 2027

OVER THE LIMIT
  - north wood/gate bank on 1 Mar 2027, 350 g cut where 100 g was allowed.

FAR POINT
patch          Sep Oct Nov  Dec Jan  Feb Mar Apr May  Jun Jul Aug     missing
  crop                                                                   feet
north ledge                                                                 ?
  dulse-frond

NORTH WOOD
patch           Sep Oct Nov  Dec Jan  Feb Mar Apr May  Jun Jul Aug     missing
  crop                                                                    feet
gate bank                    ·············███████                         50 %
  ramsons-leaf               o       -----!---^--                         30 %
                                          ▃▃▃▃▃▃▃

Most trodden: north wood/gate bank 30 % of what the ground there bears in a
year; a rough measure of use, not of wear.

How to read it: a column is a week, or more where there is less room. In a
patch's first line, how much of the full crop was missing at its end: · under
5 %, ░ under 10 %, ▒ under 20 %, ▓ under 40 %, █ more; blank where nothing is
known. Below it: ^ a cut, ! a cut over its limit, o a survey, - the survey was
too old by then. Below that the feet: a year's passes, from ▁ (few) to █ (all
that the ground bears). The figures tell how much of the full crop is missing
now, and how much of what the ground bears in a year was trodden: a rough
measure of use, not of wear.
"
    );
}

#[test]
fn names_cannot_break_the_picture() {
    let mut named = (*crop("ramsons-leaf")).clone();
    named.common_name = "fat & <b>\"hen\"</b> ]]>".into();
    let patch = made("north wood/o'er -- there", Arc::new(named), TODAY, |_| Some(500.0));
    let shown = words(&svg(&[patch], "north wood", TODAY));
    assert!(shown.contains(&"fat & <b>\"hen\"</b> ]]>".to_owned()), "{shown:?}");
    assert!(shown.contains(&"o'er -- there".to_owned()), "{shown:?}");
}

#[test]
fn a_patch_without_a_survey_gets_a_quiet_panel_that_says_so() {
    assert!(
        words(&svg(&[an_unknown_patch()], "far point", TODAY)).contains(&"no survey yet".into())
    );
    let before = made("far point/ledge", crop("dulse-frond"), date(2025, 1, 1), |_| None);
    assert!(words(&svg(&[before], "far point", TODAY)).contains(&"not begun yet".into()));
    let none = words(&svg(&[], "far point", TODAY));
    assert!(none.contains(&"No patches are recorded for this site.".into()), "{none:?}");
}

/// Heights over their floors of the crop lines, in canvas pixels, panel by panel.
fn crop_heights(picture: &str) -> Vec<f64> {
    let parsed = roxmltree::Document::parse(picture).unwrap();
    let heights = |colour: &'static str, width: &'static str| {
        let of_look = parsed.descendants().filter(move |node| {
            node.attribute("stroke") == Some(colour)
                && node.attribute("stroke-width") == Some(width)
        });
        // The key's samples are 20 page units long, the panels' lines longer.
        let lines =
            of_look.flat_map(lines_of).filter(|line| line[line.len() - 1].0 - line[0].0 > 201.0);
        lines.map(|line| line[0].1).collect::<Vec<f64>>()
    };
    let (floors, crops) = (heights("#787878", "8").into_iter(), heights("#0B4F76", "18"));
    floors.zip(crops).map(|(floor, crop)| floor - crop).collect()
}

#[test]
fn patches_of_one_crop_share_one_scale() {
    let leaf =
        |name: &str, standing| made(name, crop("ramsons-leaf"), TODAY, move |_| Some(standing));
    let frond = made("north wood/ledge", crop("dulse-frond"), TODAY, |_| Some(250.0));
    let patches = [leaf("north wood/a", 1000.0), leaf("north wood/b", 250.0), frond];
    let heights = crop_heights(&svg(&patches, "north wood", TODAY));
    let [frond, full, quarter] = heights[..] else { panic!("{heights:?}") };
    assert!((full / quarter - 4.0).abs() < 0.05, "{heights:?}");
    assert!(frond > 0.0);
    let shared = CropScale::of(&patches[..2]);
    assert!(shared.crop.top >= 1000.0 && shared.cut.top >= 100.0);
}

#[test]
fn a_figure_of_the_scale_stands_once_for_a_row_of_one_crop() {
    let leaf = |n: i32| {
        made(&format!("north wood/plot {n}"), crop("ramsons-leaf"), TODAY, |_| Some(900.0))
    };
    let patches: Vec<PatchSeason> = (0..60).map(leaf).collect();
    let shown = words(&svg(&patches, "north wood", TODAY));
    assert_eq!(shown.iter().filter(|text| text.starts_with("plot ")).count(), 60);
    assert_eq!(
        shown.iter().filter(|text| *text == "500 g").count(),
        15,
        "sixty panels, four in a row"
    );
}

/// Patches open, resting, never surveyed and out of season; masses and counts.
fn answer() -> WeekAnswer {
    let wood = Holding::new("north wood")
        .patch("gate bank", "ramsons-leaf")
        .surveyed(date(2027, 3, 5), 70.0)
        .patch("spent bank", "ramsons-leaf")
        .surveyed(date(2027, 3, 5), 70.0)
        .cut_as(date(2027, 4, 2), "9kg", Some(8), Taken::ByWeight)
        .patch("quarry", "ramsons-leaf")
        .patch("elder lane", "elder-flower")
        .surveyed(date(2026, 6, 6), 3.0);
    week(TODAY, assessed(&ledger([wood]), TODAY))
}

#[test]
fn the_week_in_json_names_its_schema_its_units_and_every_ceiling() {
    let data: Value = serde_json::from_str(&week_json(&answer())).unwrap();
    assert_eq!(data["schema"], "stintbook.week/1");
    assert_eq!((&data["on"], &data["week"]), (&"2027-04-12".into(), &"2027-W15".into()));
    let patches = data["patches"].as_array().unwrap();
    assert_eq!(patches.len(), 4);
    let named = |name: &str| patches.iter().find(|patch| patch["patch"] == name).unwrap();
    let open = named("gate bank");
    assert_eq!(open["verdict"], "open");
    assert!(open["most_g"].as_f64().unwrap() > 0.0);
    assert!(open.get("most_count").is_none());
    assert_eq!(open["ceilings"].as_array().unwrap().len(), stintbook::rules::RULES.len());
    for field in [
        "id",
        "site",
        "crop",
        "one_in",
        "binding_rule",
        "reason",
        "opens_on",
        "opens_needs_survey",
        "standing_g",
        "standing_low_g",
        "distance_m",
    ] {
        assert!(open.get(field).is_some(), "no `{field}`");
    }
    assert_eq!(named("spent bank")["verdict"], "resting");
    assert_eq!(named("quarry")["standing_g"], Value::Null);
    assert_eq!(named("elder lane")["most_count"], 0.0);
    assert_eq!(data["totals"][0]["crop"], "ramsons-leaf");
    let cautions = data["cautions"].to_string();
    assert!(cautions.contains("lily of the valley"), "{cautions}");
}

#[test]
fn the_week_in_csv_has_a_cell_for_every_heading() {
    let text = week_csv(&answer()).unwrap();
    let mut table = csv::Reader::from_reader(text.as_bytes());
    let headings = table.headers().unwrap().clone();
    for expected in ["site", "patch", "most_g", "most_count", "reason", "lon", "lat", "ceilings"] {
        assert!(headings.iter().any(|heading| heading == expected), "no `{expected}`");
    }
    assert_eq!(table.records().filter(Result::is_ok).count(), 4);
    let none = week(TODAY, Vec::new());
    assert_eq!(week_csv(&none).unwrap().lines().count(), 1, "an empty week keeps its headings");
}

fn nothing_seen() -> Evidence {
    Evidence {
        sureness: None,
        sightings: vec![],
        eyes: vec![],
        trend: Trend::TooFew { matched: 0, surveys: 0 },
        response: None,
        comeback: Comeback {
            speed: Speed { best: 1.0, low: 0.5, high: 2.0, tests: 0 },
            refill_part: 1.0,
            largest_share: 0.22,
            tests: vec![],
            worth: None,
        },
        fall: None,
        survey: None,
    }
}

#[test]
fn a_check_in_json_holds_the_whole_assessment() {
    let assessments = answer().patches;
    assert_eq!(assessments.len(), 4);
    for assessment in &assessments {
        let data: Value =
            serde_json::from_str(&check_json(assessment, &nothing_seen(), &[Granted::OnePerson]))
                .unwrap();
        assert_eq!(data["schema"], "stintbook.check/1");
        for field in [
            "ground",
            "state",
            "share",
            "terms",
            "reductions",
            "quadrat_advice",
            "limit_fell",
            "recovery",
            "evidence",
            "trend",
            "assumptions",
            "ceilings",
            "ask_first",
            "closes_on",
            "closes_by_rule",
            "site_cautions",
        ] {
            assert!(data.get(field).is_some(), "no `{field}`");
        }
        assert!(data["cautions"].to_string().contains("The bull is in the lower field."));
    }
}

#[test]
fn numbers_that_are_none_never_reach_json() {
    let mut assessment = answer().patches.remove(0);
    assessment.ruling.most = Some(f64::INFINITY);
    assessment.ground.footprint.0 = f64::NAN;
    assessment.distance = Some(stintbook::units::Metres(f64::NEG_INFINITY));
    let data: Value = serde_json::from_str(&check_json(&assessment, &nothing_seen(), &[])).unwrap();
    assert_eq!(data["most_g"], Value::Null);
    assert_eq!(data["ground"]["footprint_m2"], Value::Null);
    assert_eq!(data["distance_m"], Value::Null);
}

#[test]
fn the_pressure_in_json_and_csv_tells_the_same_days() {
    let wood = Holding::new("north wood")
        .patch("gate bank", "ramsons-leaf")
        .surveyed(date(2027, 3, 5), 70.0)
        .cut(date(2027, 3, 13), "1.2kg", 8)
        .patch("elder lane", "elder-flower");
    let patches = seasons(&wood.ledger(), season(), TODAY);
    let data: Value = serde_json::from_str(&pressure_json(&patches, season())).unwrap();
    assert_eq!(data["schema"], "stintbook.pressure/3");
    assert_eq!(data["season"], "2026/27");
    let bank = &data["patches"][0];
    assert_eq!((&bank["taken_g"], &bank["person_visits"]), (&1200.0.into(), &8.into()));
    let days = bank["days"].as_array().unwrap();
    let last = date(2026, 9, 1).until(TODAY).unwrap().get_days() as usize;
    assert_eq!(days.len(), last + 1);
    assert_eq!(days[0]["standing_g"], Value::Null);
    // Eight people on a disc of 10 m radius; 200 passes on 100 m² are the limit.
    let passes = 100.0 * 16.0 / (std::f64::consts::PI * 100.0);
    let near = |value: &Value, expected: f64| {
        let found = value.as_f64().unwrap();
        assert!((found / expected - 1.0).abs() < 0.02, "{found} is not near {expected}");
    };
    near(&days[last]["passes_per_100m2"], passes);
    near(&days[last]["feet_part_of_limit"], passes / 200.0);
    near(&bank["feet_part_of_limit"], passes / 200.0);
    assert_eq!(bank["passes_that_halve_cover"], 200.0);
    assert_eq!((&bank["underfoot"], &days[0]["survey_holds"]), (&Value::Null, &Value::Null));
    let cut_day = date(2026, 9, 1).until(date(2027, 3, 13)).unwrap().get_days() as usize;
    assert_eq!(days[cut_day]["survey_holds"], true);
    let allowed = days[cut_day]["allowed_g"].as_f64().unwrap();
    near(&days[cut_day]["part_of_allowed"], 1200.0 / allowed);
    assert_eq!(bank["hardest_cut_of_allowed"], days[cut_day]["part_of_allowed"]);
    assert!(allowed <= days[cut_day]["share_limit_g"].as_f64().unwrap());
    assert_eq!(days[cut_day - 1]["part_of_allowed"], Value::Null);
    assert!(days[last]["standing_g"].as_f64().unwrap() > 0.0);
    let depletions = days.iter().filter_map(|day| day["depletion"].as_f64());
    let deepest = depletions.reduce(f64::max).unwrap();
    assert!(deepest > 0.0);
    assert_eq!(bank["depletion_deepest"], deepest);

    let text = pressure_csv(&patches).unwrap();
    let mut table = csv::Reader::from_reader(text.as_bytes());
    let headings = table.headers().unwrap().clone();
    let at = |name: &str| headings.iter().position(|heading| heading == name).unwrap();
    let rows: Vec<csv::StringRecord> = table.records().map(|row| row.unwrap()).collect();
    assert_eq!(rows.len(), 2 * (last + 1));
    let cut = rows.iter().find(|row| &row[at("day")] == "2027-03-13").unwrap();
    assert_eq!((&cut[at("cut_g")], &cut[at("cut_count")]), ("1200.0", ""));
    assert_eq!((&cut[at("person_visits_365_days")], &cut[at("survey_holds")]), ("8", "true"));
}

#[test]
fn the_short_cautions_name_each_fatal_look_alike_of_the_crops_shown() {
    let mut fatal = 0;
    for crop in Catalogue::built_in().crops() {
        let said = cautions::short([crop], 80);
        let said = said.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(said.contains("This tool does not identify plants."));
        for look_alike in &crop.look_alikes {
            let name = look_alike.name.split(" (").next().unwrap();
            let is_fatal = look_alike.grade == LookAlikeGrade::Fatal;
            fatal += usize::from(is_fatal);
            assert!(!is_fatal || said.contains(name), "{}: no `{name}` in {said}", crop.name);
        }
    }
    assert!(fatal > 10);
}

#[test]
fn the_short_cautions_of_a_few_crops_are_a_few_lines() {
    assert_eq!(
        stress::plain(&cautions::short([&crop("ramsons-leaf"), &crop("dulse-frond")], 80)),
        "
FATAL LOOK-ALIKES, crop by crop
  ramsons-leaf: autumn crocus, lily of the valley, white hellebore, foxglove

This tool does not identify plants. Cut and eat only what a competent person has
identified for certain. Have leave; local law and codes of practice come first.
Clean ground only; a small first taste; keep children by you. On the shore know
the tide, the mud and the cliff.
"
    );
}

#[test]
fn the_full_cautions_begin_with_what_kills_and_hold_crop_and_site() {
    let said = cautions::full(&crop("watercress-tops"), Some("Creeks: know the tide."));
    assert!(said[0].starts_with("Fatal look-alikes of Watercress, tops: "), "{}", said[0]);
    assert!(said[1].contains("does not identify plants"));
    assert!(said[2].starts_with("Mistaken for it: fatal: hemlock water-dropwort"), "{}", said[2]);
    for about in
        ["Of this crop", "Of this site", "First taste", "Children", "Leave and law", "Shore"]
    {
        assert!(said.iter().any(|text| text.starts_with(about)), "nothing on `{about}`");
    }
}

fn built_in(crop: &Crop) -> Listed<'_> {
    Listed { crop, own_file: None }
}

#[test]
fn the_table_of_crops_fits_its_width_and_cuts_no_name_short() {
    for width in [40, 60, 80, 120] {
        let table =
            crops_document(Catalogue::built_in().crops().map(|crop| built_in(crop))).text(width);
        for line in table.lines() {
            assert!(line.width() <= width, "{} columns: {line}", line.width());
        }
        let mut crops = 0;
        for crop in Catalogue::built_in().crops() {
            assert!(
                table.lines().any(|line| line.trim_end().starts_with(&format!("  {}", crop.name)))
            );
            crops += 1;
        }
        assert!(crops >= 20);
    }
}

#[test]
fn a_crop_in_full_gives_each_value_its_source_and_the_gravest_look_alike_first() {
    let mut sources = 0;
    for crop in Catalogue::built_in().crops() {
        let text = crop_document(built_in(crop)).text(80);
        let run_together: String = text.split_whitespace().collect();
        for source in [
            &crop.window.source,
            &crop.recovery.source,
            &crop.kept_standing.source,
            &crop.reserve.source,
            &crop.smallest_useful.source,
            &crop.cut_method.source,
            &crop.look_alikes_source,
            &crop.cautions.source,
            &crop.legal_note.source,
        ] {
            let source: String = source.split_whitespace().collect();
            assert!(run_together.contains(&source), "{}: no `{source}`", crop.name);
            sources += 1;
        }
        let mut wide = text.lines().filter(|line| line.width() > 80);
        assert!(wide.all(|line| !line.trim().contains(' ')), "{text}");
        assert!(text.contains("does not identify plants"));
    }
    assert!(sources > 100);
    let text = crop_document(built_in(&crop("watercress-tops"))).text(80);
    assert!(text.find("fatal:").unwrap() < text.find("harmless:").unwrap());
}

#[test]
fn the_catalogue_in_json_holds_every_crop_and_each_crop_its_sources() {
    let all: Value =
        serde_json::from_str(&crops_json(Catalogue::built_in().crops().map(|crop| built_in(crop))))
            .unwrap();
    assert_eq!(all["schema"], "stintbook.crops/1");
    assert_eq!(all["crops"].as_array().unwrap().len(), Catalogue::built_in().crops().count());
    let one: Value = serde_json::from_str(&crop_json(built_in(&crop("ramsons-leaf")))).unwrap();
    assert_eq!(one["schema"], "stintbook.crop/1");
    assert_eq!(one["look_alikes"]["value"][0]["grade"], "fatal");
    for field in ["season", "recovery_days", "kept_standing", "code_cap", "legal_note"] {
        let source = &one[field]["source"];
        assert!(source.as_str().is_some_and(|source| !source.is_empty()), "`{field}`: {source}");
    }
}

#[test]
fn a_plot_of_a_whole_season_marks_no_day_outside_it() {
    let after = season().last_day().checked_add(40.days()).unwrap();
    let shown = words(&svg(&[a_used_patch()], "north wood", after));
    assert!(!shown.iter().any(|text| text.contains("2027")), "{shown:?}");
}
