//! All that can be recorded at the desk.

use super::ask::{Ask, Field, Form, Goes, Shows};
use super::may::May;

const PATCH: Field = Field::new("patch", "Patch", Form::Patch, Goes::Itself).needed();
const PLACE: Field = Field::new("place", "Site or patch", Form::Place, Goes::Itself).needed();
const WALK: Field = Field::new("walk", "Walk", Form::Walk, Goes::Itself).needed();
const FACT: Field = Field::new("fact", "What was recorded, by its id", Form::Fact, Goes::Itself)
    .hint("the eight letters and digits of the records")
    .needed();
const DAY: Field =
    Field::new("on", "On which day", Form::Date, Goes::Behind("--on")).hint("today, if not said");
const BY: Field = Field::new("by", "By whom", Form::Hand, Goes::Behind("--by")).needed();
/// Where there are no accounts the leader signs, unless somebody else says so.
const BY_LEADER: Field =
    Field::new("by", "By whom, if not by who leads it", Form::Hand, Goes::Behind("--by"));
const PEOPLE: Field = Field::new("people", "People", Form::Number, Goes::Behind("--people"));
const METHOD: Field = Field::new("method", "How it was cut", Form::Words, Goes::Behind("--method"))
    .hint("scissors, by hand");
const WHY: Field = Field::new("why", "Why", Form::Words, Goes::Behind("--why")).needed();
const RIPE: Field =
    Field::new("ripe", "How much of what will ripen is ripe", Form::Words, Goes::Behind("--ripe"))
        .hint("40%, where it bears fruit");
const SURE: Field = Field::new(
    "sure",
    "It is right, though it looks like a slip",
    Form::Answer,
    Goes::Flag("--sure"),
);
const AGAIN: Field = Field::new(
    "again",
    "It is another, though the book has one that says the same",
    Form::Answer,
    Goes::Flag("--again"),
);
const ANEW: Field = Field::new(
    "again",
    "Do it anew, in the place of what was",
    Form::Answer,
    Goes::Flag("--again"),
);

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
            DAY,
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
            DAY,
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
            DAY,
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
            DAY,
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
            Field::new("dry", "Only say what it would change", Form::Tick, Goes::Flag("--dry")),
            SURE,
        ],
        shows: Shows::Deed,
        may: May::Lead,
    },
    Ask {
        path: "/reopen",
        title: "Reopen it",
        command: &["reopen"],
        fields: &[
            PLACE,
            WHY,
            DAY,
            BY,
            Field::new("dry", "Only say what it would change", Form::Tick, Goes::Flag("--dry")),
            SURE,
        ],
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
    Ask {
        path: "/walks/new",
        title: "Record a walk",
        command: &["walk", "new"],
        fields: &[
            Field::new("name", "What to call it", Form::Words, Goes::Itself).needed(),
            Field::new("on", "On which day", Form::Date, Goes::Behind("--on")).needed(),
            Field::new("site", "Where it starts", Form::Site, Goes::Behind("--site")).needed(),
            Field::new("site-2", "And where it goes on to", Form::Site, Goes::Behind("--site")),
            Field::new("adults", "Adults", Form::Number, Goes::Behind("--adults")).needed(),
            Field::new("children", "Children", Form::Number, Goes::Behind("--children")),
            Field::new("one", "They gather as one party", Form::Tick, Goes::Flag("--as-one-party")),
            Field::new("want", "What to bring home", Form::Words, Goes::Behind("--want"))
                .hint("crops or kitchen roles, like green leaf=2kg,sour=300g"),
            Field::new(
                "for",
                "What for",
                Form::Choice(&[
                    ("walk", "a walk"),
                    ("sale", "boxes that are sold"),
                    ("own use", "own use"),
                ]),
                Goes::Behind("--for"),
            ),
            Field::new("by", "Who leads it", Form::Hand, Goes::Behind("--leader")).needed(),
            SURE,
            AGAIN,
        ],
        shows: Shows::Deed,
        may: May::Lead,
    },
    Ask {
        path: "/walk/hold",
        title: "Set its quota aside",
        command: &["walk", "hold"],
        fields: &[WALK, BY_LEADER, ANEW],
        shows: Shows::Deed,
        may: May::Lead,
    },
    Ask {
        path: "/walk/join",
        title: "Someone joins",
        command: &["walk", "join"],
        fields: &[
            WALK,
            Field::new("party", "How many", Form::Words, Goes::Itself)
                .hint("2+1: two adults and a child")
                .needed(),
            Field::new("called", "What to call them", Form::Words, Goes::Behind("--called"))
                .hint("a first name is enough"),
            BY,
            SURE,
        ],
        shows: Shows::Deed,
        may: May::Lead,
    },
    Ask {
        path: "/walk/leave",
        title: "Someone stays away",
        command: &["walk", "leave"],
        fields: &[
            WALK,
            Field::new("party", "Which party", Form::Words, Goes::Itself)
                .hint("its number, or what it is called")
                .needed(),
            BY,
            SURE,
        ],
        shows: Shows::Deed,
        may: May::Lead,
    },
    Ask {
        path: "/walk/move",
        title: "Move it to another day",
        command: &["walk", "move"],
        fields: &[
            WALK,
            Field::new("to", "To which day", Form::Date, Goes::Itself).needed(),
            BY,
            SURE,
        ],
        shows: Shows::Deed,
        may: May::Lead,
    },
    Ask {
        path: "/walk/settle",
        title: "Settle what came back",
        command: &["walk", "settle"],
        fields: &[
            WALK,
            Field::new("back", "What came back", Form::Takings, Goes::EachPart)
                .hint("patch or crop and amount: bank=1.9kg, spit=300g; of one party 2:bank=300g"),
            Field::new("all", "Every party took its whole share", Form::Tick, Goes::Flag("--all")),
            METHOD,
            BY,
            Field::new(
                "assume",
                "Shares that nothing tells of were taken in full",
                Form::Answer,
                Goes::Flag("--assume-taken"),
            ),
            SURE,
            ANEW,
        ],
        shows: Shows::Deed,
        may: May::Lead,
    },
    Ask {
        path: "/walk/cancel",
        title: "Give it up",
        command: &["walk", "cancel"],
        fields: &[WALK, WHY, BY],
        shows: Shows::Deed,
        may: May::Lead,
    },
    Ask {
        path: "/boxes/hold",
        title: "Set boxes aside",
        command: &["box", "--format=html"],
        fields: &[
            Field::new("name", "What to call them", Form::Words, Goes::Behind("--hold")).needed(),
            Field::new("month", "Month", Form::Month, Goes::Behind("--month")).needed(),
            Field::new("count", "Boxes in the whole month", Form::Number, Goes::Behind("--count"))
                .needed(),
            Field::new("each", "What is in each", Form::Words, Goes::Behind("--each"))
                .hint("crops or kitchen roles, like green leaf=150g,flower=20g")
                .needed(),
            Field::new("without", "Without this crop", Form::Words, Goes::Behind("--without")),
            Field::new("site", "Site", Form::Site, Goes::Behind("--site")),
            Field::new("people", "Who gather each week", Form::Number, Goes::Behind("--people")),
            Field::new("by", "Who leads them", Form::Hand, Goes::Behind("--leader")).needed(),
        ],
        shows: Shows::Deed,
        may: May::Lead,
    },
];
