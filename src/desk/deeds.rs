//! All that can be recorded at the desk of patches and sites, and put right.

use super::ask::{Ask, Field, Form, Goes, Shows};
use super::fields::{AGAIN, BY, DONE_ON, DRY, FACT, METHOD, PATCH, PEOPLE, PLACE, RIPE, SURE, WHY};
use super::may::May;

const TROUBLES: Form = Form::Choice(&[
    ("sprayed", "sprayed"),
    ("sewage", "sewage"),
    ("flooded", "flooded"),
    ("cut by others", "cut by others"),
    ("grazed", "grazed"),
    ("mown", "mown"),
    ("poached", "trodden to mud"),
    ("brambled over", "brambled over"),
]);

/// One entry a deed; the first field says what it is about.
pub const DEEDS: &[Ask] = &[
    Ask {
        path: "/cut",
        title: "Record a cut",
        command: &["cut"],
        fields: &[
            PATCH,
            Field::new("amount", "How much was cut", Form::Words, Goes::Itself)
                .hint("650g, 1.2kg, 14 heads")
                .needed(),
            PEOPLE,
            Field::tick("part", "Less was taken than was allowed", "--part"),
            Field::number("one-in", "Or one in so many", "--one-in")
                .hint("20, where one in 20 of what was seen was taken"),
            METHOD,
            DONE_ON,
            BY,
            SURE,
            AGAIN,
        ],
        shows: Shows::Deed,
        may: May::Record,
    },
    Ask {
        path: "/glance",
        title: "Record what stands there by eye",
        command: &["glance"],
        fields: &[
            PATCH,
            Field::new("standing", "What stands there", Form::Words, Goes::Itself)
                .hint("on the whole patch, before anyone cuts: 3kg, 40 heads")
                .needed(),
            DONE_ON,
            BY,
            SURE,
            AGAIN,
        ],
        shows: Shows::Deed,
        may: May::Record,
    },
    Ask {
        path: "/survey",
        title: "Record a survey",
        command: &["survey"],
        fields: &[
            PATCH,
            Field::new("amounts", "What stood in each quadrat", Form::Words, Goes::EachWord)
                .hint("grams, or pieces of what is counted: 31 18 40 22 0 27"),
            Field::words("judged", "Or by eye and weighed", "--judged")
                .hint("30=27 45 20=21 10=8: by eye, and what it then weighed"),
            Field::words("frame", "The frame, in square metres", "--frame").hint("0.25"),
            Field::words("length", "Or the stretch of hedge, in metres", "--length"),
            Field::new(
                "placed",
                "Who chose the places",
                Form::Choice(&[("drawn", "drawn by chance"), ("by choice", "by choice")]),
                Goes::Behind("--placed"),
            ),
            RIPE,
            Field::words("note", "A note", "--note"),
            DONE_ON,
            BY,
            SURE,
            AGAIN,
        ],
        shows: Shows::Deed,
        may: May::Record,
    },
    Ask {
        path: "/visit",
        title: "Record what was seen or said",
        command: &["visit"],
        fields: &[
            PLACE,
            Field::new(
                "stage",
                "How far the plants are",
                Form::Choice(&[
                    ("leaf", "leaf"),
                    ("bud", "bud"),
                    ("flower", "flower"),
                    ("fruit", "fruit"),
                    ("dying back", "dying back"),
                ]),
                Goes::Behind("--stage"),
            ),
            RIPE,
            Field::new("trouble", "What befell it", TROUBLES, Goes::Behind("--trouble")),
            Field::new("over", "What is over", TROUBLES, Goes::Behind("--over")),
            Field::words("look-alike", "A look-alike found there", "--look-alike"),
            Field::words("cleared", "A look-alike that is gone", "--cleared"),
            Field::words("nesting", "What nests there", "--nesting"),
            Field::new(
                "asked",
                "What the occupier said",
                Form::Choice(&[("yes", "yes"), ("no", "no")]),
                Goes::Behind("--asked"),
            ),
            Field::day("asked-for", "For which day", "--for"),
            Field::words("ground", "The ground underfoot", "--ground"),
            Field::words("weather", "The weather", "--weather"),
            Field::words("note", "Anything else", "--note"),
            DONE_ON,
            BY,
            SURE,
        ],
        shows: Shows::Deed,
        may: May::Record,
    },
    Ask {
        path: "/close",
        title: "Close it",
        command: &["close"],
        fields: &[
            PLACE,
            WHY,
            Field::day("from", "The first closed day", "--from"),
            Field::day("to", "The last closed day", "--to"),
            BY,
            DRY,
            SURE,
        ],
        shows: Shows::Deed,
        may: May::Lead,
    },
    Ask {
        path: "/reopen",
        title: "Reopen it",
        command: &["reopen"],
        fields: &[PLACE, WHY, DONE_ON, BY, DRY, SURE],
        shows: Shows::Deed,
        may: May::Lead,
    },
    Ask {
        path: "/undo",
        title: "Take back my last deed",
        command: &["undo"],
        fields: &[BY, Field::tick("dry", "Only say what it would take back", "--dry"), SURE],
        shows: Shows::Deed,
        may: May::Record,
    },
    Ask {
        path: "/correct",
        title: "Put it right",
        command: &["correct"],
        fields: &[
            FACT,
            Field::new("change", "What is right", Form::Change, Goes::Itself)
                .hint("field=value: mass_g=560; of a survey's third quadrat 3.mass_g=13")
                .needed(),
            WHY,
            BY,
            SURE,
            AGAIN,
        ],
        shows: Shows::Deed,
        may: May::Record,
    },
    Ask {
        path: "/withdraw",
        title: "Withdraw it",
        command: &["withdraw"],
        fields: &[FACT, WHY, BY],
        shows: Shows::Deed,
        may: May::Record,
    },
    Ask {
        path: "/bring",
        title: "Bring a table or a map",
        command: &["bring", "--format=html"],
        fields: &[
            Field::words("as", "What its rows or shapes are", "--as")
                .hint("cuts, surveys, glances, visits, permissions; patch or zone of a map"),
            Field::new(
                "site",
                "The site, where a map names none",
                Form::Site,
                Goes::Behind("--site"),
            ),
            Field::words("crop", "The crop, where a map names none", "--crop"),
            Field::words("named", "Which property has the names", "--named-by"),
            Field::words("width", "The width of lines that are patches", "--width").hint("3m"),
            Field::words("radius", "The radius of points that are patches", "--radius"),
            SURE,
            AGAIN,
        ],
        shows: Shows::Brings,
        may: May::Keep,
    },
];
