//! What several forms ask for, each worded once.

use super::ask::{Field, Form, Goes};

pub const SITE: Field = Field::new("site", "Site", Form::Site, Goes::Behind("--site"));
pub const ITS_SITE: Field = Field::new("site", "Site", Form::Site, Goes::Itself).needed();
pub const PATCH: Field = Field::new("patch", "Patch", Form::Patch, Goes::Itself).needed();
pub const PLACE: Field = Field::new("place", "Site or patch", Form::Place, Goes::Itself).needed();
pub const WALK: Field = Field::new("walk", "Walk", Form::Walk, Goes::Itself).needed();
pub const OF_WALK: Field = Field::new("walk", "Walk", Form::Walk, Goes::Behind("--walk")).needed();
pub const FACT: Field =
    Field::new("fact", "What was recorded, by its id", Form::Fact, Goes::Itself)
        .hint("the eight letters and digits of the records")
        .needed();

/// The day on which something is asked.
pub const DAY: Field = Field::day("on", "As on", "--on");
/// The day on which something was done.
pub const DONE_ON: Field = Field::day("on", "On which day", "--on").hint("today, if not said");
/// The day of a walk.
pub const WALK_DAY: Field = Field::day("on", "On which day", "--on").needed();
pub const UNTIL: Field = Field::day("until", "Until", "--until");
pub const SEASON: Field =
    Field::words("season", "Season", "--season").hint("like 2026/27, from September to August");

pub const PEOPLE: Field = Field::number("people", "People", "--people");
pub const PURPOSE: Field = Field::new(
    "for",
    "What for",
    Form::Choice(&[("walk", "a walk"), ("sale", "boxes that are sold"), ("own use", "own use")]),
    Goes::Behind("--for"),
);
pub const WANT: Field = Field::words("want", "What to bring home", "--want")
    .hint("crops or kitchen roles, like green leaf=2kg,sour=300g");

pub const MONTH: Field =
    Field::new("month", "Month", Form::Month, Goes::Behind("--month")).needed();
pub const BOXES: Field = Field::number("count", "Boxes in the whole month", "--count").needed();
pub const IN_EACH: Field = Field::words("each", "What is in each", "--each")
    .hint("crops or kitchen roles, like green leaf=150g,flower=20g")
    .needed();
pub const WITHOUT: Field = Field::words("without", "Without this crop", "--without");
pub const GATHERERS: Field = Field::number("people", "Who gather each week", "--people");

pub const METHOD: Field =
    Field::words("method", "How it was cut", "--method").hint("scissors, by hand");
pub const RIPE: Field = Field::words("ripe", "How much of what will ripen is ripe", "--ripe")
    .hint("40%, where it bears fruit");
pub const WHY: Field = Field::words("why", "Why", "--why").needed();

pub const BY: Field = Field::new("by", "By whom", Form::Hand, Goes::Behind("--by")).needed();
/// Where there are no accounts the leader signs, unless somebody else says so.
pub const BY_LEADER: Field =
    Field::new("by", "By whom, if not by who leads it", Form::Hand, Goes::Behind("--by"));

pub const SURE: Field = Field::new(
    "sure",
    "It is right, though it looks like a slip",
    Form::Answer,
    Goes::Flag("--sure"),
);
pub const AGAIN: Field = Field::new(
    "again",
    "It is another, though the book has one that says the same",
    Form::Answer,
    Goes::Flag("--again"),
);
pub const ANEW: Field = Field::new(
    "again",
    "Do it anew, in the place of what was",
    Form::Answer,
    Goes::Flag("--again"),
);
/// Tried out, and not recorded.
pub const DRY: Field = Field::tick("dry", "Only say what it would change", "--dry");
