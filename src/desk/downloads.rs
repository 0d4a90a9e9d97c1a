//! All that can be taken home from the desk as a file.

use super::ask::{Ask, Field, Form, Goes, Shows};
use super::fields::{DAY, ITS_SITE, OF_WALK, PEOPLE, PURPOSE, SEASON, SITE, UNTIL};
use super::may::May;
use super::reply::HTML;

const CSV: &str = "text/csv; charset=utf-8";
const CALENDAR: &str = "text/calendar; charset=utf-8";
const GEOJSON: &str = "application/geo+json";
const GEOPACKAGE: &str = "application/geopackage+sqlite3";
const KML: &str = "application/vnd.google-earth.kml+xml";
const GPX: &str = "application/gpx+xml";
const ZIP: &str = "application/zip";

/// Squares in the place of places, for whoever is not to know where.
const BLUR: Field = Field::new(
    "blur",
    "How coarse",
    Form::Choice(&[("1km", "squares of 1 km"), ("2km", "of 2 km"), ("10km", "of 10 km")]),
    Goes::Behind("--blur"),
)
.hint("for who is not to know where");

/// One entry a file.
pub const DOWNLOADS: &[Ask] = &[
    Ask {
        path: "/week.csv",
        title: "The week as CSV",
        command: &["week", "--format=csv"],
        fields: &[SITE, PEOPLE, PURPOSE, DAY],
        shows: Shows::Download { name: "week.csv", media: CSV },
        may: May::Read,
    },
    Ask {
        path: "/week.geojson",
        title: "The week as GeoJSON",
        command: &["week", "--format=geojson"],
        fields: &[SITE, PEOPLE, PURPOSE, DAY],
        shows: Shows::Download { name: "week.geojson", media: GEOJSON },
        may: May::Read,
    },
    Ask {
        path: "/due.ics",
        title: "As a calendar for a phone",
        command: &["due", "--format=ics"],
        fields: &[SITE, UNTIL, DAY],
        shows: Shows::Download { name: "due.ics", media: CALENDAR },
        may: May::Read,
    },
    Ask {
        path: "/field/page.html",
        title: "The field page of a site, as a file",
        command: &["field"],
        fields: &[SITE],
        shows: Shows::Download { name: ".html", media: HTML },
        may: May::Read,
    },
    Ask {
        path: "/field/walk.html",
        title: "On its leader's phone, as a file",
        command: &["field"],
        fields: &[OF_WALK],
        shows: Shows::Download { name: ".html", media: HTML },
        may: May::Read,
    },
    Ask {
        path: "/report/patches.csv",
        title: "Its patches as CSV",
        command: &["report"],
        fields: &[ITS_SITE, SEASON],
        shows: Shows::Download { name: "-patches.csv", media: CSV },
        may: May::Own,
    },
    Ask {
        path: "/report/visits.csv",
        title: "Its visits as CSV",
        command: &["report"],
        fields: &[ITS_SITE, SEASON],
        shows: Shows::Download { name: "-visits.csv", media: CSV },
        may: May::Own,
    },
    Ask {
        path: "/export/map.gpkg",
        title: "A map of the day for a GIS, as GeoPackage",
        command: &["export", "download", "--format=gpkg"],
        fields: &[SITE, BLUR, DAY],
        shows: Shows::Download { name: ".gpkg", media: GEOPACKAGE },
        may: May::Read,
    },
    Ask {
        path: "/export/map.kml",
        title: "A map of the day as KML",
        command: &["export", "download", "--format=kml"],
        fields: &[SITE, BLUR, DAY],
        shows: Shows::Download { name: ".kml", media: KML },
        may: May::Read,
    },
    Ask {
        path: "/export/map.gpx",
        title: "Patches and landmarks for a hand-held, as GPX",
        command: &["export", "download", "--format=gpx"],
        fields: &[SITE, DAY],
        shows: Shows::Download { name: ".gpx", media: GPX },
        may: May::Read,
    },
    Ask {
        path: "/export/map.geojson",
        title: "A map of the day as GeoJSON",
        command: &["export", "download", "--format=geojson"],
        fields: &[SITE, BLUR, DAY],
        shows: Shows::Download { name: ".geojson", media: GEOJSON },
        may: May::Read,
    },
    Ask {
        path: "/export/records.zip",
        title: "What was found to stand, for a records centre",
        command: &["export", "download", "--format=dwca"],
        fields: &[SITE, BLUR, DAY],
        shows: Shows::Download { name: ".zip", media: ZIP },
        may: May::Lead,
    },
    Ask {
        path: "/export/for-others.zip",
        title: "The book for others, without people, telephones and notes",
        command: &["export", "download"],
        fields: &[],
        shows: Shows::Download { name: ".zip", media: ZIP },
        may: May::Keep,
    },
    Ask {
        path: "/export/whole.zip",
        title: "The whole book, for your own hands",
        command: &["export", "download", "--whole"],
        fields: &[],
        shows: Shows::Download { name: ".zip", media: ZIP },
        may: May::Keep,
    },
];
