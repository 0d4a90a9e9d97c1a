//! What is said and asked of a table that is brought.

use crate::bring::{Ask, Held, KindBy, Mark, Order, Proposal, Question, ROWS, Role, Taken};
use crate::units::{agreeing, counted, listed, noun_for, spoken_day};

/// Lines that are named.
const MOST_LINES: usize = 5;
/// Names that may be meant.
const MOST_NAMES: usize = 4;

/// What the rows are, and how that is known.
pub(super) fn kind_said(proposal: &Proposal<'_>, is_kept: bool) -> String {
    let by = |by: KindBy| match by {
        KindBy::Told if is_kept => "as you said of a table like this before",
        KindBy::Told => "as you said",
        KindBy::Columns => "by the columns",
        KindBy::Name => "by the name",
    };
    match &proposal.kind {
        Ok((kind, known)) => format!("taken for {}, {}.", kind.plural(), by(*known)),
        Err(_) => "and nobody knows of what.".to_owned(),
    }
}

pub(super) fn role(role: Role) -> String {
    match role {
        Role::Field(column) => format!("`{}`", column.name),
        Role::Amount => "`mass_g` or `count`, by its unit".to_owned(),
        Role::SiteOfPatch => "the site of its `patch`".to_owned(),
        Role::CropOfPatch => "what must grow on its `patch`".to_owned(),
        Role::LeftOut => "left out".to_owned(),
    }
}

/// How it was read and what was left out, a sentence each.
pub(super) fn remarks(proposal: &Proposal<'_>, is_typed: bool) -> Vec<String> {
    let sheet = proposal.sheet;
    let mut said = Vec::new();
    if let Some(encoding) = sheet.encoding {
        said.push(format!("Its letters are {encoding}."));
    }
    if let Some(by) = sheet.parted_by {
        said.push(format!("Its cells are parted by {}.", parted(by)));
    }
    if let Some(order) = proposal.habits.order {
        said.push(match order {
            Order::DayFirst => "Days have the day first.".to_owned(),
            Order::MonthFirst => "Days have the month first.".to_owned(),
        });
    }
    if let Some(day) = &proposal.habits.short_year {
        said.push(format!("Years of two digits, as in `{day}`, are of this century."));
    }
    if proposal.habits.decimal == Some(Mark::Comma) {
        said.push("Numbers have a decimal comma.".to_owned());
    }
    if sheet.filled > 0 {
        let cells = counted(sheet.filled, "cell");
        let has = agreeing(sheet.filled, "has", "have");
        said.push(format!("{cells} {has} what the merged cell above says."));
    }
    said.extend(
        proposal.taken.iter().map(|(what, (cell, meant, times))| taken(*what, cell, meant, *times)),
    );
    said.extend(left_out(proposal, is_typed));
    said
}

fn taken(what: Taken, cell: &str, meant: &str, times: usize) -> String {
    let more = match times - 1 {
        0 => String::new(),
        more => format!(", and {more} more like it"),
    };
    match what {
        Taken::CropName => format!("`{cell}` is taken for {meant}{more}."),
        Taken::Unit => format!("`{cell}` is taken for {meant}{more}."),
        Taken::Word => format!("`{cell}` is taken for `{meant}`{more}."),
        Taken::Gap => format!("A gap in `{cell}` is filled with `{meant}` from above{more}."),
        Taken::Rough => format!("`{cell}` is rough, and taken for {meant}{more}."),
        Taken::ByEye => format!("`{cell}` is taken for {meant}, as a judgement by eye is{more}."),
    }
}

fn left_out(proposal: &Proposal<'_>, is_typed: bool) -> Vec<String> {
    let mut said = Vec::new();
    if !proposal.above.is_empty() {
        said.push(format!("Left out: what stands above the header in {}.", lines(&proposal.above)));
    }
    if !proposal.totals.is_empty() {
        said.push(format!("Left out: what sums up in {}.", lines(&proposal.totals)));
    }
    if !proposal.again.is_empty() {
        said.push(format!("Left out: the header once more in {}.", lines(&proposal.again)));
    }
    let columns = proposal.left_out();
    if !columns.is_empty() {
        let named = |header: &str| match header {
            "" => "one without a name".to_owned(),
            header => format!("`{header}`"),
        };
        let names: Vec<String> = columns.iter().map(|one| named(&one.header)).collect();
        let way_out = match is_typed {
            true => format!("; --column '{}=field' takes it in", columns[0].header),
            false => String::new(),
        };
        said.push(format!(
            "Left out: the {} {}{way_out}.",
            noun_for(names.len(), "column"),
            listed(&names),
        ));
    }
    said
}

fn lines(all: &[u64]) -> String {
    let mut shown: Vec<String> = all.iter().take(MOST_LINES).map(u64::to_string).collect();
    if let more @ 1.. = all.len().saturating_sub(MOST_LINES) {
        shown.push(format!("{more} more"));
    }
    format!("{} {}", noun_for(all.len(), "line"), listed(&shown))
}

fn parted(by: u8) -> &'static str {
    match by {
        b';' => "semicolons",
        b'\t' => "tabs",
        b'|' => "upright strokes",
        _ => "commas",
    }
}

/// Why a row comes back, for its writer.
pub(super) fn why(held: &Held) -> String {
    match held {
        Held::Unreadable { field, found, expected } => {
            let field = field.as_ref().map(|field| format!("`{field}`: ")).unwrap_or_default();
            format!("{field}{found}; expected {expected}")
        }
        Held::OtherCrop(other) => format!(
            "the book has `{}` on `{}`, and the row `{}`; put the patch or the crop right",
            other.crop, other.patch, other.said
        ),
        Held::Shared(header) => {
            format!("`{header}` is one merged cell for several rows; say how much each of them has")
        }
        Held::Ahead(day) => {
            format!("`date`: {} lies ahead; expected a day up to today", spoken_day(*day))
        }
        Held::Beside(line) => {
            format!(
                "it belongs to one survey with line {line}, which cannot be read; mend that one"
            )
        }
    }
}

/// A question with the words of the command line that answer it.
pub(super) fn question(asked: &Question) -> String {
    let (said, way_out) = (unclear(asked), way_out(&asked.ask));
    match said.ends_with('?') {
        true => format!("{said} {}", capital(&way_out)),
        false => format!("{said}; {way_out}"),
    }
}

/// A question by itself.
pub(super) fn unclear(asked: &Question) -> String {
    let of_rows = match asked.rows {
        0 | 1 => String::new(),
        rows => format!(" ({rows} rows)"),
    };
    what(&asked.ask) + &of_rows
}

/// A question on a form: what it is, replies with what they say, and what else may be typed.
pub(super) fn form(asked: &Question) -> (String, Vec<(String, String)>, Option<String>) {
    let reply = |reply: &str, said: &str| (reply.to_owned(), said.to_owned());
    let same = |word: &str| reply(word, word);
    let names = |near: &[String], none: &str| {
        let near = near.iter().take(MOST_NAMES).map(|name| reply(name, name));
        near.chain([reply("no", none)]).collect()
    };
    let (replies, typed): (Vec<(String, String)>, Option<&str>) = match &asked.ask {
        Ask::Kind(may) if may.is_empty() => {
            (ROWS.iter().map(|kind| reply(kind.plural(), kind.plural())).collect(), None)
        }
        Ask::Kind(may) => (may.iter().map(|kind| same(kind.plural())).collect(), None),
        Ask::Column { near, .. } => (
            vec![reply("yes", &format!("yes, it is `{near}`")), reply("no", "no, leave it out")],
            Some("or the field that it is"),
        ),
        Ask::NotOfKind { .. } => {
            (vec![reply("-", "leave it out")], Some("or the field that it is"))
        }
        Ask::Twice { headers, .. } => (headers.iter().map(|header| same(header)).collect(), None),
        Ask::Field(_) => {
            (Vec::new(), Some("the column that it is, or `=` and what all rows have: `=Ida`"))
        }
        Ask::Order { .. } => {
            (vec![reply("day", "the day first"), reply("month", "the month first")], None)
        }
        Ask::Year { .. } => (Vec::new(), Some("the year, like 2026")),
        Ask::Decimal { .. } => {
            (vec![reply("comma", "the comma parts"), reply("point", "the point parts")], None)
        }
        Ask::Unit { .. } => (["g", "kg", "pieces"].map(same).into(), Some("or another unit")),
        Ask::Piece { .. } => (Vec::new(), Some("how much is one, like 80g")),
        Ask::Rough { .. } => (
            vec![
                reply("middle", "take the number, or the middle"),
                reply("unread", "give such rows back"),
            ],
            None,
        ),
        Ask::Gap { .. } => (
            vec![reply("yes", "fill them with what stands above"), reply("no", "leave them")],
            None,
        ),
        Ask::Patch { near, .. } => (names(near, "none: give its rows back"), Some("or its name")),
        Ask::Site { near, .. } => (names(near, "none: give its rows back"), Some("or its name")),
        Ask::Crop { near, .. } => (names(near, "none: give its rows back"), Some("or its name")),
        Ask::Mixed { .. } | Ask::OtherWay { .. } => (Vec::new(), None),
    };
    (capital(&unclear(asked)), replies, typed.map(str::to_owned))
}

pub(super) fn capital(text: &str) -> String {
    let mut letters = text.chars();
    let first: String = letters.next().map(|c| c.to_uppercase().collect()).unwrap_or_default();
    first + letters.as_str()
}

/// The same at the keyboard.
pub(super) fn prompt(asked: &Question) -> String {
    let reply = match &asked.ask {
        Ask::Kind(_) => "what are the rows, like `cuts`?",
        Ask::Column { .. } => "yes, no, or the name of its field?",
        Ask::NotOfKind { .. } => "which field is it, or `-` to leave it out?",
        Ask::Twice { .. } => "which column is it?",
        Ask::Field(_) => "which column is it, or `=` and what all rows have?",
        Ask::Order { .. } => "`day` or `month` first?",
        Ask::Year { .. } => "which year?",
        Ask::Decimal { .. } => "`comma` or `point`?",
        Ask::Unit { .. } => "in `g`, `kg`, `pieces`…?",
        Ask::Piece { .. } => "how much is one, like `80g`?",
        Ask::Rough { .. } => "take the `middle`, or leave its row `unread`?",
        Ask::Gap { .. } => "yes to fill them, or no?",
        Ask::Patch { .. } | Ask::Site { .. } | Ask::Crop { .. } => "yes, no, or its name?",
        Ask::Mixed { .. } | Ask::OtherWay { .. } => "",
    };
    let numbered = numbered(asked).into_iter().zip(1..);
    let numbered: Vec<String> =
        numbered.map(|(word, n): (_, usize)| format!("{n}={word}")).collect();
    let what = capital(&what(&asked.ask));
    let said = match what.ends_with('?') {
        true => format!("{what} {}", capital(reply)),
        false => format!("{what}: {reply}"),
    };
    if numbered.is_empty() { said } else { format!("{said} ({})", numbered.join(", ")) }
}

/// Replies that may be given by their number at the keyboard: where nothing else may be typed, since a
/// patch may be called `1`.
pub(super) fn numbered(asked: &Question) -> Vec<String> {
    let (_, replies, typed) = form(asked);
    let replies = replies.into_iter().filter(|_| typed.is_none());
    replies.map(|(reply, _)| reply).collect()
}

fn what(ask: &Ask) -> String {
    match ask {
        Ask::Kind(may) if may.is_empty() => "nothing tells what the rows are".to_owned(),
        Ask::Kind(may) => {
            let names: Vec<&str> = may.iter().map(|kind| kind.plural()).collect();
            format!("the rows may be {}", listed(&names))
        }
        Ask::Column { header, near } => format!("nobody knows `{header}`; did you mean `{near}`?"),
        Ask::NotOfKind { header, field } => {
            format!("`{header}` is to be `{field}`, which these rows do not have")
        }
        Ask::Twice { field, headers } => {
            let names: Vec<String> = headers.iter().map(|header| format!("`{header}`")).collect();
            format!("{} are all to be `{field}`", listed(&names))
        }
        Ask::Field(field) => format!("no column is the `{field}`, which these rows need"),
        Ask::Order { header, day } => format!("`{day}` in `{header}` may be read in two ways"),
        Ask::Mixed { header, one, other } => {
            format!("`{header}`: `{one}` has the day first and `{other}` the month")
        }
        Ask::OtherWay { header, day } => {
            format!("`{day}` in `{header}` is written the other way round")
        }
        Ask::Year { header, day } => format!("`{day}` in `{header}` has no year"),
        Ask::Decimal { header, number } => {
            format!("`{number}` in `{header}` may be a thousand and more, or a few and a part")
        }
        Ask::Unit { header, number } => {
            format!("`{header}` does not say what its numbers are in, like `{number}`")
        }
        Ask::Piece { noun, crop } => format!("how much of {crop} is a {noun}?"),
        Ask::Rough { header, amount } => format!("`{amount}` in `{header}` is only about right"),
        Ask::Gap { header } => format!("`{header}` has gaps, as merged cells leave them"),
        Ask::Patch { said, near } => format!("no patch is called `{said}`; {}", meant(near)),
        Ask::Site { said, near } => format!("no site is called `{said}`; {}", meant(near)),
        Ask::Crop { said, near } => format!("no crop is called `{said}`; {}", meant(near)),
    }
}

fn meant(near: &[String]) -> String {
    let names: Vec<String> = near.iter().take(MOST_NAMES).map(|name| format!("`{name}`")).collect();
    match names.as_slice() {
        [one] => format!("did you mean {one}?"),
        several => format!("it may be one of {}", listed(several)),
    }
}

fn way_out(ask: &Ask) -> String {
    match ask {
        Ask::Kind(may) => match may.first() {
            Some(first) => format!("say which, like --as {}", first.plural()),
            None => "say it, like --as cuts".to_owned(),
        },
        Ask::Column { header, near } => {
            format!("say --column '{header}={near}', or --column '{header}=-' to leave it out")
        }
        Ask::NotOfKind { header, .. } => {
            format!("say --column '{header}=field' with one of sites/files.md")
        }
        Ask::Twice { headers, .. } => {
            let last = headers.last().map(String::as_str).unwrap_or_default();
            format!("say which to leave out, like --column '{last}=-'")
        }
        Ask::Field(field) => format!(
            "say --column 'Their header={field}', or --set '{field}=…' where all rows have the same"
        ),
        Ask::Order { .. } => "say --day-first or --month-first".to_owned(),
        Ask::Mixed { .. } => {
            "write them all in one way, or say --day-first or --month-first: the others come back"
                .to_owned()
        }
        Ask::OtherWay { .. } => {
            "look at the days, and say --day-first or --month-first as they are".to_owned()
        }
        Ask::Year { .. } => "say --year, like --year 2026".to_owned(),
        Ask::Decimal { .. } => "say --decimal comma or --decimal point".to_owned(),
        Ask::Unit { header, .. } => {
            format!("say --unit '{header}=g', '{header}=kg' or '{header}=pieces'")
        }
        Ask::Piece { noun, .. } => format!("say it, like --say '{noun}=80g'"),
        Ask::Rough { .. } => {
            "say --rough middle to take the number or the middle, or --rough unread to have such \
             rows back"
                .to_owned()
        }
        Ask::Gap { .. } => {
            "say --gaps fill to take what stands above, or --gaps leave to have such rows back"
                .to_owned()
        }
        Ask::Patch { said, near } | Ask::Site { said, near } | Ask::Crop { said, near } => {
            let first = near.first().map(String::as_str).unwrap_or_default();
            format!("say --say '{said}={first}', or --say '{said}={said}' to have its rows back")
        }
    }
}
