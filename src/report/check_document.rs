//! One patch in words: a screen of it, or all.

use super::opening::conditions;
use jiff::civil::Date;

use super::cautions;
use super::comeback::{how_fast, how_fast_in_short};
use super::counting::{goes_by, goes_by_sentence};
use super::evidence::{decline_sentence, how_sure, in_short, trend, trend_name};
use super::fall::why_it_fell;
use super::found_growing::before_all;
use super::full_season::full_season;
use super::granted::all_granted;
use super::page::{Block, Cell, Column, Document, Fact, Section, Table};
use super::reasons::{because, decides, how_much_in_short, how_much_is_there, shrinks};
use super::stress::Stress;
use crate::assess::{Assessment, Evidence, Granted, PatchAdvice, WhySurvey};
use crate::regrowth::{Share, State};
use crate::rules::{Ceiling, Verdict};
use crate::units::{counted, percent, spoken_day};

/// Everything there is to say. `records` is what was last seen or done there, a sentence
/// each.
pub fn check_document(
    patch: &Assessment,
    evidence: &Evidence,
    granted: &[Granted],
    records: Vec<String>,
) -> Document {
    let before_picking = cautions::full(&patch.crop, patch.site_cautions.as_deref());
    let sections = [
        before_all(patch),
        Some(Section::said(verdict(patch, evidence))),
        cautions::fatal_section(&patch.crop),
        Some(Section::facts("stands", HOW_IT_STANDS, state(patch, evidence))),
        how_sure(patch, evidence),
        how_fast(patch, &evidence.comeback),
        Some(trend(patch, evidence)),
        Some(rules(patch)),
        reductions(patch),
        Section::list("granted", "Taken for granted", all_granted(granted)),
        Section::list("records", "Latest records", records),
        Section::list("cautions", "Before anyone picks", before_picking),
    ];
    document(patch, sections.into_iter().flatten().collect())
}

const HOW_IT_STANDS: &str = "How it stands";

/// What a person in the field asks, within a screen of 24 lines from 60 cells on, but for what
/// kills: the verdict first, then what kills, then how it stands and what else was asked.
pub fn check_document_in_short(patch: &Assessment, evidence: &Evidence) -> Document {
    let mut facts = Vec::new();
    if let (Some(state), Some(share)) = (&patch.state, &patch.share) {
        facts.push(Fact::of("standing crop", standing_in_short(patch, state)));
        facts.push(Fact::of("share", share_in_short(patch, state, share)));
    }
    facts.extend(fell(patch, evidence));
    let sureness = evidence.sureness.iter();
    facts.extend(sureness.map(|sureness| Fact::of("how sure", in_short(patch, sureness))));
    let speed = how_fast_in_short(patch, &evidence.comeback);
    facts.extend(speed.map(|said| Fact::of("recovery", said)));
    let trend = Some(trend_name(&evidence.trend)).filter(|_| evidence.trend.is_known());
    facts.extend(trend.map(|trend| Fact::of("trend", trend.to_owned())));
    facts.extend(other_limits(patch).map(|others| Fact::of("beside it", others)));
    facts.extend(patch.site_cautions.iter().map(|said| Fact::of("the site", said.to_string())));
    let sections = [
        before_all(patch),
        Some(Section::said(verdict(patch, evidence))),
        Some(cautions::section_for(&patch.crop)),
        Some(Section::facts("stands", IN_SHORT, facts)),
    ];
    let title = format!("{} on {}: {}", patch.patch, spoken_day(patch.day), patch.crop.common_name);
    let sections = sections.into_iter().flatten().collect();
    Document { title, kind: "Patch", lead: String::new(), sections, foot: Vec::new() }
}

const IN_SHORT: &str = "How it stands (--full: every rule, record and source)";

fn document(patch: &Assessment, sections: Vec<Section>) -> Document {
    let (id, crop) = (patch.id.short(), &patch.crop);
    let (common, scientific) = (&crop.common_name, &crop.scientific_name);
    Document {
        title: format!("{}, {id}: {common} ({scientific})", patch.patch),
        kind: "Patch",
        lead: format!("on {}", spoken_day(patch.day)),
        sections,
        foot: Vec::new(),
    }
}

/// The limits that come next, the lowest first: how much room they left.
fn other_limits(patch: &Assessment) -> Option<String> {
    const SHOWN: usize = 2;
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

fn fell(patch: &Assessment, evidence: &Evidence) -> Option<Fact> {
    evidence.fall.as_ref().map(|fall| Fact::of("it fell", why_it_fell(patch, fall)))
}

fn standing(patch: &Assessment, state: &State) -> String {
    stands_of(patch, state, "")
}

/// Of a crop with a season beside what a full stand comes to by now.
fn standing_in_short(patch: &Assessment, state: &State) -> String {
    let season = patch.terms.season;
    let full = season.map(|_| format!(" of a full {}", patch.crop.show(state.full_once())));
    stands_of(patch, state, &full.unwrap_or_default())
}

fn stands_of(patch: &Assessment, state: &State, full: &str) -> String {
    let (low, high) = state.eight_in_ten();
    let show = |amount| patch.crop.show(amount);
    let ripe = state.ripe(&patch.terms).map_or(String::new(), |told| {
        format!("; {} of that ripe, as seen on {}", percent(told.part), spoken_day(told.day))
    });
    format!("{}{full}; eight in ten: {} to {}{ripe}", show(state.standing), show(low), show(high))
}

fn share_row(patch: &Assessment, state: &State, share: &Share) -> String {
    let may_go = 100.0 * share.fraction();
    let there = how_much_is_there(part_back(patch, state, share), state.was_cut());
    format!("{may_go:.1} % of what stands may go now; {there}")
}

/// The same on one line.
fn share_in_short(patch: &Assessment, state: &State, share: &Share) -> String {
    let may_go = 100.0 * share.fraction();
    let there = how_much_in_short(part_back(patch, state, share), state.was_cut());
    format!("{may_go:.1} % of what stands; {there}")
}

fn part_back(patch: &Assessment, state: &State, share: &Share) -> f64 {
    (share.left / state.largest_share(&patch.terms)).max(0.0)
}

fn verdict(patch: &Assessment, evidence: &Evidence) -> String {
    let ruling = &patch.ruling;
    let binding = ruling.binding.map(|index| &ruling.ceilings[index]);
    let because = binding.map_or(String::new(), |ceiling| format!(" {}", decides(ceiling)));
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
        format!(" It opens on {}{waits}{}.", spoken_day(opening.day), conditions(opening))
    });
    let ask =
        if patch.ask_first { " The occupier wants to be asked before each visit." } else { "" };
    let declines = decline_sentence(evidence);
    format!("{answer}{because}{next}{declines}{ask}")
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

fn state(patch: &Assessment, evidence: &Evidence) -> Vec<Fact> {
    let mut facts = Vec::new();
    if let (Some(state), Some(share)) = (&patch.state, &patch.share) {
        facts.extend(crop_facts(patch, evidence, state, share));
    }
    facts.push(Fact::of("ground", ground(patch)));
    facts
}

fn crop_facts(patch: &Assessment, evidence: &Evidence, state: &State, share: &Share) -> Vec<Fact> {
    let survey = &state.last_survey;
    let full = state.full_once();
    let of_full = if full > 0.0 { state.standing / full } else { 0.0 };
    let since = if state.full < full { ", on the ground that it once covered" } else { "" };
    let full = format!(
        "{}{since}, so it stands at {}; the mean of {}{}",
        patch.crop.show(full),
        percent(of_full),
        counted(survey.count, "survey"),
        if patch.terms.season.is_some() { ", each brought to this day" } else { "" }
    );
    let mut facts = vec![
        Fact::of("standing crop", standing(patch, state)),
        Fact::of("full crop", full),
        Fact::of("share", share_row(patch, state, share)),
    ];
    let season = full_season(patch, state);
    facts.extend(season.map(|said| Fact::of("its season", said)));
    facts.extend(fell(patch, evidence));
    let survey = evidence.survey.iter();
    facts.extend(survey.map(|advice| Fact::of("a survey", what_a_survey_adds(advice, patch.day))));
    facts
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
        let quadrats = counted(advice.quadrats, "quadrat");
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

/// The rule that decides first, the others as they stand in the list of rules.
fn rules(patch: &Assessment) -> Section {
    let binding = patch.ruling.binding;
    let row = |(n, ceiling): (usize, &Ceiling)| {
        let name = match binding == Some(n) {
            true => Stress::Strong.on(ceiling.rule),
            false => ceiling.rule.to_owned(),
        };
        let most = ceiling.most.map_or("–".to_owned(), |most| patch.crop.show(most));
        [name, most, allows(patch, ceiling)].map(Cell::of).to_vec()
    };
    let ceilings = || patch.ruling.ceilings.iter().enumerate();
    let deciding = ceilings().filter(|(n, _)| binding == Some(*n));
    let others = ceilings().filter(|(n, _)| binding != Some(*n));
    let rows = deciding.chain(others).map(row).collect();
    let columns = vec![Column::name("rule"), Column::figures("at most"), Column::note("why")];
    let first = if binding.is_some() { "the first decides; " } else { "" };
    let heading = format!("What each rule allows ({first}– for no limit)");
    let caption = "The most that each rule leaves, and why".to_owned();
    Section { id: "rules", heading, blocks: vec![Block::Table(Table { caption, columns, rows })] }
}

fn allows(patch: &Assessment, ceiling: &Ceiling) -> String {
    let reason = because(&ceiling.reason);
    let counted = ceiling.count.map(|count| goes_by(&patch.crop, ceiling.most, count.one_in()));
    match counted.filter(|counted| !reason.starts_with(&**counted)) {
        Some(counted) => format!("{counted}; {reason}"),
        None => reason,
    }
}

fn reductions(patch: &Assessment) -> Option<Section> {
    let found = patch.reductions.iter();
    let facts: Vec<Fact> = found
        .map(|found| Fact::of(found.name, format!("×{:.2}: {}", found.factor, shrinks(found))))
        .collect();
    let heading = "What makes the share smaller";
    (!facts.is_empty()).then(|| Section::facts("reductions", heading, facts))
}
