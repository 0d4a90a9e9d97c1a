//! A month's boxes as text for a terminal.

use super::counting::goes_by;
use super::layout::{hanging, left, paragraph, right, widest};
use crate::assess::{BoxPlan, BoxWant, BoxWeek, First, PlannedStop};
use crate::units::spoken_day;

const AMOUNT: usize = 8;
const COUNT: usize = 9;
const GAPS: usize = 7;

/// What comes from where in each week, and what is short, at most `width` cells wide, but for
/// the cautions. `count` is how many boxes there are.
pub fn box_plan_table(plan: &BoxPlan, count: u32, width: usize) -> String {
    let mut text = paragraph(&heading(plan, count), width, "");
    let columns = Columns::fitting(plan, width);
    text.extend(plan.weeks.iter().map(|week| columns.week(week)));
    text += "\nALTOGETHER\n";
    text.extend(
        plan.wants.iter().map(|want| hanging(&altogether(plan, want), width, "  ", "    ")),
    );
    text
}

fn heading(plan: &BoxPlan, count: u32) -> String {
    let wanted: Vec<String> =
        plan.wants.iter().map(|want| format!("{} of {}", want.wanted, want.each.what)).collect();
    let boxes = if count == 1 { "1 box" } else { &format!("{count} boxes") };
    let weeks =
        if plan.weeks.len() == 1 { "1 week" } else { &format!("{} weeks", plan.weeks.len()) };
    format!("{boxes} over {weeks}: {}.", wanted.join(", "))
}

struct Columns {
    width: usize,
    patch: usize,
    crop: usize,
}

impl Columns {
    fn fitting(plan: &BoxPlan, width: usize) -> Self {
        let stops = || plan.weeks.iter().flat_map(|week| &week.plan.stops);
        let names: Vec<String> = stops().map(|stop| stop.found.patch.to_string()).collect();
        let for_names = width.saturating_sub(2 * AMOUNT + COUNT + GAPS);
        let crops = stops().map(|stop| &*stop.found.crop.name);
        let crop = widest(crops, 4, (for_names / 2).clamp(4, 20));
        let most = for_names.saturating_sub(crop).max(12);
        Self { width, crop, patch: widest(names.iter().map(String::as_str), 5, most) }
    }

    fn week(&self, week: &BoxWeek) -> String {
        let day = week.plan.day;
        let mut text = format!("\n{}, {} {}\n", week.week, day.strftime("%a"), spoken_day(day));
        if week.plan.stops.is_empty() {
            return text + "  nothing is gathered\n";
        }
        text += &self.row(["patch", "crop", "take", "of", "count"]);
        text.extend(week.plan.stops.iter().map(|stop| self.stop(stop)));
        text
    }

    fn stop(&self, stop: &PlannedStop) -> String {
        let found = &stop.found;
        let show = |amount| found.crop.show(amount);
        let most = found.ruling.most.map_or("any".to_owned(), show);
        let count = goes_by(&found.crop, Some(stop.quota), found.one_in_for(stop.quota));
        let line = self.row([
            &found.patch.to_string(),
            &found.crop.name,
            &show(stop.quota),
            &most,
            &count,
        ]);
        let ask = if found.ask_first { "; ask the occupier first" } else { "" };
        line + &paragraph(&format!("{}{ask}", found.why()), self.width, "      ")
    }

    fn row(&self, [patch, crop, take, most, count]: [&str; 5]) -> String {
        let line = format!(
            "  {} {} {} {}  {}",
            left(patch, self.patch),
            left(crop, self.crop),
            right(take, AMOUNT),
            right(most, AMOUNT),
            left(count, COUNT)
        );
        line.trim_end().to_owned() + "\n"
    }
}

fn altogether(plan: &BoxPlan, want: &BoxWant) -> String {
    let BoxWant { each, wanted, got, shortage } = want;
    match shortage {
        None => format!("{}: {got} of {wanted}", each.what),
        Some(shortage) if shortage.first == First::NoPatch && is_left_out(plan, want) => {
            format!("{}: {got} of {wanted}; what would serve is left out of every box", each.what)
        }
        Some(shortage) => {
            format!("{}: {got} of {wanted}. In the last week, {}", each.what, shortage.sentence())
        }
    }
}

/// Whether a crop that would serve is in no box.
fn is_left_out(plan: &BoxPlan, want: &BoxWant) -> bool {
    let what = &want.each.what;
    plan.left_out.iter().any(|it| it.crop.kitchen_role == *what || it.crop.name == *what)
}
