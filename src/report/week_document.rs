//! The week's answer in words and tables, for a terminal and for a page.

use super::opening::conditions;
use super::reasons::because;
use jiff::civil::Date;

use super::cautions;
use super::comeback::to_cut;
use super::counting::goes_by;
use super::found_growing::before_week;
use super::layout::UNBROKEN;
use super::page::{Block, Cell, Column, Document, Section, Table};
use super::stress::Stress;
use crate::assess::{Assessment, CropTotal, Opening, WeekAnswer};
use crate::rules::Verdict;
use crate::units::{counted, spoken_day};

const SURVEY_MARK: &str = "*";
const PERMISSION_MARK: &str = "†";

/// How much the week tells.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Detail {
    /// What may be cut, and when the other patches open.
    Short,
    /// Each patch, and what decides in a few words.
    All,
    /// Each patch, and all that the rule says that decides.
    Why,
}

/// The whole answer, with the cautions where it invites anyone to pick; of a week without
/// patches, the heading and why there is none.
pub fn week_document(
    answer: &WeekAnswer,
    detail: Detail,
    nothing_found: Option<String>,
) -> Document {
    let of_verdicts = answer
        .verdict_counts()
        .into_iter()
        .filter(|(verdict, _)| detail > Detail::Short || *verdict == Verdict::Open)
        .map(|(verdict, count)| of_verdict(answer, verdict, count, detail));
    // What may kill stands before all else.
    let mut sections: Vec<Section> =
        before_week(answer.patches.iter()).into_iter().chain(of_verdicts).collect();
    if detail == Detail::Short {
        sections.extend(shut_in_brief(answer));
    }
    sections.extend(marks(answer));
    if !answer.patches.is_empty() {
        sections.extend(totals(&answer.totals));
        sections.extend(nothing_open(answer));
    }
    sections.extend(squares_to_cut(answer));
    sections.extend(nothing_found.map(Section::said));
    if answer.open().next().is_some() {
        sections.extend(cautions::sections(answer.open().map(|patch| &patch.crop)));
    }
    Document { title: title(answer), kind: "Week", lead: String::new(), sections, foot: Vec::new() }
}

/// Why a book without patches has no week, as it was known on a day, or now.
pub fn no_patch_known(known_on: Option<Date>) -> String {
    match known_on {
        Some(day) => format!("No patch was known on {}.", spoken_day(day)),
        None => "The book has no patch yet; `stintbook load` takes them in.".to_owned(),
    }
}

/// `Week 2027-W11, 15 Mar to 21 Mar 2027; as things stand on Mon 15 Mar 2027`.
pub(super) fn title(answer: &WeekAnswer) -> String {
    let (first, last) = (answer.week.first_day(), answer.week.last_day());
    format!(
        "Week {}, {} to {}; as things stand on {} {}",
        answer.week,
        first.strftime("%-d %b"),
        spoken_day(last),
        answer.on.strftime("%a"),
        spoken_day(answer.on),
    )
}

fn of_verdict(answer: &WeekAnswer, verdict: Verdict, count: usize, detail: Detail) -> Section {
    let is_open = verdict == Verdict::Open;
    let stress = if is_open { Stress::Open } else { Stress::Shut };
    let heading = format!("{}: {}", stress.on(verdict.name()), counted(count, "patch"));
    let names = [Column::name("patch"), Column::name("crop")].into_iter();
    let figures = match is_open {
        true => vec![Column::amount("at most"), Column::words("count"), Column::words("last day")],
        false => vec![Column::words("opens")],
    };
    let of_verdict = || answer.patches.iter().filter(|found| found.ruling.verdict == verdict);
    // A column that says nothing of any patch would only take room on a page.
    let is_why_told = of_verdict().any(|patch| !reason(patch, detail).is_empty());
    let why = is_why_told.then(|| Column::note("why"));
    let columns = names.chain(figures).chain(why).collect();
    let row = |patch: &Assessment| {
        let names = [patch.patch.patch().to_owned(), patch.crop.name.to_string()].into_iter();
        let figures = match is_open {
            true => limit(patch),
            false => vec![patch.opening.map_or(String::new(), |opening| opens(opening, answer))],
        };
        let why = is_why_told.then(|| reason(patch, detail));
        names.chain(figures).chain(why).map(Cell::of).collect()
    };
    let mut rows: Vec<Vec<Cell>> = Vec::new();
    for of_site in by_site(of_verdict()) {
        rows.push(vec![site_cell(&of_site, detail)]);
        rows.extend(of_site.into_iter().map(row));
    }
    let table = Table { caption: format!("{} patches", verdict.name()), columns, rows };
    Section { id: id(verdict), heading, blocks: vec![Block::Table(table)] }
}

fn id(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Open => "open",
        Verdict::Resting => "resting",
        Verdict::Held => "held",
        Verdict::OutOfSeason => "out-of-season",
        Verdict::NotKnown => "not-known",
        Verdict::NoPermission => "no-permission",
        Verdict::Closed => "closed",
    }
}

/// Site by site; what opens first stays first on its own.
fn by_site<'a>(patches: impl Iterator<Item = &'a Assessment>) -> Vec<Vec<&'a Assessment>> {
    let mut patches: Vec<&Assessment> = patches.collect();
    patches.sort_by(|a, b| a.patch.site().cmp(b.patch.site()));
    let of_sites = patches.chunk_by(|a, b| a.patch.site() == b.patch.site());
    of_sites.map(<[&Assessment]>::to_vec).collect()
}

/// The site, and whether its occupier wants to be asked; in full, each patch says that itself.
fn site_cell(patches: &[&Assessment], detail: Detail) -> Cell {
    let asks = patches.iter().any(|patch| patch.is_open() && patch.ask_first);
    let ask = if asks && detail < Detail::Why { ": ask the occupier first" } else { "" };
    let site = patches.first().map(|patch| patch.patch.site().to_string()).unwrap_or_default();
    Cell::of(format!("{site}{ask}"))
}

fn limit(patch: &Assessment) -> Vec<String> {
    let most = patch.ruling.most.map_or("no limit".to_owned(), |most| patch.crop.show(most));
    let count = goes_by(&patch.crop, patch.ruling.most, patch.ruling.one_in);
    let day = patch.closing.map_or(String::new(), |closing| spoken_day(closing.day));
    vec![most, count, day]
}

/// What decides, and whom to ask. In short, an open patch's table says how much and until when;
/// the rule that decides has a name.
fn reason(patch: &Assessment, detail: Detail) -> String {
    let ruling = &patch.ruling;
    let binding = ruling.binding.map(|index| &ruling.ceilings[index]);
    let mut parts: Vec<String> = Vec::new();
    match (binding, detail) {
        (_, Detail::Short) => {}
        (None, _) => parts.push("no rule limits it".to_owned()),
        (Some(ceiling), Detail::All) if patch.is_open() => parts.push(ceiling.rule.to_owned()),
        (Some(ceiling), Detail::All) => {
            parts.push(first_clause(&because(&ceiling.reason)).to_owned())
        }
        (Some(ceiling), Detail::Why) => parts.push(because(&ceiling.reason)),
    }
    if let (Some(opening), Some(binding)) = (patch.opening, binding)
        && opening.waits_for != binding.rule
        && !opening.waits_for.is_empty()
    {
        parts.push(format!("then the {} opens it", opening.waits_for));
    }
    if ruling.verdict == Verdict::Resting
        && let Some(most) = binding.and_then(|ceiling| ceiling.most).filter(|most| *most > 0.0)
    {
        let useful = patch.crop.show(patch.crop.smallest_useful.value.value);
        parts.push(format!("{} is less than the useful {useful}", patch.crop.show(most)));
    }
    if patch.is_open() && patch.ask_first && detail == Detail::Why {
        parts.push("ask the occupier first".to_owned());
    }
    parts.extend(patch.distance.map(|distance| format!("{distance} away")));
    parts.join("; ")
}

/// Up to the first semicolon.
fn first_clause(reason: &str) -> &str {
    reason.split("; ").next().unwrap_or(reason)
}

fn opens(opening: Opening, answer: &WeekAnswer) -> String {
    let mut text = if opening.day <= answer.week.last_day() {
        format!("from {}", opening.day.strftime("%a %-d %b"))
    } else {
        spoken_day(opening.day)
    };
    let marks = [(opening.needs_survey, SURVEY_MARK), (opening.needs_permission, PERMISSION_MARK)];
    let marks: String = marks.iter().filter(|mark| mark.0).map(|mark| mark.1).collect();
    if !marks.is_empty() {
        text += &format!(" {marks}");
    }
    text
}

/// The shut patches of each site, a row a verdict.
fn shut_in_brief(answer: &WeekAnswer) -> Option<Section> {
    let shut: Vec<&Assessment> = answer.patches.iter().filter(|patch| !patch.is_open()).collect();
    let mut rows: Vec<Vec<Cell>> = Vec::new();
    for of_site in by_site(shut.iter().copied()) {
        rows.push(vec![site_cell(&of_site, Detail::Short)]);
        for alike in of_site.chunk_by(|a, b| a.ruling.verdict == b.ruling.verdict) {
            let patches: Vec<String> =
                alike.iter().map(|patch| shut_patch(patch, answer)).collect();
            let verdict = alike[0].ruling.verdict.name();
            rows.push([verdict.to_owned(), patches.join("; ")].map(Cell::of).to_vec());
        }
    }
    let caption = "Shut patches, and when they open".to_owned();
    let columns = vec![Column::name(""), Column::note("")];
    let heading =
        format!("{}: {}; `--all` tells why", Stress::Shut.on("shut"), counted(shut.len(), "patch"));
    let blocks = vec![Block::Table(Table { caption, columns, rows })];
    (!shut.is_empty()).then_some(Section { id: "shut", heading, blocks })
}

/// `Lane nettles from 18 Mar 2027`.
fn shut_patch(patch: &Assessment, answer: &WeekAnswer) -> String {
    let when = patch.opening.map_or(String::new(), |opening| match opens(opening, answer) {
        day if day.starts_with("from") => format!(" {day}"),
        day => format!(" from {day}"),
    });
    let when = when.replace(' ', UNBROKEN);
    let away = patch.distance.map_or(String::new(), |distance| format!(", {distance} away"));
    format!("{}{when}{away}", patch.patch.patch())
}

/// Of what the table of open patches does not say by itself.
fn totals(totals: &[CropTotal]) -> Option<Section> {
    let rows: Vec<Vec<Cell>> = totals
        .iter()
        .filter(|total| total.open_patches > 1)
        .map(|total| {
            let most = total.most.map_or("no limit".to_owned(), |most| total.crop.show(most));
            let from = format!("from {}", counted(total.open_patches, "patch"));
            [total.crop.name.to_string(), most, from].map(Cell::of).to_vec()
        })
        .collect();
    let columns = vec![Column::name(""), Column::amount(""), Column::words("")];
    let caption = "What the open patches of a crop allow together".to_owned();
    let blocks = vec![Block::Table(Table { caption, columns, rows: rows.clone() })];
    let heading = "Altogether, in one day".to_owned();
    (!rows.is_empty()).then_some(Section { id: "totals", heading, blocks })
}

/// Recovery tests whose second cut tells something in that week.
fn squares_to_cut(answer: &WeekAnswer) -> Option<Section> {
    let last = answer.week.last_day();
    let waiting = answer.patches.iter().filter_map(|patch| {
        let (_, when) = patch.test_waiting.filter(|(_, when)| when.first_day <= last)?;
        Some([patch.patch.to_string(), to_cut(when)].map(Cell::of).to_vec())
    });
    let rows: Vec<Vec<Cell>> = waiting.collect();
    let columns = vec![Column::name(""), Column::note("")];
    let caption = "Marked squares, and when to cut them again".to_owned();
    let blocks = vec![Block::Table(Table { caption, columns, rows: rows.clone() })];
    let heading = "Squares of recovery tests".to_owned();
    (!rows.is_empty()).then_some(Section { id: "squares", heading, blocks })
}

/// Why there is nothing to cut, in one sentence.
fn nothing_open(answer: &WeekAnswer) -> Option<Section> {
    let counts: Vec<String> = answer
        .verdict_counts()
        .into_iter()
        .map(|(verdict, count)| format!("{count} {}", verdict.name()))
        .collect();
    let next = match answer.next_opening() {
        Some((patch, opening)) => format!(
            "; the first that may open is {} on {}{}",
            patch.patch,
            spoken_day(opening.day),
            conditions(opening)
        ),
        None => "; none has a day on which that would change by itself".to_owned(),
    };
    let text = format!("Nothing can be cut: {}{next}.", counts.join(", "));
    answer.open().next().is_none().then(|| Section::said(text))
}

/// What the marks behind opening days mean, as far as they occur.
fn marks(answer: &WeekAnswer) -> Option<Section> {
    let occurs = |needs: fn(Opening) -> bool| {
        answer.patches.iter().filter_map(|patch| patch.opening).any(needs)
    };
    let survey = occurs(|opening| opening.needs_survey)
        .then(|| format!("{SURVEY_MARK} if it is surveyed by then"));
    let permission = occurs(|opening| opening.needs_permission)
        .then(|| format!("{PERMISSION_MARK} if there is a permission by then"));
    let marks: Vec<String> = survey.into_iter().chain(permission).collect();
    (!marks.is_empty()).then(|| Section::said(marks.join(", ")))
}
