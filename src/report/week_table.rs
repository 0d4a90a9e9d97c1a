//! The week's answer as text for a terminal.

use unicode_width::UnicodeWidthStr;

use super::counting::goes_by;
use super::layout::{hanging, left, paragraph, right, widest};
use crate::assess::{Assessment, CropTotal, Opening, WeekAnswer};
use crate::rules::Verdict;
use crate::units::spoken_day;

/// From this width on, the reason stands on the patch's own line.
const WIDE: usize = 130;
const AMOUNT: usize = 8;
const COUNT: usize = 9;
const DAY: usize = 11;
/// `from Wed 17 Mar *†`.
const OPENING: usize = 18;
const SURVEY_MARK: &str = "*";
const PERMISSION_MARK: &str = "†";

/// How much of a reason the week tells.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Reasons {
    /// What decides, in a few words.
    Short,
    /// All that the rule says.
    Full,
}

/// The whole answer, at most `width` cells wide; of a week without patches, the heading.
pub fn week_table(answer: &WeekAnswer, reasons: Reasons, width: usize) -> String {
    let mut text = heading(answer, width);
    if answer.patches.is_empty() {
        return text;
    }
    let columns = Columns::fitting(answer, reasons, width);
    for (verdict, count) in answer.verdict_counts() {
        text += &format!("\n{}\n", section_title(verdict, count));
        text += &columns.header(verdict);
        let patches = answer.patches.iter().filter(|patch| patch.ruling.verdict == verdict);
        let mut patches: Vec<&Assessment> = patches.collect();
        // What opens first stays first on its site.
        patches.sort_by(|a, b| a.patch.site().cmp(b.patch.site()));
        for of_site in patches.chunk_by(|a, b| a.patch.site() == b.patch.site()) {
            text += &site_line(of_site, reasons, width);
            text.extend(of_site.iter().map(|patch| columns.patch(patch, answer)));
        }
    }
    text += &marks(answer);
    if answer.totals.is_empty() {
        text += &nothing_open(answer, width);
    } else {
        text += &totals(&answer.totals, width);
    }
    text
}

fn heading(answer: &WeekAnswer, width: usize) -> String {
    let (first, last) = (answer.week.first_day(), answer.week.last_day());
    let text = format!(
        "Week {}, {} to {}; as things stand on {} {}",
        answer.week,
        first.strftime("%-d %b"),
        spoken_day(last),
        answer.on.strftime("%a"),
        spoken_day(answer.on),
    );
    paragraph(&text, width, "")
}

fn section_title(verdict: Verdict, count: usize) -> String {
    let patches = if count == 1 { "patch" } else { "patches" };
    format!("{}: {count} {patches}", verdict.name().to_uppercase())
}

/// The site, and whether its occupier wants to be asked; in full, each patch says that itself.
fn site_line(patches: &[&Assessment], reasons: Reasons, width: usize) -> String {
    let asks = patches.iter().any(|patch| patch.is_open() && patch.ask_first);
    let ask = if asks && reasons == Reasons::Short { ": ask the occupier first" } else { "" };
    let site = patches.first().map(|patch| patch.patch.site().to_string()).unwrap_or_default();
    paragraph(&format!("{site}{ask}"), width, " ")
}

/// Where each column stands.
struct Columns {
    width: usize,
    patch: usize,
    crop: usize,
    reasons: Reasons,
}

impl Columns {
    fn fitting(answer: &WeekAnswer, reasons: Reasons, width: usize) -> Self {
        let crops = answer.patches.iter().map(|patch| &*patch.crop.name);
        let gaps = 7;
        let for_names = width.saturating_sub(AMOUNT + COUNT + DAY + gaps);
        let crop = widest(crops, 4, (for_names / 2).clamp(4, 20));
        let left_over = for_names.saturating_sub(crop);
        let most = if width < WIDE { left_over } else { 32 };
        let names = answer.patches.iter().map(|patch| patch.patch.patch());
        Self { width, patch: widest(names, 5, most.max(12)), crop, reasons }
    }

    fn header(&self, verdict: Verdict) -> String {
        let cells = match verdict {
            Verdict::Open => ["at most", "count", "last day"],
            _ => ["", "", "opens"],
        };
        self.row(verdict, "patch", "crop", cells, if self.is_wide() { "why" } else { "" })
    }

    fn patch(&self, patch: &Assessment, answer: &WeekAnswer) -> String {
        let verdict = patch.ruling.verdict;
        let most = patch.ruling.most.map_or("no limit".to_owned(), |most| patch.crop.show(most));
        let count = goes_by(&patch.crop, patch.ruling.most, patch.ruling.one_in);
        let day = match verdict {
            Verdict::Open => patch.closing.map_or(String::new(), |closing| spoken_day(closing.day)),
            _ => patch.opening.map_or(String::new(), |opening| opens(opening, answer)),
        };
        let name = patch.patch.patch();
        let reason = reason(patch, self.reasons);
        if self.is_wide() {
            return self.row(verdict, name, &patch.crop.name, [&most, &count, &day], &reason);
        }
        let cells = [&*most, &*count, &*day];
        let bare = self.row(verdict, name, &patch.crop.name, cells, "");
        let used = bare.lines().last().map_or(0, UnicodeWidthStr::width);
        match &*reason {
            "" => bare,
            reason if used + 2 + reason.width() <= self.width => {
                format!("{}  {reason}\n", bare.trim_end())
            }
            // What is open says how much and until when; `--why` says what decides.
            _ if patch.is_open() && self.reasons == Reasons::Short => bare,
            reason => bare + &paragraph(reason, self.width, "      "),
        }
    }

    fn is_wide(&self) -> bool {
        self.width >= WIDE
    }

    /// A name that is wider than its column stands whole on a line of its own.
    fn row(
        &self,
        verdict: Verdict,
        patch: &str,
        crop: &str,
        [most, count, day]: [&str; 3],
        reason: &str,
    ) -> String {
        let (above, patch) = if patch.width() > self.patch {
            (hanging(patch, self.width, "  ", "    "), "")
        } else {
            (String::new(), patch)
        };
        let mut line = format!("  {} {} ", left(patch, self.patch), left(crop, self.crop));
        if verdict == Verdict::Open {
            line += &format!("{}  {} {}", right(most, AMOUNT), left(count, COUNT), left(day, DAY));
        } else {
            line += &left(day, OPENING);
        }
        if reason.is_empty() {
            return above + line.trim_end() + "\n";
        }
        line.push(' ');
        let indent = " ".repeat(line.width());
        above + &hanging(reason, self.width, &line, &indent)
    }
}

/// The binding reason, and whom to ask. In short, that a count or a weight is what the table
/// says needs no words; the rule that decides has a name.
fn reason(patch: &Assessment, reasons: Reasons) -> String {
    let ruling = &patch.ruling;
    let binding = ruling.binding.map(|index| &ruling.ceilings[index]);
    let mut reason = match (binding, reasons) {
        (None, _) => "no rule limits it".to_owned(),
        (Some(ceiling), Reasons::Short) if patch.is_open() => ceiling.rule.to_owned(),
        (Some(ceiling), Reasons::Short) => first_clause(&ceiling.reason).to_owned(),
        (Some(ceiling), Reasons::Full) => ceiling.reason.to_string(),
    };
    if let (Some(opening), Some(binding)) = (patch.opening, binding)
        && opening.waits_for != binding.rule
        && !opening.waits_for.is_empty()
    {
        reason += &format!("; then the {} opens it", opening.waits_for);
    }
    if ruling.verdict == Verdict::Resting
        && let Some(most) = binding.and_then(|ceiling| ceiling.most).filter(|most| *most > 0.0)
    {
        let useful = patch.crop.show(patch.crop.smallest_useful.value.value);
        reason += &format!("; {} is less than the useful {useful}", patch.crop.show(most));
    }
    if patch.is_open() && patch.ask_first && reasons == Reasons::Full {
        reason += "; ask the occupier first";
    }
    if let Some(distance) = patch.distance {
        reason += &format!("; {distance} away");
    }
    reason
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

fn totals(totals: &[CropTotal], width: usize) -> String {
    let crops = widest(totals.iter().map(|total| &*total.crop.name), 4, 24);
    let mut text = "\nALTOGETHER, in one day\n".to_owned();
    for total in totals {
        let most = total.most.map_or("no limit".to_owned(), |most| total.crop.show(most));
        let patches = if total.open_patches == 1 { "patch" } else { "patches" };
        let line = format!(
            "  {} {}  from {} {patches}",
            left(&total.crop.name, crops),
            right(&most, 12),
            total.open_patches
        );
        text += &paragraph(&line, width, "");
    }
    text
}

/// Why there is nothing to cut, in one sentence.
fn nothing_open(answer: &WeekAnswer, width: usize) -> String {
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
            opening.conditions()
        ),
        None => "; none has a day on which that would change by itself".to_owned(),
    };
    let text = format!("Nothing can be cut: {}{next}.", counts.join(", "));
    format!("\n{}", paragraph(&text, width, ""))
}

/// What the marks behind opening days mean, as far as they occur.
fn marks(answer: &WeekAnswer) -> String {
    let occurs = |needs: fn(Opening) -> bool| {
        answer.patches.iter().filter_map(|patch| patch.opening).any(needs)
    };
    let mut text = String::new();
    if occurs(|opening| opening.needs_survey) {
        text += &format!("{SURVEY_MARK} if it is surveyed by then\n");
    }
    if occurs(|opening| opening.needs_permission) {
        text += &format!("{PERMISSION_MARK} if there is a permission by then\n");
    }
    if text.is_empty() { text } else { format!("\n{text}") }
}
