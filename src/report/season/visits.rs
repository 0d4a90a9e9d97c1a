//! Each day on which something was cut, and how many came. Nobody is named.

use crate::assess::season_report::{SeasonReport, Visit};
use crate::report::page::{Block, Section};
use crate::units::{agreeing, counted, spoken_day};

/// Nothing where nothing was cut: page one says so.
pub(super) fn section(report: &SeasonReport) -> Option<Section> {
    let heading = "Visits and people".to_owned();
    let days = report.visits.iter().map(|visit| line(report, visit));
    let blocks = vec![Block::Columns(days.collect())];
    (!report.visits.is_empty()).then_some(Section { id: "visits", heading, blocks })
}

/// By number and how often, and never by name.
pub(super) fn who_came(report: &SeasonReport) -> Vec<String> {
    if report.visits.is_empty() {
        return vec!["No cut is recorded from these days.".to_owned()];
    }
    let sentences = [Some(each_time(report)), walks(report), beside_walks(report)];
    vec![sentences.into_iter().flatten().collect::<Vec<_>>().join(" ")]
}

fn each_time(report: &SeasonReport) -> String {
    let heads: Vec<u32> = report.visits.iter().filter_map(Visit::people).collect();
    let days = counted(report.visits.len(), "day");
    let came = match heads.iter().max() {
        None => "nobody wrote down how many people came".to_owned(),
        Some(_) if heads.len() == 1 => format!("{} came", people(heads[0], 0)),
        Some(largest) => {
            let sum = heads.iter().fold(0_u32, |sum, people| sum.saturating_add(*people));
            let mean = f64::from(sum) / heads.len() as f64;
            format!("some {mean:.0} people came each time, {largest} at most")
        }
    };
    let uncounted = report.visits.iter().filter(|visit| visit.uncounted).count();
    let missing = match uncounted {
        0 => String::new(),
        n => format!("; on {} a count is missing for some patch", counted(n, "day")),
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
        counted(walks.came.len(), "recorded walk"),
        people(walks.people(), walks.children())
    ))
}

/// `9 people, 2 of them children`.
fn people(people: u32, children: u32) -> String {
    let all = counted(people, "person");
    if children == 0 { all } else { format!("{all}, {}", some_children(children)) }
}

fn some_children(n: u32) -> String {
    format!("{n} of them {}", agreeing(n, "a child", "children"))
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

/// `17 Oct 2026, 8 people, 3 of them children: Mill hedge 640 g`.
fn line(report: &SeasonReport, visit: &Visit) -> String {
    let cuts = visit.cuts.iter().filter_map(|(number, amount)| {
        let patch = report.patches.iter().find(|patch| patch.number == *number)?;
        Some(format!("{} {}", patch.name(), patch.crop().show(*amount)))
    });
    let came = match visit.people() {
        Some(came) if visit.may_be_more() => format!("{} or more", people(came, visit.children())),
        Some(came) => people(came, visit.children()),
        None => "nobody counted".to_owned(),
    };
    format!("{}, {came}: {}", spoken_day(visit.day), cuts.collect::<Vec<_>>().join("; "))
}
