//! A plan of an outing as text for a terminal.

use super::counting::goes_by;
use super::layout::{hanging, left, paragraph, right, widest};
use super::plan_gap::gap_sentence;
use crate::assess::{PlannedStop, WalkPlan, WantMet};
use crate::units::{Amount, percent, spoken_day};

const NUMBER: usize = 3;
const AMOUNT: usize = 8;
const COUNT: usize = 9;
const LEG: usize = 7;
const GAPS: usize = 8;

/// The whole plan, at most `width` cells wide, but for the cautions.
pub fn walk_plan_table(plan: &WalkPlan, width: usize) -> String {
    let mut text = paragraph(&heading(plan), width, "");
    if !plan.stops.is_empty() {
        let columns = Columns::fitting(plan, width);
        text += &format!("\n{}", columns.header());
        let stops = plan.stops.iter().enumerate();
        text.extend(stops.map(|(n, stop)| columns.stop(n + 1, stop)));
    }
    if !plan.wants.is_empty() {
        text += "\nWANTED\n";
        text.extend(plan.wants.iter().map(|want| want_line(want, width)));
    }
    text + &left_out(plan, width)
}

fn heading(plan: &WalkPlan) -> String {
    let day = format!("{} {}", plan.day.strftime("%a"), spoken_day(plan.day));
    let people = if plan.people == 1 { "1 person" } else { &format!("{} people", plan.people) };
    if plan.stops.is_empty() {
        let why = plan.why_shut.as_ref().map(|why| format!(": {why}")).unwrap_or_default();
        return format!("{day}, {people}: nothing can be taken{why}.");
    }
    let patches =
        if plan.stops.len() == 1 { "1 patch" } else { &format!("{} patches", plan.stops.len()) };
    let start = if plan.start.is_some() { "" } else { " from the first" };
    format!(
        "{day}, {people}: {patches}, {}{start} in a straight line from one to the next; at most {} of \
         what any of them allows. {}",
        plan.length,
        percent(plan.highest_share),
        gap_sentence(&plan.gap)
    )
}

struct Columns {
    width: usize,
    patch: usize,
    crop: usize,
}

impl Columns {
    fn fitting(plan: &WalkPlan, width: usize) -> Self {
        let names: Vec<String> =
            plan.stops.iter().map(|stop| stop.found.patch.to_string()).collect();
        let crops = plan.stops.iter().map(|stop| &*stop.found.crop.name);
        let for_names = width.saturating_sub(NUMBER + 2 * AMOUNT + COUNT + LEG + GAPS);
        let crop = widest(crops, 4, (for_names / 2).clamp(4, 20));
        let most = for_names.saturating_sub(crop).max(12);
        Self { width, crop, patch: widest(names.iter().map(String::as_str), 5, most) }
    }

    fn header(&self) -> String {
        self.row(["", "patch", "crop", "take", "of", "count", "walk"])
    }

    fn stop(&self, number: usize, stop: &PlannedStop) -> String {
        let found = &stop.found;
        let show = |amount| found.crop.show(amount);
        let (take, most) = (show(stop.quota), found.ruling.most.map_or("any".to_owned(), show));
        let count = goes_by(&found.crop, Some(stop.quota), found.one_in_for(stop.quota));
        let name = found.patch.to_string();
        let (number, leg) = (number.to_string(), stop.leg.to_string());
        let mut reason = found.why();
        if let Some(off) = stop.off_route {
            reason += &format!("; {off} off the route");
        }
        if found.ask_first {
            reason += "; ask the occupier first";
        }
        self.row([&number, &name, &found.crop.name, &take, &most, &count, &leg])
            + &paragraph(&reason, self.width, "      ")
    }

    fn row(&self, [number, patch, crop, take, most, count, leg]: [&str; 7]) -> String {
        let line = format!(
            "{} {} {} {} {}  {} {}",
            right(number, NUMBER),
            left(patch, self.patch),
            left(crop, self.crop),
            right(take, AMOUNT),
            right(most, AMOUNT),
            left(count, COUNT),
            right(leg, LEG)
        );
        line.trim_end().to_owned() + "\n"
    }
}

fn want_line(want: &WantMet, width: usize) -> String {
    let amount = want.want.amount;
    let got = Amount { value: want.got, ..amount };
    let from = match want.crops.as_slice() {
        [only] if **only == *want.want.what => String::new(),
        [] => String::new(),
        crops => format!(", {}", crops.join(" and ")),
    };
    let text = match &want.shortage {
        None => format!("{}: {got}{from}", want.want.what),
        Some(shortage) if want.got > 0.0 => {
            format!("{}. There is {got}{from}", shortage.sentence())
        }
        Some(shortage) => shortage.sentence(),
    };
    hanging(&text, width, "  ", "    ")
}

fn left_out(plan: &WalkPlan, width: usize) -> String {
    let mut text = String::new();
    let too_far: Vec<String> = plan.too_far.iter().map(ToString::to_string).collect();
    if !too_far.is_empty() {
        let patches = counted_patches(too_far.len());
        let said = format!("Too far from the start: {patches} ({}).", too_far.join(", "));
        text += &format!("\n{}", paragraph(&said, width, ""));
    }
    let unlimited: Vec<String> = plan.without_limit.iter().map(ToString::to_string).collect();
    if !unlimited.is_empty() {
        let said = format!(
            "Without an upper limit, to be asked for with --want: {}.",
            unlimited.join(", ")
        );
        text += &format!("\n{}", paragraph(&said, width, ""));
    }
    text
}

fn counted_patches(n: usize) -> String {
    if n == 1 { "1 patch".to_owned() } else { format!("{n} patches") }
}
