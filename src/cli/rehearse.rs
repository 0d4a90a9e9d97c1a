//! `stintbook rehearse`: what a planned season may come to, played many times over.

use std::path::{Path, PathBuf};

use super::args::people;
use super::context::Context;
use super::failure::{Failure, Status};
use super::format::Format;
use super::named;
use super::numbers::{number_that, whole};
use super::progress::Progress;
use super::rehearse_plan::{Played, Stretch, walks_of_book, walks_of_file, weekly};
use super::writing::{write_all, write_file};
use crate::assess::{Prepared, prepare};
use crate::book::Scope;
use crate::records::{Directory, PatchName};
use crate::rehearsal::proof::{Effort, cells, prove};
use crate::rehearsal::{Kept, Outcome, Plan, Repeats, Surveys, Variation, rehearse};
use crate::report::layout::paragraph;
use crate::report::{
    LeftOut, PlanFrom, Rehearsal, never_surveyed, proof_report, proof_svg, rehearsal_csv,
    rehearsal_document, rehearsal_json, rehearsal_svg,
};
use crate::units::{Amount, Season, spoken_day};

/// Changes are compared over so many seasons at most: the same ones, so that fewer do.
const COMPARED_RUNS: u64 = 500;
/// What is kept of every run takes about a byte for each patch and week of it.
const MOST_PATCH_RUNS: u64 = 4_000_000;
const PROOF_REPORT: &str = "rehearsal-proof.md";
const PROOF_PICTURE: &str = "rehearsal-proof.svg";

#[derive(Debug, clap::Args)]
#[command(after_help = "Examples:\n  stintbook rehearse --season 2026/27 --weekly 2kg\n  \
    stintbook rehearse --walks sites/walks.csv --survey-every 45d --rest \"mill bank\"\n  \
    stintbook rehearse --proof\n\n\
    Without --walks and --weekly, the walks that the book has from --on to the end of the \
    season and that are not settled are played; where there is none, each week all that is \
    allowed. --walks reads a file of walks as `load` does, and records nothing.")]
pub struct Rehearse {
    /// The season, from 1 September to 31 August (default: that of --on).
    #[arg(long, value_name = "YEAR/YEAR")]
    season: Option<Season>,
    /// Only this site.
    #[arg(long)]
    site: Option<String>,
    /// Only this crop.
    #[arg(long)]
    crop: Option<String>,
    /// The walks of this file, like sites/walks.csv (default: those of the book).
    #[arg(long, value_name = "FILE", conflicts_with = "weekly")]
    walks: Option<PathBuf>,
    /// A box each week with so much of whatever is open and may be sold: 2kg.
    #[arg(long, value_name = "AMOUNT")]
    weekly: Option<Amount>,
    /// Groups that come for each walk, spread over its week.
    #[arg(long, value_name = "N", default_value_t = 1, value_parser = whole::<u32>(1..=7), allow_negative_numbers = true)]
    groups: u32,
    /// How many people are in a group (default: as many as the walk has).
    #[arg(long, value_name = "N", value_parser = people, allow_negative_numbers = true)]
    people: Option<u32>,
    /// Survey each patch after so many days (90d), or `never` (default: whenever one lapses).
    #[arg(long, value_name = "DAYS", value_parser = surveys, default_value = "lapsed", hide_default_value = true)]
    survey_every: Surveys,
    /// Nobody cuts this patch; may be given again.
    #[arg(long, value_name = "PATCH")]
    rest: Vec<String>,
    /// A recovery test begins on this patch with the first day; may be given again.
    #[arg(long, value_name = "PATCH")]
    test: Vec<String>,
    /// The part of every crop that is always kept standing (default: as its profile says).
    #[arg(long, value_name = "PART", value_parser = theta, allow_negative_numbers = true)]
    theta: Option<f64>,
    /// How often the season is played (default: 2000; for --proof, patches a cell).
    #[arg(long, value_name = "N", value_parser = whole::<u64>(2..=1_000_000), allow_negative_numbers = true, default_value_t = 2_000, hide_default_value = true)]
    runs: u64,
    /// Draws the same chances again.
    #[arg(long, value_name = "N", default_value_t = 1, value_parser = whole::<u64>(0..), allow_negative_numbers = true)]
    seed: u64,
    /// Rerun the comparison with rules of thumb, on invented patches.
    #[arg(long)]
    proof: bool,
    /// Where the SVG goes.
    #[arg(long, value_name = "FOLDER", default_value = "reports")]
    reports: PathBuf,
    /// How to answer; a table draws the SVG too, and a page holds it.
    #[arg(long, default_value = Format::TABLE, value_parser = Format::among(&[Format::Table, Format::Html, Format::Md, Format::Csv, Format::Json]))]
    format: Format,
}

pub fn run(context: &Context, asked: &Rehearse) -> Result<Status, Failure> {
    if asked.proof {
        return prove_it(context, asked);
    }
    let season = asked.season.unwrap_or(Season::containing(context.on));
    if context.on > season.last_day() {
        return Err(Failure::Wrong(format!(
            "the season {season} was over on {}; `rehearse` looks ahead from {} (see --on)",
            spoken_day(season.last_day()),
            spoken_day(context.on)
        )));
    }
    let book = context.open_to_read()?;
    let ledger = book.ledger(&Scope::All, None)?;
    let directory = Directory::of(&ledger);
    let mut patches = prepare(&ledger, context.catalogue()?, context.on)?;
    patches.retain(|patch: &crate::assess::Prepared| patch.is_kept_on(context.on));
    let site = asked.site.as_deref().map(|name| directory.site_meant(name)).transpose()?;
    let crop = asked.crop.as_deref().map(|name| named::crop(context, name)).transpose()?;
    let from = season.first_day().max(context.on);
    let catalogue = context.catalogue()?;
    let crop = crop.and_then(|name| catalogue.crop(&name)).map(|crop| &**crop);
    let stretch = Stretch { season, from, site, crop };
    let played = match (&asked.walks, asked.weekly) {
        (Some(path), _) => walks_of_file(context, &book, &ledger, path, stretch)?,
        (None, Some(amount)) => weekly(amount)?,
        (None, None) => walks_of_book(context, &ledger, stretch)?,
    };
    let named = |names: &[String]| -> Result<Vec<PatchName>, Failure> {
        names.iter().map(|name| Ok(directory.patch_meant(name)?.name.clone())).collect()
    };
    let (rested, tested) = (named(&asked.rest)?, named(&asked.test)?);
    let Played { demand, plan_from, left_out } = played;
    let plan = Plan {
        season,
        from,
        demand,
        groups: asked.groups,
        people: asked.people,
        surveys: asked.survey_every,
        rested,
        tested,
        kept: asked.theta.map_or(Kept::AsProfiled, Kept::At),
    };
    let repeats = Repeats { runs: asked.runs, seed: asked.seed };
    patches.retain(|patch| stretch.has(patch) && plan.asks_for(patch));
    asked.bounded(&patches)?;
    let text = asked.play(context, &patches, &plan, repeats, (&plan_from, left_out))?;
    context.print(&text)?;
    Ok(Status::Done)
}

impl Rehearse {
    fn bounded(&self, patches: &[Prepared]) -> Result<(), Failure> {
        let patch_runs = self.runs.saturating_mul(patches.len() as u64);
        if patch_runs > MOST_PATCH_RUNS {
            let most = (MOST_PATCH_RUNS / patches.len().max(1) as u64).max(2);
            return Err(Failure::Wrong(format!(
                "{} runs of {} patches are more than memory should hold; narrow it with --site or \
                 --crop, or ask for --runs {most} at most",
                self.runs,
                patches.len()
            )));
        }
        Ok(())
    }

    fn play(
        &self,
        context: &Context,
        patches: &[Prepared],
        plan: &Plan,
        repeats: Repeats,
        (plan_from, left_out): (&PlanFrom, LeftOut),
    ) -> Result<String, Failure> {
        let compared = Repeats { runs: repeats.runs.min(COMPARED_RUNS), ..repeats };
        let progress = Progress::of(repeats.runs, "playing the season");
        let outcome = rehearse(patches, plan, repeats, || progress.step());
        progress.finish();
        let unknown = never_surveyed(patches, &outcome);
        let (again, changes) = if matches!(self.format, Format::Csv) || outcome.patches.is_empty() {
            (None, Vec::new())
        } else {
            compare(patches, plan, compared, &outcome)
        };
        let rehearsal = Rehearsal {
            plan,
            plan_from,
            left_out,
            repeats,
            outcome: &outcome,
            again: again.as_ref(),
            changes: &changes,
            unknown: &unknown,
        };
        match self.format {
            Format::Json => Ok(rehearsal_json(&rehearsal)),
            Format::Csv => rehearsal_csv(&outcome).map_err(Failure::wrong),
            Format::Table => {
                let text = rehearsal_document(&rehearsal, None).text(context.width);
                Ok(text + &draw(context, &outcome, plan, &self.reports)?)
            }
            format => {
                let svg = (!outcome.patches.is_empty())
                    .then(|| rehearsal_svg(&outcome, plan.season, plan.from));
                let svg = svg.transpose().map_err(Failure::wrong)?;
                Ok(context.laid_out(format, &rehearsal_document(&rehearsal, svg)))
            }
        }
    }
}

/// The plan and what might be done otherwise, over the same seasons.
fn compare(
    patches: &[Prepared],
    plan: &Plan,
    repeats: Repeats,
    outcome: &Outcome,
) -> (Option<Outcome>, Vec<(Variation, Outcome)>) {
    let variations = Variation::of(plan, outcome);
    let progress =
        Progress::of(repeats.runs * (1 + variations.len() as u64), "playing what might change");
    let played = |plan: &Plan| rehearse(patches, plan, repeats, || progress.step());
    let again = played(plan);
    let changes = variations.into_iter().map(|variation| {
        let outcome = played(&variation.applied_to(plan));
        (variation, outcome)
    });
    let changes = changes.collect();
    progress.finish();
    (Some(again), changes)
}

fn draw(
    context: &Context,
    outcome: &Outcome,
    plan: &Plan,
    folder: &Path,
) -> Result<String, Failure> {
    if outcome.patches.is_empty() {
        return Ok(String::new());
    }
    let svg = rehearsal_svg(outcome, plan.season, plan.from).map_err(Failure::wrong)?;
    // No site's drawing ends so, whatever the site is called.
    let path = folder.join(format!("{}-rehearsal.svg", plan.season.file_name()));
    write_file(&path, &svg)?;
    let said = paragraph(&format!("Drawn: {}", path.display()), context.width, "");
    Ok(format!("\n{said}"))
}

fn prove_it(context: &Context, asked: &Rehearse) -> Result<Status, Failure> {
    let effort = Effort { patches: asked.runs, seed: asked.seed };
    let progress = Progress::of(cells(), "playing the cells");
    let proof = prove(effort, || progress.step());
    progress.finish();
    let text = proof_report(&proof, PROOF_PICTURE);
    let svg = proof_svg(&proof).map_err(Failure::wrong)?;
    let files = [(PROOF_REPORT.to_owned(), text), (PROOF_PICTURE.to_owned(), svg)];
    write_all(&asked.reports, &files)?;
    context.print(&files[0].1)?;
    Ok(Status::Done)
}

/// `90d` or `90`, `never`, `lapsed`.
fn surveys(text: &str) -> Result<Surveys, String> {
    const MOST_DAYS: u64 = 3650;
    match text {
        "lapsed" => return Ok(Surveys::WhenLapsed),
        "never" => return Ok(Surveys::Never),
        _ => {}
    }
    let read = whole(1..=MOST_DAYS);
    match read(text.strip_suffix('d').unwrap_or(text)) {
        Ok(days) => Ok(Surveys::Every { days }),
        Err(_) => Err(format!("`{text}` is no number of days; write `90d`, `never` or `lapsed`")),
    }
}

fn theta(text: &str) -> Result<f64, String> {
    number_that(text, |part| part > 0.0 && part < 1.0, "a part that is kept", "one like `0.75`")
}
