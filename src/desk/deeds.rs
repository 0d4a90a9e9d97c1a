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
            Field::new("part", "Less was taken than was allowed", Form::Tick, Goes::Flag("--part")),
            Field::new("one-in", "Or one in so many", Form::Number, Goes::Behind("--one-in"))
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
            Field::new("judged", "Or by eye and weighed", Form::Words, Goes::Behind("--judged"))
                .hint("30=27 45 20=21 10=8: by eye, and what it then weighed"),
            Field::new(
                "frame",
                "The frame, in square metres",
                Form::Words,
                Goes::Behind("--frame"),
            )
            .hint("0.25"),
            Field::new(
                "length",
                "Or the stretch of hedge, in metres",
                Form::Words,
                Goes::Behind("--length"),
            ),
            Field::new(
                "placed",
                "Who chose the places",
                Form::Choice(&[("drawn", "drawn by chance"), ("by choice", "by choice")]),
                Goes::Behind("--placed"),
            ),
            RIPE,
            Field::new("note", "A note", Form::Words, Goes::Behind("--note")),
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
            Field::new(
                "look-alike",
                "A look-alike found there",
                Form::Words,
                Goes::Behind("--look-alike"),
            ),
            Field::new(
                "cleared",
                "A look-alike that is gone",
                Form::Words,
                Goes::Behind("--cleared"),
            ),
            Field::new("nesting", "What nests there", Form::Words, Goes::Behind("--nesting")),
            Field::new(
                "asked",
                "What the occupier said",
                Form::Choice(&[("yes", "yes"), ("no", "no")]),
                Goes::Behind("--asked"),
            ),
            Field::new("asked-for", "For which day", Form::Date, Goes::Behind("--for")),
            Field::new("ground", "The ground underfoot", Form::Words, Goes::Behind("--ground")),
            Field::new("weather", "The weather", Form::Words, Goes::Behind("--weather")),
            Field::new("note", "Anything else", Form::Words, Goes::Behind("--note")),
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
            Field::new("from", "The first closed day", Form::Date, Goes::Behind("--from")),
            Field::new("to", "The last closed day", Form::Date, Goes::Behind("--to")),
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
        fields: &[
            BY,
            Field::new("dry", "Only say what it would take back", Form::Tick, Goes::Flag("--dry")),
            SURE,
        ],
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
            Field::new("as", "What its rows or shapes are", Form::Words, Goes::Behind("--as"))
                .hint("cuts, surveys, glances, visits, permissions; patch or zone of a map"),
            Field::new(
                "site",
                "The site, where a map names none",
                Form::Site,
                Goes::Behind("--site"),
            ),
            Field::new(
                "crop",
                "The crop, where a map names none",
                Form::Words,
                Goes::Behind("--crop"),
            ),
            Field::new(
                "named",
                "Which property has the names",
                Form::Words,
                Goes::Behind("--named-by"),
            ),
            Field::new(
                "width",
                "The width of lines that are patches",
                Form::Words,
                Goes::Behind("--width"),
            )
            .hint("3m"),
            Field::new(
                "radius",
                "The radius of points that are patches",
                Form::Words,
                Goes::Behind("--radius"),
            ),
            SURE,
            AGAIN,
        ],
        shows: Shows::Brings,
        may: May::Keep,
    },
];
