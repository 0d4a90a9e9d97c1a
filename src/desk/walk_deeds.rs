//! All that can be recorded at the desk of walks and boxes.

use super::ask::{Ask, Field, Form, Goes, Shows};
use super::fields::{
    AGAIN, ANEW, BOXES, BY, BY_LEADER, GATHERERS, IN_EACH, METHOD, MONTH, PURPOSE, SITE, SURE,
    WALK, WALK_DAY, WANT, WHY, WITHOUT,
};
use super::may::May;

/// One entry a deed; the first field says what it is about.
pub const WALK_DEEDS: &[Ask] = &[
    Ask {
        path: "/walks/new",
        title: "Record a walk",
        command: &["walk", "new"],
        fields: &[
            Field::new("name", "What to call it", Form::Words, Goes::Itself).needed(),
            WALK_DAY,
            Field::new("site", "Where it starts", Form::Site, Goes::Behind("--site")).needed(),
            Field::new("site-2", "And where it goes on to", Form::Site, Goes::Behind("--site")),
            Field::number("adults", "Adults", "--adults").needed(),
            Field::number("children", "Children", "--children"),
            Field::tick("one", "They gather as one party", "--as-one-party"),
            WANT,
            PURPOSE,
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
            Field::words("called", "What to call them", "--called").hint("a first name is enough"),
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
            Field::tick("all", "Every party took its whole share", "--all"),
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
            Field::words("name", "What to call them", "--hold").needed(),
            MONTH,
            BOXES,
            IN_EACH,
            WITHOUT,
            SITE,
            GATHERERS,
            Field::new("by", "Who leads them", Form::Hand, Goes::Behind("--leader")).needed(),
        ],
        shows: Shows::Deed,
        may: May::Lead,
    },
];
