//! All that can be asked at the desk: one entry is a page, its form, its command and who may.

use super::ask::{Ask, Field, Form, Goes, Shows};
use super::deeds::DEEDS;
use super::may::May;

const DAY: Field = Field::new("on", "As on", Form::Date, Goes::Behind("--on"));
const SITE: Field = Field::new("site", "Site", Form::Site, Goes::Behind("--site"));
const PEOPLE: Field = Field::new("people", "People", Form::Number, Goes::Behind("--people"));
const PURPOSE: Field = Field::new(
    "for",
    "What for",
    Form::Choice(&[("walk", "a walk"), ("sale", "boxes that are sold"), ("own use", "own use")]),
    Goes::Behind("--for"),
);
const PATCH: Field = Field::new("patch", "Patch", Form::Patch, Goes::Itself).needed();
const WALK: Field = Field::new("walk", "Walk", Form::Walk, Goes::Itself).needed();
const OF_WALK: Field = Field::new("walk", "Walk", Form::Walk, Goes::Behind("--walk")).needed();
const ITS_SITE: Field = Field::new("site", "Site", Form::Site, Goes::Itself).needed();
const SEASON: Field = Field::new("season", "Season", Form::Words, Goes::Behind("--season"))
    .hint("like 2026/27, from September to August");
const WANT: Field = Field::new("want", "What to bring home", Form::Words, Goes::Behind("--want"))
    .hint("crops or kitchen roles, like green leaf=2kg,sour=300g");

const QUESTIONS: &[Ask] = &[
    Ask {
        path: "/week",
        title: "This week",
        command: &["week", "--map", "--format=html"],
        fields: &[
            SITE,
            PEOPLE,
            PURPOSE,
            DAY,
            Field::new("all", "Why each shut patch is shut", Form::Tick, Goes::Flag("--all")),
            Field::new("why", "Reasons in full", Form::Tick, Goes::Flag("--why")),
        ],
        shows: Shows::Page,
        may: May::Read,
    },
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
        path: "/due",
        title: "Due",
        command: &["due", "--format=html"],
        fields: &[SITE, Field::new("until", "Until", Form::Date, Goes::Behind("--until")), DAY],
        shows: Shows::Page,
        may: May::Read,
    },
    Ask {
        path: "/due.ics",
        title: "As a calendar for a phone",
        command: &["due", "--format=ics"],
        fields: &[SITE, Field::new("until", "Until", Form::Date, Goes::Behind("--until")), DAY],
        shows: Shows::Download { name: "due.ics", media: "text/calendar; charset=utf-8" },
        may: May::Read,
    },
    Ask {
        path: "/calendar",
        title: "Calendar",
        command: &["calendar", "--format=html"],
        fields: &[
            SITE,
            Field::new("month", "What a month can cook with", Form::Month, Goes::Behind("--month")),
            DAY,
        ],
        shows: Shows::Page,
        may: May::Read,
    },
    Ask {
        path: "/planned",
        title: "What is planned here",
        command: &["calendar", "--format=html"],
        fields: &[
            Field::new("site", "Site", Form::Site, Goes::Behind("--site")).needed(),
            Field::new(
                "ahead",
                "How far ahead",
                Form::Choice(&[
                    ("1 month", "a month"),
                    ("3 months", "three months"),
                    ("12 months", "a year"),
                ]),
                Goes::Behind("--ahead"),
            )
            .needed(),
            DAY,
        ],
        shows: Shows::Page,
        may: May::Own,
    },
    Ask {
        path: "/patch",
        title: "How a patch stands",
        command: &["check", "--full", "--format=html"],
        fields: &[PATCH, PEOPLE, PURPOSE, DAY],
        shows: Shows::Page,
        may: May::Read,
    },
    Ask {
        path: "/records",
        title: "Records",
        command: &["history", "--format=html"],
        fields: &[Field::new("patch", "Patch", Form::Patch, Goes::Itself), SITE],
        shows: Shows::Page,
        may: May::Read,
    },
    Ask {
        path: "/walks",
        title: "Walks",
        command: &["walk", "list", "--format=html"],
        fields: &[SITE, DAY],
        shows: Shows::Page,
        may: May::Read,
    },
    Ask {
        path: "/walk",
        title: "Who cuts what, and where",
        command: &["walk", "split", "--format=html"],
        fields: &[WALK],
        shows: Shows::Page,
        may: May::Read,
    },
    Ask {
        path: "/walk/plan",
        title: "Where it goes",
        command: &["walk", "plan", "--format=html"],
        fields: &[OF_WALK],
        shows: Shows::Page,
        may: May::Lead,
    },
    Ask {
        path: "/walk/sheet",
        title: "The sheet to print or carry",
        command: &["walk", "sheet"],
        fields: &[WALK],
        shows: Shows::Sheet,
        may: May::Read,
    },
    Ask {
        path: "/walks/try",
        title: "Try out a walk",
        command: &["walk", "plan", "--format=html"],
        fields: &[
            SITE,
            WANT,
            PEOPLE,
            PURPOSE,
            Field::new("on", "On", Form::Date, Goes::Behind("--on")).needed(),
        ],
        shows: Shows::Page,
        may: May::Lead,
    },
    Ask {
        path: "/field/page",
        title: "The field page of a site",
        command: &["field", "--app"],
        fields: &[SITE],
        shows: Shows::App,
        may: May::Read,
    },
    Ask {
        path: "/field/page.html",
        title: "The field page of a site, as a file",
        command: &["field"],
        fields: &[SITE],
        shows: Shows::Download { name: ".html", media: super::reply::HTML },
        may: May::Read,
    },
    Ask {
        path: "/field/walk",
        title: "On its leader's phone",
        command: &["field", "--app"],
        fields: &[OF_WALK],
        shows: Shows::App,
        may: May::Read,
    },
    Ask {
        path: "/field/walk.html",
        title: "On its leader's phone, as a file",
        command: &["field"],
        fields: &[OF_WALK],
        shows: Shows::Download { name: ".html", media: super::reply::HTML },
        may: May::Read,
    },
    Ask {
        path: "/boxes",
        title: "Boxes",
        command: &["box", "--format=html"],
        fields: BOXES,
        shows: Shows::Page,
        may: May::Lead,
    },
    Ask {
        path: "/report",
        title: "Season report",
        command: &["report"],
        fields: &[ITS_SITE, SEASON],
        shows: Shows::Page,
        may: May::Own,
    },
    Ask {
        path: "/report/print",
        title: "The report to print or send",
        command: &["report"],
        fields: &[ITS_SITE, SEASON],
        shows: Shows::Sheet,
        may: May::Own,
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
        path: "/years",
        title: "Season beside season",
        command: &["pressure", "--format=html"],
        fields: &[
            SITE,
            Field::new("beside", "Beside", Form::Words, Goes::Behind("--beside"))
                .hint("an earlier season, like 2025/26")
                .needed(),
            SEASON,
        ],
        shows: Shows::Page,
        may: May::Read,
    },
    Ask {
        path: "/surveys",
        title: "Where a survey gains most",
        command: &["survey", "advise", "--format=html"],
        fields: &[SITE, DAY],
        shows: Shows::Page,
        may: May::Read,
    },
    Ask {
        path: "/patch/quadrats",
        title: "Draw places for quadrats",
        command: &["survey", "plan", "--format=html"],
        fields: &[
            PATCH,
            Field::new("quadrats", "Quadrats", Form::Number, Goes::Behind("--quadrats")).needed(),
            Field::new("seed", "Drawn anew from", Form::Number, Goes::Behind("--seed"))
                .hint("the number of an earlier drawing gives the same places"),
        ],
        shows: Shows::Page,
        may: May::Read,
    },
    Ask {
        path: "/verify",
        title: "Is the book whole",
        command: &["verify", "--format=html"],
        fields: &[],
        shows: Shows::Page,
        may: May::Keep,
    },
    Ask {
        path: "/crops",
        title: "Crops",
        command: &["crops", "--format=html"],
        fields: &[Field::new("crop", "Crop", Form::Words, Goes::Itself)
            .hint("its name, or what people call it")],
        shows: Shows::Page,
        may: May::SignedIn,
    },
];

const BOXES: &[Field] = &[
    SITE,
    Field::new("month", "Month", Form::Month, Goes::Behind("--month")).needed(),
    Field::new("count", "Boxes in the whole month", Form::Number, Goes::Behind("--count")).needed(),
    Field::new("each", "What is in each", Form::Words, Goes::Behind("--each"))
        .hint("crops or kitchen roles, like green leaf=150g,flower=20g")
        .needed(),
    Field::new("without", "Without this crop", Form::Words, Goes::Behind("--without")),
    Field::new("with", "With this crop", Form::Words, Goes::Behind("--with"))
        .hint("though it has a fatal look-alike"),
    Field::new("people", "Who gather each week", Form::Number, Goes::Behind("--people")),
    Field::new("packing", "What goes into each box", Form::Tick, Goes::Flag("--packing")),
    DAY,
];

const CSV: &str = "text/csv; charset=utf-8";
const GEOJSON: &str = "application/geo+json";

/// All of them.
pub fn asks() -> impl Iterator<Item = &'static Ask> {
    QUESTIONS.iter().chain(DEEDS)
}

/// The one of that path.
pub fn ask(path: &str) -> Option<&'static Ask> {
    asks().find(|ask| ask.path == path)
}
