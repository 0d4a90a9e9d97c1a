//! The crop catalogue as its users see it: every value has a source, and a bad file of crops
//! is answered with what is wrong and what would be right.

use proptest::prelude::*;

use stintbook::catalogue::{Catalogue, CatalogueProblem, read};
use stintbook::records::{Crop, Habit, LookAlikeGrade, PlantPart, Sourced, Status};
use stintbook::report::{Listed, crop_document, crop_json};
use stintbook::units::{Amount, Measure};

const SEA_BEET: &str = r#"
[sea-beet-leaf]
common_name = "Sea beet, leaf"
scientific_name = "Beta vulgaris subsp. maritima"
part = "leaf"
kitchen_role = "green leaf"
habit = "slow leaf"
season = "10-15..06-15"
take_fraction = 0.10
recovery_days = 42
code = "plants"
cut_method = "one leaf a crown"
look_alikes = [{ name = "lords-and-ladies", grade = "irritant" }]
cautions = "tides"
legal_note = "local law comes first"
source.others = "from memory"
"#;

fn crops() -> impl Iterator<Item = &'static Crop> {
    let mut crops = Catalogue::built_in().crops().map(AsRef::as_ref).peekable();
    assert!(crops.peek().is_some(), "the catalogue is empty");
    crops
}

fn crop(name: &str) -> &'static Crop {
    Catalogue::built_in().crop(name).expect("a crop of the catalogue")
}

/// The problems of sea beet's profile with one line put in the place of another.
fn problems_with(line: &str, instead: &str) -> String {
    assert!(SEA_BEET.contains(line), "the profile has no line `{line}`");
    let problems = read("mine.toml", &SEA_BEET.replace(line, instead));
    problems.expect_err("a profile with a problem").to_string()
}

fn sources(crop: &Crop) -> Vec<(&'static str, &str)> {
    fn of<T>(sourced: &Option<Sourced<T>>) -> Option<&str> {
        sourced.as_ref().map(|sourced| &*sourced.source)
    }
    let optional = [
        ("growth by month", of(&crop.growth_by_month)),
        ("leave per m²", of(&crop.leave_per_m2)),
        ("cuts per season", of(&crop.cuts_per_season)),
        ("code cap", of(&crop.code_cap)),
        ("per person and visit", of(&crop.per_person_visit)),
    ];
    let mut all = vec![
        ("season", &*crop.window.source),
        ("recovery", &*crop.recovery.source),
        ("kept standing", &*crop.kept_standing.source),
        ("reserve", &*crop.reserve.source),
        ("smallest useful", &*crop.smallest_useful.source),
        ("cut method", &*crop.cut_method.source),
        ("look-alikes", &*crop.look_alikes_source),
        ("cautions", &*crop.cautions.source),
        ("legal note", &*crop.legal_note.source),
    ];
    all.extend(optional.into_iter().filter_map(|(name, source)| Some((name, source?))));
    if let Status::Protected(reason) | Status::Invasive(reason) = &crop.status {
        all.push(("status", &*reason.source));
    }
    all
}

#[test]
fn the_catalogue_holds_sixty_two_crops_of_every_habit() {
    assert_eq!(crops().count(), 62);
    for habit in Habit::ALL {
        assert!(crops().any(|crop| crop.habit == habit), "no crop is `{}`", habit.name());
    }
    for name in ["three-cornered-garlic-leaf", "elder-flower", "egg-wrack-frond", "sea-kale-leaf"] {
        assert_eq!(&*crop(name).name, name);
    }
}

#[test]
fn every_value_of_every_crop_has_a_source() {
    for crop in crops() {
        for (field, source) in sources(crop) {
            assert!(!source.trim().is_empty(), "{}: no source for the {field}", crop.name);
        }
    }
}

#[test]
fn every_recovery_can_be_reckoned_with() {
    for crop in crops() {
        assert!(crop.recovery.value.is_usable(), "{}", crop.name);
    }
}

/// A regrowing crop is fast if r = ln(19 f / (1 − f)) / R is 0.04 a day or more.
#[test]
fn a_leaf_is_fast_or_slow_as_its_recovery_says() {
    for crop in crops().filter(|crop| crop.habit.is_leaf()) {
        let recovery = crop.recovery.value;
        let f = recovery.take_fraction;
        let rate = (19.0 * f / (1.0 - f)).ln() / recovery.days;
        assert_eq!(rate >= 0.04, crop.habit == Habit::FastLeaf, "{}: {rate} a day", crop.name);
    }
}

/// BSBI code of conduct (2017): one in twenty. Seaweed Harvesting Code of Conduct: under a
/// third of a plant. Wild Mushroom Pickers' Code of Conduct (1998): half the fruit bodies.
#[test]
fn no_crop_starts_above_its_published_cap() {
    for crop in crops().filter(|crop| !matches!(crop.status, Status::Invasive(_))) {
        let published = match crop.part {
            PlantPart::FruitBody => 0.5,
            PlantPart::Frond => 0.33,
            _ => 0.05,
        };
        let cap = crop.code_cap.as_ref().map(|cap| cap.value.fraction);
        assert!(cap.is_some_and(|cap| cap <= published), "{}: {cap:?}", crop.name);
    }
}

/// Wild Mushroom Pickers' Code of Conduct (England, 1998): 1.5 kg a visit.
#[test]
fn a_fungus_is_limited_to_a_kilo_and_a_half_for_each_person() {
    let fungi: Vec<_> = crops().filter(|crop| crop.part == PlantPart::FruitBody).collect();
    assert_eq!(fungi.len(), 5);
    for fungus in fungi {
        let most = fungus.per_person_visit.as_ref().map(|most| most.value.value);
        assert_eq!(most, Some(1500.0), "{}", fungus.name);
    }
}

#[test]
fn a_crop_of_the_carrot_family_names_a_fatal_look_alike() {
    for name in [
        "ground-elder-leaf",
        "hogweed-shoot",
        "alexanders-shoot",
        "sweet-cicely-leaf",
        "pignut-bulb",
    ] {
        let gravest = crop(name).gravest_look_alike().map(|look_alike| look_alike.grade);
        assert_eq!(gravest, Some(LookAlikeGrade::Fatal), "{name}");
    }
}

#[test]
fn growing_months_are_given_for_winter_greens_only_and_never_full_in_winter() {
    let known: Vec<_> = crops().filter(|crop| crop.growth_by_month.is_some()).collect();
    let names: Vec<&str> = known.iter().map(|crop| &*crop.name).collect();
    assert_eq!(
        names,
        ["alexanders-shoot", "bittercress-leaf", "chickweed-tops", "three-cornered-garlic-leaf"]
    );
    for crop in known {
        let months = crop.growth_by_month.as_ref().unwrap().value;
        assert!([11, 0, 1].into_iter().all(|month| months[month] <= 0.5), "{}", crop.name);
    }
}

#[test]
fn texts_are_whole_sentences_and_leave_the_last_word_to_the_law() {
    for crop in crops() {
        for text in [&crop.cut_method, &crop.cautions, &crop.legal_note] {
            assert!(text.value.ends_with('.'), "{}: `{}`", crop.name, text.value);
        }
        assert!(crop.legal_note.value.to_lowercase().contains("local law"), "{}", crop.name);
    }
}

#[test]
fn a_counted_crop_is_shown_in_its_pieces() {
    let elder = crop("elder-flower");
    assert_eq!(elder.measure, Measure::Count);
    assert_eq!(elder.show(14.0), "14 heads");
    assert_eq!(crop("nettle-tops").show(1250.0), "1.25 kg");
}

#[test]
fn a_near_miss_gets_the_name_that_was_meant() {
    let catalogue = Catalogue::built_in();
    assert_eq!(catalogue.nearest("ramson-leaf").as_deref(), Some("ramsons-leaf"));
    assert_eq!(catalogue.nearest("qqq"), None);
}

#[test]
fn a_profile_of_ones_own_replaces_ours() {
    let mine = read("mine.toml", SEA_BEET).unwrap();
    let catalogue: Catalogue = crops().cloned().chain(mine).collect();
    assert_eq!(&*catalogue.crop("sea-beet-leaf").unwrap().cautions.value, "tides");
    assert_eq!(catalogue.crops().count(), 62);
}

#[test]
fn habit_and_code_fill_in_what_a_profile_leaves_out() {
    let beet = read("mine.toml", SEA_BEET).unwrap().remove(0);
    assert_eq!((beet.kept_standing.value, beet.reserve.value), (0.77, 0.4));
    assert_eq!(beet.code_cap.unwrap().value.fraction, 0.05);
    assert_eq!((beet.smallest_useful.value.value, beet.countable), (50.0, true));
    assert_eq!(beet.growth_by_month, None);
}

#[test]
fn a_recovery_from_a_cut_too_small_to_see_is_refused_with_the_reason() {
    assert_eq!(
        problems_with("take_fraction = 0.10", "take_fraction = 0.05"),
        "mine.toml, `sea-beet-leaf`, `take_fraction`: found `0.05`\n  \
         expected a fraction over 0.05 and under 0.95: after a cut of 5 % or less the crop still \
         stands at 95 %, so the recovery says nothing"
    );
}

#[test]
fn what_a_person_may_take_and_what_stays_on_a_square_metre_are_over_nothing() {
    let with =
        |line: &str| read("mine.toml", &SEA_BEET.replace("source.", &format!("{line}\nsource.")));
    let beet = with("per_person_visit = \"20 g\"\nleave_per_m2 = 2.5").unwrap().remove(0);
    assert_eq!(beet.per_person_visit.map(|it| it.value), Some(Amount::grams(20.0)));
    assert_eq!(beet.leave_per_m2.map(|it| it.value), Some(2.5));
    for nothing in ["per_person_visit = \"0 g\"", "leave_per_m2 = 0", "leave_per_m2 = inf"] {
        with(nothing).unwrap_err();
    }
}

#[test]
fn a_missing_field_is_named() {
    assert_eq!(
        problems_with("season = \"10-15..06-15\"\n", ""),
        "mine.toml, `sea-beet-leaf`, `season`: nothing is given\n  \
         expected a span of days, like `11-15..03-20` or `all year`"
    );
    assert_eq!(
        problems_with("source.others = \"from memory\"", "[sea-beet-leaf.source]")
            .matches("expected where the value comes from: a citation")
            .count(),
        6 // season, recovery, cut method, look-alikes, cautions, legal note
    );
}

#[test]
fn a_word_that_is_not_one_of_the_set_is_answered_with_the_set() {
    assert_eq!(
        problems_with("part = \"leaf\"", "part = \"leaves\""),
        "mine.toml, `sea-beet-leaf`, `part`: found `leaves`\n  \
         expected one of `leaf`, `shoot`, `flower`, `fruit`, `seed`, `nut`, `root`, `bulb`, \
         `frond`, `fruit body`"
    );
    assert!(problems_with("\"irritant\"", "\"nasty\"").contains("`irritant`, `poisonous`"));
}

#[test]
fn a_number_with_a_comma_is_refused_with_the_way_out() {
    assert!(
        problems_with("take_fraction = 0.10", "take_fraction = \"0,10\"")
            .starts_with("mine.toml, `sea-beet-leaf`, `take_fraction`: found `0,10`")
    );
    let problem = problems_with("take_fraction = 0.10", "take_fraction = 0,10");
    assert!(problem.starts_with("mine.toml, line 9: "), "{problem}");
    assert!(problem.ends_with("numbers with a point"), "{problem}");
}

#[test]
fn a_field_that_no_crop_has_is_answered_with_the_one_that_was_meant() {
    assert_eq!(
        problems_with("code = \"plants\"", "code = \"plants\"\nreserv = 0.4"),
        "mine.toml, `sea-beet-leaf`, `reserv`: found `0.4`\n  \
         expected a field of a crop; did you mean `reserve`?"
    );
    assert!(
        problems_with("source.others", "source.reserve = \"a hunch\"\nsource.others")
            .contains("`source.reserve`: found `a hunch`")
    );
}

#[test]
fn every_problem_of_a_file_is_found_at_once() {
    let bad = SEA_BEET
        .replace("[sea-beet-leaf]", "[Sea_Beet]")
        .replace("habit = \"slow leaf\"", "habit = \"quick\"")
        .replace("recovery_days = 42", "recovery_days = 0\nreserve = 1\ncuts_per_season = 0.5")
        .replace("tides", "  ");
    let problems = read("mine.toml", &bad).unwrap_err().problems;
    let fields: Vec<&str> = problems
        .iter()
        .map(|problem| match problem {
            CatalogueProblem::Field { field, .. } => &**field,
            other => panic!("{other}"),
        })
        .collect();
    assert_eq!(
        fields,
        ["habit", "name", "cautions", "recovery_days", "reserve", "cuts_per_season"]
    );
}

#[test]
fn a_crop_that_is_both_protected_and_invasive_is_refused() {
    let both = "code = \"plants\"\nprotected = \"rare\"\ninvasive = \"spreads\"";
    assert!(problems_with("code = \"plants\"", both).contains("not both"));
}

#[test]
fn a_file_without_a_table_is_refused_and_an_empty_one_holds_no_crop() {
    assert_eq!(
        read("mine.toml", "sea-beet-leaf = 3").unwrap_err().to_string(),
        "mine.toml, `sea-beet-leaf`: found `3`\n  \
         expected a table, `[sea-beet-leaf]`, with the crop's fields"
    );
    assert_eq!(read("mine.toml", ""), Ok(Vec::new()));
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..Default::default() })]

    #[test]
    fn no_file_makes_the_reader_panic(text in "\\PC{0,200}") {
        let _ = read("mine.toml", &text);
    }

    #[test]
    fn no_value_of_a_field_makes_the_reader_panic(
        line in prop::sample::select(SEA_BEET.lines().skip(2).collect::<Vec<_>>()),
        value in "(\"[^\"\\\\\\p{Cc}]{0,20}\"|-?[0-9]{1,9}(\\.[0-9]{1,9})?|nan|inf|true|\\[\\]|\\{\\}|1e308)",
    ) {
        let field = line.split(" = ").next().unwrap_or_default();
        let _ = read("mine.toml", &SEA_BEET.replace(line, &format!("{field} = {value}")));
    }
}

#[test]
fn a_recovery_counted_in_years_has_no_growing_months() {
    // The model counts such a recovery in whole years, winters included.
    for crop in Catalogue::built_in().crops() {
        let in_years = crop.recovery.value.days >= 365.0;
        assert!(!(in_years && crop.growth_by_month.is_some()), "{}", crop.name);
    }
}

/// Whatever a profile gains later, `crops CROP` shows it with a source.
#[test]
fn whatever_is_shown_of_a_crop_with_a_source_has_one() {
    let mut sourced = 0;
    for crop in crops() {
        let data: serde_json::Value =
            serde_json::from_str(&crop_json(Listed { crop, own_file: None })).unwrap();
        for (field, value) in data.as_object().unwrap() {
            let Some(source) = value.get("source") else { continue };
            let source = source.as_str().unwrap_or_default();
            assert!(!source.trim().is_empty(), "{}: `{field}` has no source", crop.name);
            sourced += 1;
        }
    }
    assert!(sourced >= 62 * 10, "{sourced}");
}

#[test]
fn every_crop_says_how_it_grows_through_the_year() {
    let mut by_day_length = 0;
    for crop in crops() {
        let shown = crop_document(Listed { crop, own_file: None }).text(80);
        let line = shown.lines().find(|line| line.starts_with("  growing months")).unwrap();
        let in_years = crop.recovery.value.days >= 365.0;
        let expected = match (&crop.growth_by_month, in_years) {
            (_, true) => "counted in whole years",
            (Some(_), false) => "Jan",
            (None, false) => "not known: growth follows day length",
        };
        by_day_length += usize::from(crop.growth_by_month.is_none() && !in_years);
        assert!(line.contains(expected), "{}: {line}", crop.name);
    }
    assert!(by_day_length > 10, "{by_day_length}");
}

#[test]
fn each_crop_has_a_place_in_the_kitchen() {
    const ROLES: [&str; 11] = [
        "green leaf",
        "onion-flavoured",
        "sour",
        "peppery",
        "flower",
        "fruit",
        "nut",
        "root",
        "sea vegetable",
        "mushroom",
        "herb",
    ];
    for crop in crops() {
        assert!(ROLES.contains(&&*crop.kitchen_role), "{}: {}", crop.name, crop.kitchen_role);
    }
    for role in ROLES {
        assert!(crops().any(|crop| *crop.kitchen_role == *role), "no crop is {role}");
    }
}
