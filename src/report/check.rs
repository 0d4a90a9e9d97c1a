//! One patch in full, as text for a terminal.

use jiff::civil::Date;

use super::comeback::{how_fast, how_fast_in_short};
use super::counting::{goes_by, goes_by_sentence};
use super::evidence::{decline_sentence, how_sure, in_short, trend};
use super::fall::why_it_fell;
use super::found_growing::before_all;
use super::layout::{hanging, hanging_with_links, left, paragraph, right, widest};
use super::stress::Stress;
use crate::assess::{Assessment, Evidence, PatchAdvice, WhySurvey};
use crate::regrowth::{Share, State};
use crate::rules::{Verdict, how_much_is_there};
use crate::units::{counted, percent, spoken_day};

const LABEL: usize = 15;

/// Everything but the lists of assumptions, records and cautions, which the caller adds; at
/// most `width` cells wide.
pub fn check(patch: &Assessment, evidence: &Evidence, width: usize) -> String {
    [
        before_all(patch, width),
        title(patch, width),
        verdict(patch, evidence, width),
        state(patch, evidence, width),
        how_sure(patch, evidence, width),
        how_fast(patch, &evidence.comeback, width),
        trend(patch, evidence, width),
        rules(patch, width),
        reductions(patch, width),
    ]
    .concat()
}

/// What a person in the field asks, within a screen of 24 lines at 80 cells: the verdict first,
/// then what kills, then how it stands and what else was asked. `dangers` are lines that the
/// caller words.
pub fn check_in_short(
    patch: &Assessment,
    evidence: &Evidence,
    dangers: &str,
    width: usize,
) -> String {
    let mut rows: Vec<(&str, String)> = Vec::new();
    if let (Some(state), Some(share)) = (&patch.state, &patch.share) {
        let (low, high) = state.eight_in_ten();
        let show = |amount| patch.crop.show(amount);
        let stands =
            format!("{}; eight in ten: {} to {}", show(state.standing), show(low), show(high));
        rows.push(("standing crop", stands));
        rows.push(("share", share_row(patch, state, share)));
    }
    rows.extend(fell(patch, evidence));
    rows.extend(evidence.sureness.iter().map(|sureness| ("how sure", in_short(patch, sureness))));
    rows.extend(how_fast_in_short(patch, &evidence.comeback).map(|said| ("recovery", said)));
    rows.push(("trend", evidence.trend.name().to_owned()));
    rows.extend(other_limits(patch).map(|others| ("beside it", others)));
    let site = patch.site_cautions.iter().map(|said| ("the site", said.to_string()));
    rows.extend(site);
    let rows = section("HOW IT STANDS", rows, width);
    let hint = paragraph("`--full` shows every rule, record and source.", width, "");
    let [found, title] = [before_all(patch, width), title(patch, width)];
    format!("{found}{title}{}\n{dangers}{rows}\n{hint}", verdict(patch, evidence, width))
}

/// The limits that come next, the lowest first: how much room they left.
fn other_limits(patch: &Assessment) -> Option<String> {
    const SHOWN: usize = 3;
    let ruling = &patch.ruling;
    let others = ruling.ceilings.iter().enumerate().filter(|(n, _)| ruling.binding != Some(*n));
    let mut others: Vec<(f64, &str)> =
        others.filter_map(|(_, ceiling)| Some((ceiling.most?, ceiling.rule))).collect();
    others.sort_by(|a, b| a.0.total_cmp(&b.0));
    let told: Vec<String> = others
        .iter()
        .take(SHOWN)
        .map(|(most, rule)| format!("{rule} {}", patch.crop.show(*most)))
        .collect();
    (!told.is_empty()).then(|| told.join("; "))
}

fn fell(patch: &Assessment, evidence: &Evidence) -> Option<(&'static str, String)> {
    evidence.fall.as_ref().map(|fall| ("it fell", why_it_fell(patch, fall)))
}

fn share_row(patch: &Assessment, state: &State, share: &Share) -> String {
    let back = (share.left / state.largest_share(&patch.terms)).max(0.0);
    format!(
        "{:.1} % of what stands may go now; {}",
        100.0 * share.fraction(),
        how_much_is_there(back, state.was_cut())
    )
}

fn title(patch: &Assessment, width: usize) -> String {
    let crop = &patch.crop;
    let text = format!(
        "{}, {}: {} ({})",
        patch.patch,
        patch.id.short(),
        crop.common_name,
        crop.scientific_name
    );
    paragraph(&text, width, "") + &format!("on {}\n\n", spoken_day(patch.day))
}

fn verdict(patch: &Assessment, evidence: &Evidence, width: usize) -> String {
    let ruling = &patch.ruling;
    let binding = ruling.binding.map(|index| &ruling.ceilings[index]);
    let because = binding.map_or(String::new(), |ceiling| {
        let reason = ceiling.reason.trim_end_matches('.');
        format!(" {} decides: {reason}.", upper_first(ceiling.rule))
    });
    let answer = match ruling.verdict {
        Verdict::Open => open_sentence(patch),
        shut => {
            let verdict = Stress::Shut.on(&shut.name().to_uppercase());
            format!("{verdict}: nothing may be cut.")
        }
    };
    let next = patch.opening.map_or(String::new(), |opening| {
        let other = binding.is_none_or(|ceiling| ceiling.rule != opening.waits_for);
        let waits = match opening.waits_for {
            rule if other && !rule.is_empty() => format!(", when the {rule} lets it"),
            _ => String::new(),
        };
        format!(" It opens on {}{waits}{}.", spoken_day(opening.day), opening.conditions())
    });
    let ask =
        if patch.ask_first { " The occupier wants to be asked before each visit." } else { "" };
    let declines = decline_sentence(evidence);
    paragraph(&format!("{answer}{because}{next}{declines}{ask}"), width, "")
}

fn open_sentence(patch: &Assessment) -> String {
    let most = match patch.ruling.most {
        Some(most) => format!("at most {}", Stress::Strong.on(&patch.crop.show(most))),
        None => "no upper limit".to_owned(),
    };
    let count = goes_by_sentence(patch);
    let until = match patch.closing {
        Some(closing) => format!("; until {} ({})", spoken_day(closing.day), closing.rule),
        None => String::new(),
    };
    format!("{}: {most}{count}{until}.", Stress::Open.on("OPEN"))
}

fn state(patch: &Assessment, evidence: &Evidence, width: usize) -> String {
    let mut rows = Vec::new();
    if let (Some(state), Some(share)) = (&patch.state, &patch.share) {
        rows.extend(crop_rows(patch, evidence, state, share));
    }
    rows.push(("ground", ground(patch)));
    section("HOW IT STANDS", rows, width)
}

fn crop_rows(
    patch: &Assessment,
    evidence: &Evidence,
    state: &State,
    share: &Share,
) -> Vec<(&'static str, String)> {
    let show = |amount| patch.crop.show(amount);
    let (low, high) = state.eight_in_ten();
    let survey = &state.last_survey;
    let full = state.full_once();
    let of_full = if full > 0.0 { state.standing / full } else { 0.0 };
    let since = if state.full < full { ", on the ground that it once covered" } else { "" };
    let mut rows = vec![
        (
            "standing crop",
            format!("{}; eight in ten: {} to {}", show(state.standing), show(low), show(high)),
        ),
        (
            "full crop",
            format!(
                "{}{since}, so it stands at {}; the mean of {} survey{}",
                show(full),
                percent(of_full),
                survey.count,
                if survey.count == 1 { "" } else { "s" }
            ),
        ),
        ("share", share_row(patch, state, share)),
    ];
    rows.extend(fell(patch, evidence));
    if let Some(advice) = &evidence.survey {
        rows.push(("a survey", what_a_survey_adds(advice, patch.day)));
    }
    rows
}

/// The figures of `survey advise`.
fn what_a_survey_adds(advice: &PatchAdvice, on: Date) -> String {
    let why = match advice.why {
        WhySurvey::Doubt { costs } => format!("doubt costs {} of the limit", percent(costs)),
        WhySurvey::Lapsed(last) => format!("the last one was believed until {}", spoken_day(last)),
        WhySurvey::Lapses(last) => format!("the last one is believed until {}", spoken_day(last)),
        WhySurvey::Never { .. } | WhySurvey::Untested { .. } => String::new(),
    };
    let day = match advice.day == on {
        true => "today's limit".to_owned(),
        false => format!("the limit of {}", spoken_day(advice.day)),
    };
    let adds = advice.at_stake.map_or(String::new(), |adds| {
        let quadrats = counted(advice.quadrats as u32, "quadrat");
        format!("; one with {quadrats} would add some {} to {day}", advice.crop.show(adds))
    });
    why + &adds
}

fn ground(patch: &Assessment) -> String {
    let ground = &patch.ground;
    if let Some(plants) = ground.plants {
        return format!("{plants} plants that may be harvested");
    }
    let mut text = format!("{} may be harvested", ground.harvestable);
    if ground.harvestable < ground.footprint {
        text += &format!(" of {}", ground.footprint);
    }
    for (zone, area) in &ground.lost_to {
        text += &format!("; {area} in no-take ground `{zone}`");
    }
    if ground.outside_site.0 > 0.0 {
        text += &format!("; {} outside the site", ground.outside_site);
    }
    text
}

fn rules(patch: &Assessment, width: usize) -> String {
    let ruling = &patch.ruling;
    let rules = widest(ruling.ceilings.iter().map(|ceiling| ceiling.rule), 4, 20);
    let mosts: Vec<String> = ruling
        .ceilings
        .iter()
        .map(|ceiling| ceiling.most.map_or("–".to_owned(), |most| patch.crop.show(most)))
        .collect();
    let amounts = widest(mosts.iter().map(String::as_str), 7, 14);
    let title = "WHAT EACH RULE ALLOWS (– for no limit; the arrow marks the one that decides)";
    let mut text = format!("\n{}", paragraph(title, width, ""));
    for (index, (ceiling, most)) in ruling.ceilings.iter().zip(&mosts).enumerate() {
        let mark = if ruling.binding == Some(index) { "→" } else { " " };
        let count = ceiling
            .count
            .map(|count| format!("{}; ", goes_by(&patch.crop, ceiling.most, count.one_in())));
        let count = count.filter(|count| !ceiling.reason.starts_with(count.trim_end_matches("; ")));
        let count = count.unwrap_or_default();
        let lead = format!("{mark} {} {}  ", left(ceiling.rule, rules), right(most, amounts));
        let indent = " ".repeat(rules + amounts + 5);
        text += &hanging(&format!("{count}{}", ceiling.reason), width, &lead, &indent);
    }
    text
}

fn reductions(patch: &Assessment, width: usize) -> String {
    if patch.reductions.is_empty() {
        return String::new();
    }
    let rows = patch
        .reductions
        .iter()
        .map(|found| (found.name, format!("×{:.2}: {}", found.factor, found.reason)))
        .collect();
    section("WHAT MAKES THE SHARE SMALLER", rows, width)
}

pub(super) fn section<L: AsRef<str>>(title: &str, rows: Vec<(L, String)>, width: usize) -> String {
    let indent = " ".repeat(LABEL + 3);
    let mut text = format!("\n{title}\n");
    for (label, row) in rows {
        text += &hanging(&row, width, &format!("  {} ", left(label.as_ref(), LABEL)), &indent);
    }
    text
}

/// A titled list; nothing for an empty one. A link, or the number of a paper, stays whole.
pub fn list<'a>(title: &str, items: impl Iterator<Item = &'a str>, width: usize) -> String {
    let items: String = items.map(|item| hanging_with_links(item, width, "  - ", "    ")).collect();
    if items.is_empty() { items } else { format!("\n{title}\n{items}") }
}

fn upper_first(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or(String::new(), |first| first.to_uppercase().chain(chars).collect())
}
