//! All that can be asked at the desk: one entry is a page, its form, its command and who may.

use super::ask::{Ask, Field, Form, Goes, Shows};
use super::deeds::DEEDS;
use super::downloads::DOWNLOADS;
use super::fields::{
    BOXES, DAY, GATHERERS, IN_EACH, ITS_SITE, MONTH, OF_WALK, PATCH, PEOPLE, PURPOSE, SEASON, SITE,
    UNTIL, WALK, WANT, WITHOUT,
};
use super::may::May;
use super::walk_deeds::WALK_DEEDS;

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
            Field::tick("all", "Why each shut patch is shut", "--all"),
            Field::tick("why", "Reasons in full", "--why"),
        ],
        shows: Shows::Page,
        may: May::Read,
    },
    Ask {
        path: "/due",
        title: "Due",
        command: &["due", "--format=html"],
        fields: &[SITE, UNTIL, DAY],
        shows: Shows::Page,
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
            SITE.needed(),
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
        fields: &[SITE, WANT, PEOPLE, PURPOSE, Field::day("on", "On", "--on").needed()],
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
        path: "/field/walk",
        title: "On its leader's phone",
        command: &["field", "--app"],
        fields: &[OF_WALK],
        shows: Shows::App,
        may: May::Read,
    },
    Ask {
        path: "/boxes",
        title: "Boxes",
        command: &["box", "--format=html"],
        fields: BOX_FIELDS,
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
        path: "/years",
        title: "Season beside season",
        command: &["pressure", "--format=html"],
        fields: &[
            SITE,
            Field::words("beside", "Beside", "--beside")
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
            Field::number("quadrats", "Quadrats", "--quadrats").needed(),
            Field::number("seed", "Drawn anew from", "--seed")
                .hint("the number of an earlier drawing gives the same places"),
        ],
        shows: Shows::Anew,
        may: May::Read,
    },
    Ask {
        path: "/verify",
        title: "Is the book whole",
        command: &["verify", "--format=html"],
        fields: &[],
        shows: Shows::Anew,
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

const BOX_FIELDS: &[Field] = &[
    SITE,
    MONTH,
    BOXES,
    IN_EACH,
    WITHOUT,
    Field::words("with", "With this crop", "--with").hint("though it has a fatal look-alike"),
    GATHERERS,
    Field::tick("packing", "What goes into each box", "--packing"),
    DAY,
];

/// All of them.
pub fn asks() -> impl Iterator<Item = &'static Ask> {
    QUESTIONS.iter().chain(DOWNLOADS).chain(DEEDS).chain(WALK_DEEDS)
}

/// The one of that path.
pub fn ask(path: &str) -> Option<&'static Ask> {
    asks().find(|ask| ask.path == path)
}
