//! Which kind of record a table's rows are, and which of its columns is which field.

use super::answers::{Answers, LEFT_OUT, kind_called};
use super::header::{Heading, Table, WHY_UNREAD};
use super::question::Ask;
use super::words::AMOUNT;
use crate::intake::{SHEETS, columns};
use crate::records::{Column, Form, Kind, Need, nearest};

/// What a column of a table is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Role {
    /// A column of files.
    Field(&'static Column),
    /// Grams or pieces, as its cells say.
    Amount,
    /// The site of the patch beside it.
    SiteOfPatch,
    /// What grows on the patch beside it, which must be so.
    CropOfPatch,
    /// It is no column of files, and nobody misses it.
    LeftOut,
}

/// How that is known.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum How {
    /// It is called so.
    Named,
    /// By a word of the trade.
    Word,
    /// Somebody said so.
    Told,
}

/// How the kind is known.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum KindBy {
    /// Somebody said so.
    Told,
    /// By columns that no other kind has.
    Columns,
    /// By what the sheet, the file or its title is called.
    Name,
}

/// A column of a table with what it is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Matched {
    /// As the table calls it.
    pub header: String,
    /// Where it stands, from 0.
    pub at: usize,
    /// What it is taken for.
    pub role: Role,
    /// How that is known.
    pub how: How,
}

pub(super) fn column(kind: Kind, name: &str) -> Option<&'static Column> {
    columns(kind).iter().find(|column| column.name == name)
}

fn has(kind: Kind, name: &str) -> bool {
    column(kind, name).is_some()
}

/// What a heading may be in a table of this kind, without regard to the others.
fn role_in(kind: Kind, meant: &[&'static str]) -> Option<Role> {
    meant.iter().find_map(|name| match *name {
        AMOUNT => match column(kind, "standing") {
            Some(standing) => Some(Role::Field(standing)),
            None => has(kind, "mass_g").then_some(Role::Amount),
        },
        name => match column(kind, name) {
            Some(column) => Some(Role::Field(column)),
            None if name == "site" && has(kind, "patch") => Some(Role::SiteOfPatch),
            None if name == "crop" && has(kind, "patch") => Some(Role::CropOfPatch),
            None => None,
        },
    })
}

/// The kind of the rows; else what it may be.
pub(super) fn kind_of(
    table: &Table<'_>,
    names: &[&str],
    answers: &Answers,
) -> Result<(Kind, KindBy), Vec<Kind>> {
    if let Some(told) = answers.kind {
        return Ok((told, KindBy::Told));
    }
    let told: Vec<&str> = answers.columns.values().map(String::as_str).collect();
    let set: Vec<&str> = answers.set.keys().map(String::as_str).collect();
    let telling = |kind: &Kind| {
        columns(*kind).iter().filter(|column| column.need == Need::Telling).any(|column| {
            let first = table.headings.iter().filter_map(|heading| heading.meant.first());
            first.chain(&told).chain(&set).any(|name| *name == column.name)
        })
    };
    let takes = |kind: &Kind| {
        let taken =
            table.headings.iter().filter(|heading| role_in(*kind, &heading.meant).is_some());
        taken.count()
    };
    let tell: Vec<Kind> = SHEETS.into_iter().filter(telling).collect();
    let most = tell.iter().map(takes).max().unwrap_or_default();
    let best: Vec<Kind> = tell.into_iter().filter(|kind| takes(kind) == most).collect();
    if let [one] = best.as_slice() {
        return Ok((*one, KindBy::Columns));
    }
    let hints: Vec<Kind> =
        names.iter().chain([&table.title.as_str()]).filter_map(|n| hint(n)).collect();
    if let Some(first) = hints.first()
        && hints.iter().all(|hint| hint == first)
        && (best.is_empty() || best.contains(first))
    {
        return Ok((*first, KindBy::Name));
    }
    if !best.is_empty() {
        return Err(best);
    }
    let lacks = |kind: &Kind| {
        let (matched, _) = roles(*kind, table, answers);
        missing(*kind, &matched, answers).filter(|field| *field != "by").count()
    };
    let may = SHEETS.into_iter().filter(|kind| *kind != Kind::Hold && takes(kind) > 0);
    let mut may: Vec<Kind> = may.collect();
    let fewest = may.iter().map(lacks).min().unwrap_or_default();
    may.retain(|kind| lacks(kind) == fewest);
    // What people write down most stands first.
    may.sort_by_key(|kind| *kind != Kind::Cut);
    Err(may)
}

/// The kind that a name has among its words, if it has one alone.
fn hint(name: &str) -> Option<Kind> {
    let words = name.split(|c: char| !c.is_alphabetic()).filter(|word| !word.is_empty());
    let mut kinds: Vec<Kind> = words.filter_map(kind_called).collect();
    kinds.dedup();
    match kinds.as_slice() {
        [one] => Some(*one),
        _ => None,
    }
}

/// What each column is, and what is asked of them.
pub(super) fn roles(kind: Kind, table: &Table<'_>, answers: &Answers) -> (Vec<Matched>, Vec<Ask>) {
    let mut asks = Vec::new();
    let mut matched: Vec<Matched> = Vec::new();
    for (at, heading) in table.headings.iter().enumerate() {
        let header = heading.text.clone();
        let found = |role, how| Matched { header: header.clone(), at, role, how };
        let (role, how) = match answers.column(&heading.text) {
            Some(LEFT_OUT) => (Role::LeftOut, How::Told),
            Some(field) => match role_called(kind, field) {
                Some(role) => (role, How::Told),
                None => {
                    let (header, field) = (header.clone(), field.to_owned());
                    asks.push(Ask::NotOfKind { header, field });
                    (Role::LeftOut, How::Told)
                }
            },
            None => {
                let role = role_in(kind, &heading.meant).unwrap_or(Role::LeftOut);
                let is_named = heading.is_named && heading.meant.first() == Some(&name_of(role));
                (role, if is_named { How::Named } else { How::Word })
            }
        };
        matched.push(found(role, how));
    }
    for n in 0..matched.len() {
        let near = near_column(kind, &table.headings[n], &matched[n], &matched, answers);
        if let Some(near) = near {
            asks.push(Ask::Column { header: matched[n].header.clone(), near });
        }
    }
    asks.extend(twice(&matched));
    asks.extend(missing(kind, &matched, answers).map(Ask::Field));
    (matched, asks)
}

/// By the name of a column of files, or the word for an amount.
fn role_called(kind: Kind, field: &str) -> Option<Role> {
    let field = field.trim().to_lowercase().replace([' ', '-'], "_");
    let known = [AMOUNT, "site", "crop"].into_iter().find(|name| *name == field);
    let name = column(kind, &field).map(|column| column.name).or(known)?;
    role_in(kind, &[name])
}

/// The column that an unknown header is nearly called like, where nothing else is that column.
fn near_column(
    kind: Kind,
    heading: &Heading,
    own: &Matched,
    all: &[Matched],
    answers: &Answers,
) -> Option<&'static str> {
    let is_unknown = own.role == Role::LeftOut && own.how != How::Told && heading.meant.is_empty();
    if !is_unknown || heading.text.is_empty() || heading.key() == WHY_UNREAD {
        return None;
    }
    let is_free = |column: &&Column| {
        let is_it =
            |other: &Matched| matches!(other.role, Role::Field(taken) if taken.name == column.name);
        !all.iter().any(is_it) && answers.constant(column.name).is_none()
    };
    let free = columns(kind).iter().filter(is_free).map(|column| column.name.to_owned());
    let near = nearest(&heading.key().replace(' ', "_"), free)?;
    column(kind, &near).map(|column| column.name)
}

/// Columns of files that several columns of the table are to be.
fn twice(matched: &[Matched]) -> Vec<Ask> {
    let mut asks = Vec::new();
    for (n, one) in matched.iter().enumerate().filter(|(_, one)| one.role != Role::LeftOut) {
        let same = |other: &&Matched| other.role == one.role;
        if matched[..n].iter().any(|earlier| same(&earlier)) {
            continue;
        }
        let headers: Vec<String> =
            matched[n..].iter().filter(same).map(|other| other.header.clone()).collect();
        if headers.len() > 1 {
            asks.push(Ask::Twice { field: name_of(one.role).to_owned(), headers });
        }
    }
    asks
}

/// What a role is called on the command line.
pub(super) fn name_of(role: Role) -> &'static str {
    match role {
        Role::Field(column) => column.name,
        Role::Amount => AMOUNT,
        Role::SiteOfPatch => "site",
        Role::CropOfPatch => "crop",
        Role::LeftOut => LEFT_OUT,
    }
}

/// Fields that the kind needs and that nothing in the table is, nor anyone said for all rows.
fn missing(
    kind: Kind,
    matched: &[Matched],
    answers: &Answers,
) -> impl Iterator<Item = &'static str> {
    let is_there = |name: &str| {
        answers.constant(name).is_some()
            || matched
                .iter()
                .any(|one| matches!(one.role, Role::Field(column) if column.name == name))
    };
    let needed = columns(kind).iter().filter(|column| column.need == Need::Filled);
    let mut missing: Vec<&'static str> =
        needed.map(|column| column.name).filter(|name| !is_there(name)).collect();
    if matches!(kind, Kind::Survey | Kind::Glance)
        && !is_there("patch")
        && !["crop", "lon", "lat"].into_iter().all(is_there)
    {
        missing.push("patch");
    }
    let has_amount = matched.iter().any(|one| one.role == Role::Amount);
    if kind == Kind::Cut && !has_amount && !is_there("mass_g") && !is_there("count") {
        missing.push("mass_g");
    }
    // What tells the kind may be empty of a cut alone.
    let tells = |column: &&Column| column.need == Need::Telling;
    if kind != Kind::Cut && !columns(kind).iter().filter(tells).any(|column| is_there(column.name))
    {
        missing.extend(columns(kind).iter().find(tells).map(|column| column.name));
    }
    missing.into_iter()
}

/// Columns of files whose gaps may be those of merged cells: what a row is about, and when and by
/// whom.
pub(super) fn may_be_merged(kind: Kind, matched: &Matched, all: &[Matched]) -> bool {
    match matched.role {
        Role::Field(column) => match column.name {
            "date" | "by" | "site" | "crop" => column.need == Need::Filled,
            "patch" if column.need == Need::Filled => true,
            "patch" => {
                let has_place =
                    all.iter().any(|one| matches!(one.role, Role::Field(c) if c.name == "lon"));
                matches!(kind, Kind::Survey | Kind::Glance) && !has_place
            }
            _ => false,
        },
        Role::SiteOfPatch => true,
        _ => false,
    }
}

/// Columns that a merged cell would give to several rows together, and not to each.
pub(super) fn is_an_amount(role: Role) -> bool {
    const AMOUNTS: [&str; 10] = [
        "mass_g",
        "count",
        "judged_g",
        "judged_count",
        "standing",
        "units",
        "units_in_all",
        "unit_g",
        "uncut_g",
        "uncut_count",
    ];
    match role {
        Role::Amount => true,
        Role::Field(column) => AMOUNTS.contains(&column.name),
        _ => false,
    }
}

/// Columns of days. A note may look like one, and stays as it is.
pub(super) fn is_of_days(column: &Column) -> bool {
    const OF_DAYS: [&str; 7] = ["date", "day", "from", "to", "recorded_on", "begun", "asked_for"];
    column.form == Form::Text && OF_DAYS.contains(&column.name)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_tells_a_kind_where_it_has_one_alone() {
        assert_eq!(hint("Cuts 2026"), Some(Kind::Cut));
        assert_eq!(hint("cuts and surveys"), None);
        assert_eq!(hint("Sheet1"), None);
    }

    #[test]
    fn an_amount_is_none_in_a_table_that_has_no_column_of_amounts() {
        assert_eq!(role_in(Kind::Cut, &[AMOUNT]), Some(Role::Amount));
        assert_eq!(role_in(Kind::Visit, &[AMOUNT]), None);
    }
}
