//! The map of a site, drawn of the demo's ground and of ground that is hard to draw.

#![allow(clippy::unwrap_used, reason = "a failed unwrap fails the test")]

use geo::{Geometry, LineString, MultiLineString, MultiPolygon, Point, Polygon, polygon};
use stintbook::records::{
    Footprint, Landmark, LandmarkKind, Patch, PatchName, Site, SiteName, Zone,
};
use stintbook::report::{MapOf, MapPatch, Shade, Shading, site_map};
use stintbook::units::Metres;

fn square(lon: f64, lat: f64, degrees: f64) -> Polygon {
    polygon![
        (x: lon, y: lat),
        (x: lon + degrees, y: lat),
        (x: lon + degrees, y: lat + degrees),
        (x: lon, y: lat + degrees),
    ]
}

fn site(boundary: impl Into<MultiPolygon>) -> Site {
    Site {
        name: SiteName::new("Sandwick").unwrap(),
        boundary: boundary.into(),
        occupier: None,
        protected: None,
        cautions: None,
    }
}

fn patch(name: &str, footprint: Footprint) -> Patch {
    let name = PatchName::new(&SiteName::new("Sandwick").unwrap(), name).unwrap();
    Patch { name, crop: "nettle-tops".into(), footprint, underfoot: None, note: None }
}

fn one_of_each(lon: f64, lat: f64, degrees: f64) -> Vec<Patch> {
    let at = |x: f64, y: f64| Point::new(lon + x * degrees, lat + y * degrees);
    let line = LineString::from(vec![at(0.1, 0.1), at(0.5, 0.2), at(0.9, 0.1)]);
    vec![
        patch("a field", Footprint::Area(square(lon, lat, degrees * 0.4).into())),
        patch(
            "a hedge",
            Footprint::Strip { line: MultiLineString::from(line), width: Metres(2.0) },
        ),
        patch("a ring", Footprint::Disc { centre: at(0.7, 0.7), radius: Metres(5.0) }),
        patch("a tree", Footprint::Plants { centre: at(0.2, 0.8), count: 3 }),
    ]
}

fn drawn(site: &Site, zones: &[&Zone], patches: &[Patch], start: Option<Point>) -> String {
    drawn_with(site, zones, patches, &[], start)
}

fn drawn_with(
    site: &Site,
    zones: &[&Zone],
    patches: &[Patch],
    landmarks: &[&Landmark],
    start: Option<Point>,
) -> String {
    let shades = [Shade::Plain, Shade::Unknown, Shade::Step(1), Shade::Step(9)];
    let patches: Vec<MapPatch> = patches
        .iter()
        .zip(shades.into_iter().cycle())
        .enumerate()
        .map(|(n, (patch, shade))| MapPatch {
            number: n + 1,
            patch,
            shade,
            said: "48 % & more".into(),
        })
        .collect();
    let shading = Shading {
        title: "Hardest cut".to_owned(),
        steps: ["not cut", "up to half", "up to all", "over the limit"],
        unknown: Some("not known"),
    };
    site_map(&MapOf {
        site,
        zones,
        patches: &patches,
        landmarks,
        shading: Some(&shading),
        start,
        walked: true,
        keyed: false,
        narrow: false,
        id: "map",
    })
}

/// Well formed, without a number that is none, and with words for those who do not see it.
fn checked(svg: &str) -> roxmltree::Document<'_> {
    assert!(!svg.contains("NaN") && !svg.contains("inf"), "{svg}");
    let document = roxmltree::Document::parse(svg).unwrap();
    let root = document.root_element();
    assert_eq!(root.attribute("role"), Some("img"));
    for id in root.attribute("aria-labelledby").unwrap().split(' ') {
        let named = document.descendants().find(|node| node.attribute("id") == Some(id)).unwrap();
        assert!(!named.text().unwrap().is_empty());
    }
    document
}

#[test]
fn every_kind_of_patch_is_drawn_and_numbered() {
    let site = site(square(-3.0, 54.0, 0.01));
    let zone = Zone {
        site: site.name.clone(),
        name: "nest".into(),
        shape: Point::new(-2.995, 54.005).into(),
        buffer: Metres(40.0),
        reason: None,
    };
    let svg = drawn(&site, &[&zone], &one_of_each(-3.0, 54.0, 0.01), Some(Point::new(-3.0, 54.0)));
    let document = checked(&svg);
    let texts: Vec<&str> = document.descendants().filter_map(|node| node.text()).collect();
    for shown in ["1", "2", "3", "4", "N", "start", "no-take ground", "200 m", "54.004° N"] {
        assert!(texts.contains(&shown), "`{shown}` is not on the map: {texts:?}");
    }
    assert!(svg.contains("4, a tree: 48 % &amp; more."), "{svg}");
    assert!(svg.contains("Map of Sandwick"));
}

#[test]
fn numbers_do_not_cover_one_another() {
    let at = |n: i32| Point::new(-3.0 + f64::from(n) * 1e-6, 54.0);
    let patches: Vec<Patch> = (0..40)
        .map(|n| patch(&format!("tree {n}"), Footprint::Plants { centre: at(n), count: 1 }))
        .collect();
    let svg = drawn(&site(square(-3.001, 53.999, 0.002)), &[], &patches, None);
    let document = checked(&svg);
    let boxes: Vec<[f64; 4]> = document
        .descendants()
        .filter(|node| node.attribute("class") == Some("map-label"))
        .map(|node| {
            ["x", "y", "width", "height"].map(|name| node.attribute(name).unwrap().parse().unwrap())
        })
        .collect();
    assert_eq!(boxes.len(), 40);
    for (n, [x, y, width, height]) in boxes.iter().enumerate() {
        for [left, top, wide, high] in &boxes[..n] {
            let apart = left + wide <= x + 0.2
                || x + width <= left + 0.2
                || top + high <= y + 0.2
                || y + height <= top + 0.2;
            assert!(apart, "two numbers meet at {x}, {y}");
        }
    }
}

/// A number stands on its patch where that is far larger, and else beside it: never over the
/// patch that it names, nor over another.
#[test]
fn no_number_hides_a_patch() {
    let small = |n: i32| {
        let (lon, lat) = (-3.0 + 0.0018 * f64::from(n % 5), 54.0 + 0.0016 * f64::from(n / 5));
        Footprint::Area(square(lon, lat, 0.0007).into())
    };
    let mut patches: Vec<Patch> = (0..15).map(|n| patch(&format!("plot {n}"), small(n))).collect();
    patches.push(patch("great plot", Footprint::Area(square(-3.0, 54.006, 0.004).into())));
    let svg = drawn(&site(square(-3.001, 53.999, 0.012)), &[], &patches, None);
    let document = checked(&svg);
    let of_class = |class: &'static str| {
        document.descendants().filter(move |node| {
            node.attribute("class").is_some_and(|found| found.starts_with(class))
        })
    };
    let number = |node: &roxmltree::Node, name: &str| -> f64 {
        node.attribute(name).unwrap().parse().unwrap()
    };
    let labels: Vec<[f64; 4]> = of_class("map-label")
        .map(|node| ["x", "y", "width", "height"].map(|name| number(&node, name)))
        .collect();
    let drawn: Vec<[f64; 4]> = of_class("map-patch")
        .filter_map(|node| {
            let corners: Vec<f64> = node
                .attribute("d")?
                .split(|letter: char| !(letter.is_ascii_digit() || letter == '.'))
                .filter_map(|length| length.parse().ok())
                .collect();
            let (xs, ys): (Vec<f64>, Vec<f64>) =
                corners.chunks(2).map(|corner| (corner[0], corner[1])).unzip();
            let least = |all: &[f64]| all.iter().copied().fold(f64::INFINITY, f64::min);
            let most = |all: &[f64]| all.iter().copied().fold(0.0, f64::max);
            Some([least(&xs), least(&ys), most(&xs) - least(&xs), most(&ys) - least(&ys)])
        })
        .collect();
    assert_eq!((labels.len(), drawn.len()), (16, 16));
    let meet = |[x, y, width, height]: [f64; 4], [left, top, wide, high]: [f64; 4]| {
        x < left + wide && left < x + width && y < top + high && top < y + height
    };
    for (n, label) in labels.iter().enumerate() {
        for (other, patch) in drawn.iter().enumerate() {
            let on_the_great_one = (n, other) == (15, 15);
            assert_eq!(meet(*label, *patch), on_the_great_one, "label {n} and patch {other}");
        }
    }
}

#[test]
fn no_take_ground_bears_a_letter_and_its_name() {
    let site = site(square(-3.0, 54.0, 0.01));
    let zone = |name: &str, lon: f64| Zone {
        site: site.name.clone(),
        name: name.into(),
        shape: Point::new(lon, 54.005).into(),
        buffer: Metres(40.0),
        reason: None,
    };
    let (sett, bog) = (zone("Badger sett", -2.997), zone("Bog", -2.993));
    let svg = drawn(&site, &[&sett, &bog], &one_of_each(-3.0, 54.0, 0.01), None);
    let document = checked(&svg);
    let texts = document.descendants().filter(|node| node.has_tag_name("text"));
    let texts: Vec<&str> = texts.filter_map(|node| node.text()).collect();
    for (letter, name) in [("A", "Badger sett"), ("B", "Bog")] {
        assert_eq!(
            texts.iter().filter(|text| **text == letter).count(),
            2,
            "map and key: {texts:?}"
        );
        assert!(texts.contains(&name), "{texts:?}");
    }
}

#[test]
fn landmarks_bear_a_letter_hide_no_patch_and_nobodys_label_hides_them() {
    let site = site(square(-3.0, 54.0, 0.01));
    let landmark = |what: LandmarkKind, shape: Geometry| Landmark {
        site: site.name.clone(),
        name: format!("the {}", what.told()).into(),
        what,
        shape,
        note: None,
    };
    let way = LineString::from(vec![(-2.999, 54.009), (-2.995, 54.006), (-2.991, 54.009)]);
    let mut all = vec![landmark(LandmarkKind::Path, way.into())];
    for (n, what) in LandmarkKind::ALL.into_iter().enumerate() {
        // A crowd along the lower edge of the field, one of them far off the site.
        let lon = if n == 6 { -2.5 } else { -2.9985 + 0.0004 * n as f64 };
        all.push(landmark(what, Point::new(lon, 54.0045).into()));
    }
    let all: Vec<&Landmark> = all.iter().collect();
    let patches = one_of_each(-3.0, 54.0, 0.01);
    let svg = drawn_with(&site, &[], &patches, &all, None);
    let document = checked(&svg);
    let texts = document.descendants().filter(|node| node.has_tag_name("text"));
    let texts: Vec<&str> = texts.filter_map(|node| node.text()).collect();
    for letter in ["a", "b", "c", "d", "e", "f", "g"] {
        assert_eq!(texts.iter().filter(|text| **text == letter).count(), 2, "{letter}: {texts:?}");
    }
    // What is far off is in the key, and not on the map.
    assert_eq!(texts.iter().filter(|text| **text == "h").count(), 1, "{texts:?}");
    let sizes = document.descendants().filter_map(|node| node.attribute("font-size")?.parse().ok());
    assert!(sizes.clone().count() > 10 && sizes.fold(f64::MAX, f64::min) >= 11.0);
    let numbers = |node: roxmltree::Node, names: [&str; 4]| {
        names.map(|name| node.attribute(name).unwrap().parse::<f64>().unwrap())
    };
    let labels = document.descendants().filter(|node| node.attribute("class") == Some("map-label"));
    let labels: Vec<[f64; 4]> =
        labels.map(|node| numbers(node, ["x", "y", "width", "height"])).collect();
    let dots = document.descendants().filter(|node| {
        node.attribute("class") == Some("map-landmark") && node.has_tag_name("circle")
    });
    let mut seen = 0;
    for dot in dots {
        let [x, y, radius, _] = numbers(dot, ["cx", "cy", "r", "r"]);
        seen += 1;
        for (n, [left, top, width, height]) in labels.iter().enumerate() {
            let hides = x + radius > *left
                && x - radius < left + width
                && y + radius > *top
                && y - radius < top + height;
            assert!(!hides, "label {n} hides the landmark at {x}, {y}");
        }
    }
    assert!(seen >= 6, "{seen}");
}

#[test]
fn every_part_of_a_patch_is_led_to_its_number() {
    let parts =
        MultiPolygon::new(vec![square(-2.999, 54.001, 0.001), square(-2.993, 54.006, 0.001)]);
    let patches = [patch("two parts", Footprint::Area(parts))];
    let svg = drawn(&site(square(-3.0, 54.0, 0.01)), &[], &patches, None);
    assert_eq!(svg.matches("class=\"map-leader\"").count(), 2);
}

#[test]
fn ground_that_is_hard_to_draw_is_drawn_all_the_same() {
    let empty = MultiPolygon::empty();
    let thin = polygon![(x: 0.0, y: 0.0), (x: 0.01, y: 0.0), (x: 0.01, y: 1e-9)];
    let not_a_place = polygon![(x: f64::NAN, y: 0.0), (x: 1.0, y: 0.0), (x: 1.0, y: 1.0)];
    let cases = [
        ("no patches", site(square(-3.0, 54.0, 0.01)), vec![]),
        ("tiny", site(square(-3.0, 54.0, 1e-6)), one_of_each(-3.0, 54.0, 1e-6)),
        ("huge", site(square(-3.0, 54.0, 3.0)), one_of_each(-3.0, 54.0, 3.0)),
        ("thin", site(thin), vec![]),
        ("no boundary", site(empty.clone()), one_of_each(-3.0, 54.0, 0.01)),
        ("nothing at all", site(empty), vec![]),
        ("not a place", site(not_a_place), vec![]),
        ("at the pole", site(square(10.0, 89.99, 0.01)), one_of_each(10.0, 89.99, 0.01)),
        ("antimeridian", site(square(179.995, -41.0, 0.01)), one_of_each(179.995, -41.0, 0.01)),
        (
            "no such patch",
            site(square(-3.0, 54.0, 0.01)),
            vec![
                patch("nowhere", Footprint::Area(MultiPolygon::empty())),
                patch("far", Footprint::Plants { centre: Point::new(f64::NAN, 0.0), count: 0 }),
            ],
        ),
    ];
    for (what, site, patches) in cases {
        let svg = drawn(&site, &[], &patches, Some(Point::new(100.0, 10.0)));
        assert!(checked(&svg).root_element().attribute("viewBox").is_some(), "{what}");
    }
}

#[test]
fn the_same_site_gives_the_same_bytes() {
    let (site, patches) = (site(square(-3.0, 54.0, 0.01)), one_of_each(-3.0, 54.0, 0.01));
    assert_eq!(drawn(&site, &[], &patches, None), drawn(&site, &[], &patches, None));
}
