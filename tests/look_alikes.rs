//! Look-alikes that must never be missing again, each with the source that names the pair or,
//! where none does, its danger; and that what kills is told first wherever a crop invites.

use std::collections::BTreeMap;

use stintbook::catalogue::{Catalogue, law};
use stintbook::records::{Crop, LookAlike, LookAlikeGrade};
use stintbook::report::{Listed, cautions, crop_document, crops_document, stress};

use LookAlikeGrade::{Fatal, Poisonous};

/// Hemlock, cowbane and hemlock water-dropwort are the family's poisonous members.
const DOWNS: &str = "https://emj.bmj.com/content/19/5/472.full";
/// Deaths, and the plants for which hemlock is eaten: Washington Poison Center, 2015.
const WASHINGTON: &str = "https://www.foodsafetynews.com/2015/05/10-people-treated-for-eating-poison-hemlock-in-washington/";
/// Foxglove leaves eaten as greens, BMJ Case Reports, 2010.
const MITCHELL: &str = "https://casereports.bmj.com/content/2010/bcr.01.2010.2633.short";
/// Deadly nightshade in children, UK National Poisons Information Service, 2007 to 2011.
const AMATO: &str = "http://adc.bmj.com/content/97/Suppl_1/A152.2";
/// Yew and autumn crocus, the plants that killed in fifteen years of a poison centre.
const FUCHS: &str = "https://doi.org/10.3109/15563650.2011.597034";
const TOX_INFO: &str = "https://toxinfo.ch/wild_garlics_toxic_lookalikes";
/// Swelling that needed adrenaline, Prakash Raju et al. 2018.
const PRAKASH: &str = "https://pmc.ncbi.nlm.nih.gov/articles/PMC6018264";

const DAFFODILS: &str = "https://independent.co.uk/news/uk/home-news/keep-daffodils-away-from-spring-onions-shops-told-10030183.html";
const BLUEBELL: &str = "http://thepoisongarden.co.uk/atoz/hyacinthoides_nonscripta.htm";
const SNOWDROP: &str = "http://thepoisongarden.co.uk/atoz/galanthus_nivalis.htm";

/// The crop, a botanist's name that one of its look-alikes bears, the least grade, the source.
const PAIRS: [(&str, &str, LookAlikeGrade, &str); 73] = [
    ("alexanders-shoot", "Conium", Fatal, DOWNS),
    ("alexanders-shoot", "Oenanthe", Fatal, DOWNS),
    ("alexanders-shoot", "Cicuta", Fatal, DOWNS),
    ("ground-elder-leaf", "Conium", Fatal, DOWNS),
    ("ground-elder-leaf", "Oenanthe", Fatal, DOWNS),
    ("ground-elder-leaf", "Cicuta", Fatal, DOWNS),
    ("hogweed-shoot", "Conium", Fatal, DOWNS),
    ("hogweed-shoot", "Oenanthe", Fatal, DOWNS),
    ("hogweed-shoot", "Cicuta", Fatal, DOWNS),
    ("sweet-cicely-leaf", "Conium", Fatal, WASHINGTON),
    ("sweet-cicely-leaf", "Oenanthe", Fatal, DOWNS),
    ("sweet-cicely-leaf", "Cicuta", Fatal, DOWNS),
    ("pignut-bulb", "Conium", Fatal, DOWNS),
    ("pignut-bulb", "Oenanthe", Fatal, "http://www.thepoisongarden.co.uk/blog/blog141011.htm"),
    ("pignut-bulb", "Cicuta", Fatal, DOWNS),
    ("watercress-tops", "Conium", Fatal, WASHINGTON),
    ("watercress-tops", "Oenanthe", Fatal, DOWNS),
    ("watercress-tops", "Cicuta", Fatal, DOWNS),
    ("water-mint-tops", "Conium", Fatal, DOWNS),
    ("water-mint-tops", "Oenanthe", Fatal, DOWNS),
    ("water-mint-tops", "Cicuta", Fatal, DOWNS),
    ("elder-flower", "Conium", Fatal, DOWNS),
    ("elder-flower", "Oenanthe", Fatal, DOWNS),
    ("elder-flower", "Cicuta", Fatal, DOWNS),
    ("dandelion-root", "Conium", Fatal, DOWNS),
    ("dandelion-root", "Oenanthe", Fatal, DOWNS),
    ("dandelion-root", "Cicuta", Fatal, DOWNS),
    ("bittercress-leaf", "Conium", Fatal, DOWNS),
    ("bittercress-leaf", "Oenanthe", Fatal, DOWNS),
    ("yarrow-leaf", "Conium", Fatal, WASHINGTON),
    ("ramsons-leaf", "Colchicum", Fatal, TOX_INFO),
    ("ramsons-leaf", "Convallaria", Fatal, TOX_INFO),
    ("ramsons-leaf", "Veratrum album", Fatal, "https://pubmed.ncbi.nlm.nih.gov/21171854/"),
    ("ramsons-leaf", "Digitalis", Fatal, "https://gallowaywildfoods.com/poisonous-plants-foxglove"),
    ("ramsons-leaf", "Arum", Poisonous, TOX_INFO),
    ("ramsons-leaf", "Narcissus", Poisonous, DAFFODILS),
    ("ramsons-leaf", "Hyacinthoides", Poisonous, BLUEBELL),
    ("ramsons-leaf", "Galanthus", Poisonous, SNOWDROP),
    ("three-cornered-garlic-leaf", "Colchicum", Fatal, TOX_INFO),
    ("three-cornered-garlic-leaf", "Arum", Poisonous, TOX_INFO),
    ("three-cornered-garlic-leaf", "Narcissus", Poisonous, DAFFODILS),
    (
        "sorrel-leaf",
        "Digitalis",
        Fatal,
        "https://www.ntvg.nl/artikelen/een-giftige-lente-smoothie-van-wilde-kruiden/abstract",
    ),
    ("sorrel-leaf", "Arum", Poisonous, PRAKASH),
    ("dock-leaf", "Digitalis", Fatal, MITCHELL),
    ("dock-leaf", "Arum", Poisonous, PRAKASH),
    ("dandelion-leaf", "Digitalis", Fatal, MITCHELL),
    ("plantain-leaf", "Digitalis", Fatal, MITCHELL),
    ("garlic-mustard-leaf", "Digitalis", Fatal, MITCHELL),
    ("sea-beet-leaf", "Digitalis", Fatal, MITCHELL),
    ("sea-beet-leaf", "Arum", Poisonous, PRAKASH),
    ("sea-kale-leaf", "Digitalis", Fatal, MITCHELL),
    ("sea-kale-leaf", "Glaucium", Fatal, "https://en.wikipedia.org/wiki/Glaucium_flavum"),
    ("nettle-tops", "Atropa", Fatal, "https://kidneyschool.org/m15/37/"),
    ("blackberry", "Atropa", Fatal, AMATO),
    ("sloe", "Atropa", Fatal, AMATO),
    ("elderberry", "Atropa", Fatal, "http://www.thepoisongarden.co.uk/blog2/blog281115.htm"),
    ("bilberry", "Atropa", Fatal, "https://pubmed.ncbi.nlm.nih.gov/19123171/"),
    ("bilberry", "Paris", Fatal, "https://garden.rcplondon.ac.uk/Plant/DetailsPrevious/1461"),
    (
        "juniper-berry",
        "Juniperus sabina",
        Fatal,
        "https://garden.rcplondon.ac.uk/Plant/Details/704",
    ),
    ("juniper-berry", "Taxus", Fatal, FUCHS),
    ("rose-hip", "Taxus", Fatal, FUCHS),
    ("haw", "Taxus", Fatal, FUCHS),
    ("rowan-berry", "Taxus", Fatal, FUCHS),
    (
        "rowan-berry",
        "Dioscorea",
        Fatal,
        "https://jpwaldron.wordpress.com/2011/12/13/black-bryony-poisonous/",
    ),
    ("hawthorn-leaf", "Taxus", Fatal, FUCHS),
    ("pine-needle", "Taxus", Fatal, FUCHS),
    ("field-mushroom", "Amanita", Fatal, "http://meddict.org/term/mushroom-poisoning"),
    (
        "field-mushroom",
        "Clitocybe rivulosa",
        Fatal,
        "https://app.ckbk.com/reference/mush42374c01s006e012/fools-funnel",
    ),
    (
        "field-mushroom",
        "Entoloma sinuatum",
        Poisonous,
        "https://www.first-nature.com/fungi/entoloma-sinuatum.php",
    ),
    (
        "chanterelle",
        "Cortinarius rubellus",
        Fatal,
        "https://app.ckbk.com/reference/mush42374c01s022e004/deadly-webcap",
    ),
    ("chanterelle", "Cortinarius orellanus", Fatal, "https://www.mykoweb.com/TFWNA/P-32.html"),
    (
        "velvet-shank",
        "Galerina",
        Fatal,
        "https://accessmedicine.mhmedical.com/content.aspx?bookid=2284&sectionid=248384940",
    ),
    (
        "velvet-shank",
        "Hypholoma",
        Poisonous,
        "http://academic.evergreen.edu/projects/mushrooms/phm/s44.htm",
    ),
];

/// Whatever else is in its group, what bears one of these names kills. The sources are those
/// of the pairs above.
const DEADLY: [&str; 19] = [
    "Conium",
    "Cicuta",
    "Oenanthe",
    "Colchicum",
    "Convallaria",
    "Veratrum",
    "Digitalis",
    "Atropa",
    "Taxus",
    "Juniperus sabina",
    "Glaucium",
    "Mentha pulegium",
    "Amanita",
    "Clitocybe rivulosa",
    "Inosperma erubescens",
    "Cortinarius",
    "Galerina",
    "Paris quadrifolia",
    "Daphne mezereum",
];

/// Values of the six fields below whose source is, wholly or in part, unconfirmed.
const MOST_UNCONFIRMED: usize = 147;

fn crops() -> impl Iterator<Item = &'static Crop> {
    Catalogue::built_in().crops().map(AsRef::as_ref)
}

fn crop(name: &str) -> &'static Crop {
    Catalogue::built_in().crop(name).unwrap_or_else(|| panic!("no crop is called {name}"))
}

fn look_alikes() -> impl Iterator<Item = (&'static Crop, &'static LookAlike)> {
    crops().flat_map(|crop| crop.look_alikes.iter().map(move |look_alike| (crop, look_alike)))
}

#[test]
fn no_pair_that_killed_or_may_kill_is_missing_and_each_has_its_source() {
    for (name, botanical, least, source) in PAIRS {
        let crop = crop(name);
        let found = crop.look_alikes.iter().find(|it| it.name.contains(botanical));
        let grade = found.map(|it| it.grade);
        assert!(grade >= Some(least), "{name}: {botanical} is {grade:?}");
        assert!(crop.look_alikes_source.contains(source), "{name}, {botanical}: no {source}");
    }
}

#[test]
fn every_crop_of_the_carrot_family_and_of_fresh_water_names_all_three_that_kill() {
    // All crops of the catalogue that are of the family, or grow in fresh water.
    for name in [
        "alexanders-shoot",
        "ground-elder-leaf",
        "hogweed-shoot",
        "sweet-cicely-leaf",
        "pignut-bulb",
        "watercress-tops",
        "water-mint-tops",
    ] {
        for deadly in ["Conium", "Cicuta", "Oenanthe"] {
            let named = |it: &LookAlike| it.name.contains(deadly) && it.grade == Fatal;
            assert!(crop(name).look_alikes.iter().any(named), "{name}: no {deadly}");
        }
    }
}

#[test]
fn a_group_with_a_fatal_member_is_fatal() {
    for deadly in DEADLY {
        let named: Vec<_> = look_alikes().filter(|(_, it)| it.name.contains(deadly)).collect();
        assert!(!named.is_empty(), "nothing bears the name {deadly}");
        for (crop, look_alike) in named {
            assert_eq!(look_alike.grade, Fatal, "{}: {}", crop.name, look_alike.name);
        }
    }
}

#[test]
fn one_plant_has_one_grade_wherever_it_stands() {
    let mut grades: BTreeMap<&str, (&str, LookAlikeGrade)> = BTreeMap::new();
    for (crop, look_alike) in look_alikes() {
        let Some((_, names)) = look_alike.name.rsplit_once(" (") else { continue };
        for name in names.trim_end_matches(')').split(", ") {
            let first = *grades.entry(name).or_insert((&crop.name, look_alike.grade));
            assert_eq!(first.1, look_alike.grade, "{name}: {} and {}", first.0, crop.name);
        }
    }
    assert!(grades.len() > 60, "{}", grades.len());
}

#[test]
fn what_kills_is_told_first_and_under_its_own_crop() {
    let mut fatal = 0;
    for crop in Catalogue::built_in().crops() {
        let names: Vec<&str> = crop
            .look_alikes
            .iter()
            .filter(|it| it.grade == Fatal)
            .map(|it| it.name.split(" (").next().unwrap_or_default())
            .collect();
        if names.is_empty() {
            continue;
        }
        fatal += names.len();
        for told in [&cautions::full(crop, None)[0], &cautions::sentences([crop])[0]] {
            assert!(told.starts_with(&format!("Fatal look-alikes of {}: ", crop.common_name)));
            assert!(names.iter().all(|name| told.contains(name)), "{told}");
        }
    }
    assert!(fatal >= 73, "{fatal}");
    let nettle = Catalogue::built_in().crop("nettle-tops").unwrap();
    let cress = Catalogue::built_in().crop("watercress-tops").unwrap();
    assert_eq!(
        stress::plain(&cautions::short([cress, nettle, cress], 80))
            .lines()
            .skip(1)
            .take(4)
            .collect::<Vec<_>>(),
        [
            "FATAL LOOK-ALIKES, crop by crop",
            "  nettle-tops: deadly nightshade growing among it",
            "  watercress-tops: hemlock water-dropwort, cowbane, hemlock",
            "",
        ]
    );
}

#[test]
fn who_reads_the_catalogue_reads_what_the_grades_mean() {
    let crops = crops().map(|crop| Listed { crop, own_file: None });
    let table = crops_document(crops).text(80);
    let profile = crop_document(Listed { crop: crop("sorrel-leaf"), own_file: None }).text(80);
    let readme = include_str!("../README.md").to_owned();
    for shown in [table, profile, readme] {
        let shown = shown.split_whitespace().collect::<Vec<_>>().join(" ");
        for grade in LookAlikeGrade::ALL {
            let meaning = format!("{}: {}", grade.name(), grade.meaning());
            assert!(shown.contains(&meaning), "{meaning}");
        }
        assert!(shown.contains(LookAlikeGrade::RULE));
    }
}

/// The law is told by country wherever something may be sold, each with its source, and none of
/// it before local law.
#[test]
fn what_is_sold_or_paid_for_is_told_by_country_and_defers_to_local_law() {
    let told = cautions::for_reward();
    assert!(told[0].contains("local law comes before"), "{}", told[0]);
    for place in
        ["England and Wales", "Scotland", "Northern Ireland", "Ireland", "Foreshore of the Crown"]
    {
        assert!(told.iter().any(|text| text.starts_with(&format!("{place}: "))), "{place}");
    }
    for law in law::FOR_REWARD.iter().chain(&law::FOR_ALL) {
        assert!(law.source.contains("http"), "{}: {}", law.place, law.source);
    }
}

#[test]
fn no_source_is_a_memory_and_the_reader_is_told_what_unconfirmed_means() {
    let mut unconfirmed = 0;
    for crop in crops() {
        let sources = [
            &crop.window.source,
            &crop.recovery.source,
            &crop.cut_method.source,
            &crop.look_alikes_source,
            &crop.cautions.source,
            &crop.legal_note.source,
        ];
        for source in sources {
            assert!(!source.contains("memory"), "{}: {source}", crop.name);
            unconfirmed += usize::from(source.contains("unconfirmed"));
        }
        let shown = crop_document(Listed { crop, own_file: None }).text(80);
        assert!(shown.contains("Unconfirmed: we know of no source"), "{}", crop.name);
    }
    // As few as we could make them by November 2026; none may be added unseen.
    assert!(unconfirmed <= MOST_UNCONFIRMED, "{unconfirmed}");
}

/// Seaweeds: ANSES 2018. Water plants: Mas-Coma et al. 2018. Celery: University of Manchester.
/// Nettles: Kidney School. Garlic mustard: Cipollini and Gruner 2007. Amatoxins: CDC, 2017.
#[test]
fn who_must_ask_first_and_what_must_be_cooked_is_told() {
    let must_say: [(&[&str], &[&str]); 6] = [
        (
            &[
                "dulse-frond",
                "laver-frond",
                "bladder-wrack-frond",
                "egg-wrack-frond",
                "carrageen-frond",
                "sea-lettuce-frond",
            ],
            &["thyroid", "heart", "kidney", "lithium", "pregnant", "nursing", "doctor"],
        ),
        (
            &["water-mint-tops", "watercress-tops"],
            &["cooked right through|cook it right through", "scalding"],
        ),
        (
            &["alexanders-shoot", "ground-elder-leaf", "hogweed-shoot", "sweet-cicely-leaf"],
            &["celery", "carrot"],
        ),
        (&["nettle-tops"], &["kidney disease", "blood-pressure"]),
        (&["garlic-mustard-leaf"], &["cyanide", "100 parts in a million"]),
        (&["field-mushroom", "velvet-shank"], &["6 to 24 hours", "hospital"]),
    ];
    for (crops, words) in must_say {
        for name in crops {
            let cautions = &crop(name).cautions.value;
            for word in words {
                let said = word.split('|').any(|word| cautions.contains(word));
                assert!(said, "{name}: nothing on `{word}` in {cautions}");
            }
        }
    }
}

/// Northern Ireland: Schedule 8 of its Wildlife Order, as added to in 2011. Ireland: the
/// National Parks and Wildlife Service on the Flora (Protection) Order 2022.
#[test]
fn what_may_not_be_picked_in_the_north_or_in_ireland_is_told() {
    for name in ["juniper-berry", "sea-kale-leaf"] {
        let note = &crop(name).legal_note;
        assert!(note.value.starts_with("Protected in Northern Ireland"), "{name}: {}", note.value);
        assert!(note.source.contains("legislation.gov.uk/nia/2011/15"), "{name}");
    }
    for (place, order) in [
        ("Northern Ireland, protected plants", "Schedule 8 of the Wildlife Order"),
        ("Ireland, protected plants", "Flora (Protection) Order 2022"),
    ] {
        assert!(law::FOR_ALL.iter().any(|law| law.place == place && law.says.contains(order)));
    }
}

/// Copies of papers, newspapers and lists that stand on other people's pages: the original is
/// cited, or nothing.
#[test]
fn no_source_is_a_copy_whose_original_was_found() {
    for crop in crops() {
        let data = crop_document(Listed { crop, own_file: None }).text(400);
        for copy in ["docslib.org", "123dok", "particle.news", "researcher.life", "yahoo.com"] {
            assert!(!data.contains(copy), "{}: {copy}", crop.name);
        }
    }
}
