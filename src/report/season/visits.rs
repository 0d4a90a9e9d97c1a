//! Each day on which something was cut, and how many came. Nobody is named.

use super::words::number_of;
use crate::assess::season_report::{FigureId, OfSite, SeasonReport, Visit};
use crate::report::page::{Block, Cell, Column, Section, Table};
use crate::units::spoken_day;

pub(super) fn section(report: &SeasonReport) -> Section {
    let blocks = if report.visits.is_empty() {
        vec![Block::Paragraph("No cut is recorded from these days.".to_owned())]
    } else {
        vec![Block::Paragraph(summary(report)), Block::Table(table(report))]
    };
    Section { id: "visits", heading: "Visits and people".to_owned(), blocks }
}

fn summary(report: &SeasonReport) -> String {
    let sentences = [Some(each_time(report)), walks(report), beside_walks(report)];
    sentences.into_iter().flatten().collect::<Vec<_>>().join(" ")
}

fn each_time(report: &SeasonReport) -> String {
    let counted: Vec<u32> = report.visits.iter().filter_map(Visit::people).collect();
    let days = number_of(report.visits.len(), "day", "days");
    let came = match counted.iter().max() {
        None => "nobody wrote down how many people came".to_owned(),
        Some(_) if counted.len() == 1 => format!("{} came", people(counted[0], 0)),
        Some(largest) => {
            let sum = counted.iter().fold(0_u32, |sum, people| sum.saturating_add(*people));
            let mean = f64::from(sum) / counted.len() as f64;
            format!("some {mean:.0} people came each time, {largest} at most")
        }
    };
    let uncounted = report.visits.iter().filter(|visit| visit.uncounted).count();
    let missing = match uncounted {
        0 => String::new(),
        n => format!("; on {} a count is missing for some patch", number_of(n, "day", "days")),
    };
    format!("Something was cut on {days}; {came}{missing}.")
}

/// How many walks came, and never which.
fn walks(report: &SeasonReport) -> Option<String> {
    let walks = &report.walks;
    let several = match walks.came.len() {
        0 => return None,
        1 => "",
        _ => "; whoever came on two of them is counted twice",
    };
    Some(format!(
        "{} came on the site, with {}{several}.",
        number_of(walks.came.len(), "recorded walk", "recorded walks"),
        people(walks.people(), walks.children())
    ))
}

/// `9 people, 2 of them children`.
fn people(people: u32, children: u32) -> String {
    let all = number_of(people as usize, "person", "people");
    if children == 0 { all } else { format!("{all}, {}", some_children(children)) }
}

fn some_children(n: u32) -> String {
    if n == 1 { "1 of them a child".to_owned() } else { format!("{n} of them children") }
}

fn beside_walks(report: &SeasonReport) -> Option<String> {
    let beside = report.visits.iter().any(|visit| visit.beside_walks);
    let which = if report.walks.came.is_empty() {
        "The number of a day"
    } else {
        "Where no walk is recorded, the number of a day"
    };
    beside.then(|| {
        format!(
            "{which} is that of the largest party written down for one patch, since the same \
             people may have cut several."
        )
    })
}

fn table(report: &SeasonReport) -> Table {
    Table {
        caption: "Days with a cut".to_owned(),
        columns: vec![
            Column::words("Day"),
            Column::words("What was cut"),
            Column::figures("People"),
        ],
        rows: report.visits.iter().map(|visit| row(report, visit)).collect(),
    }
}

fn row(report: &SeasonReport, visit: &Visit) -> Vec<Cell> {
    let cuts = visit.cuts.iter().filter_map(|(number, amount)| {
        let patch = report.patches.iter().find(|patch| patch.number == *number)?;
        Some(format!("{} {}", patch.name(), patch.crop().show(*amount)))
    });
    let people = match visit.people() {
        Some(people) if visit.may_be_more() => format!("{people} or more"),
        Some(people) => people.to_string(),
        None => "not written down".to_owned(),
    };
    let children = match visit.children() {
        0 => String::new(),
        n => some_children(n),
    };
    vec![
        Cell::of(spoken_day(visit.day)),
        Cell::of(cuts.collect::<Vec<_>>().join("; ")),
        Cell::of(people).under(children).id(FigureId::Site(OfSite::People).to_string()),
    ]
}
