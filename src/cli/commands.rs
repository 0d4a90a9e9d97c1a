//! The list of all commands, and what stands before any of them.

use std::path::PathBuf;

use clap::{Parser, Subcommand};
use jiff::civil::Date;

use super::args::day;
use super::{
    access, backup, boxes, bring, calendar, check, close, copy, correct, crops, cut, demo, due,
    export, field, glance, history, load, merge, new, permit, pressure, recovery, redraw, rehearse,
    report, restore, serve, shell, split, survey, undo, verify, visit, walk, week,
};

/// In the folder where one works.
pub const USUAL_BOOK: &str = "stintbook.sqlite";

/// Which wild patches may be cut this week, how much, and why.
///
/// Stintbook keeps surveys, cuts and permissions in one book and answers before each walk
/// what may be cut. It never identifies a plant.
#[derive(Debug, Parser)]
#[command(name = "stintbook", version, max_term_width = 100)]
pub struct Arguments {
    /// The book.
    // A value may be an address with a password in it.
    #[arg(long, global = true, env = "STINTBOOK", hide_env_values = true, default_value = USUAL_BOOK)]
    pub book: PathBuf,

    /// Crops of your own (default: sites/crops.toml beside the book, if it is there).
    #[arg(long, global = true, value_name = "FILE")]
    pub catalogue: Option<PathBuf>,

    /// The day asked about, or on which it happened (default: today).
    #[arg(long, global = true, value_name = "DATE", value_parser = day)]
    pub on: Option<Date>,

    #[command(subcommand)]
    pub command: Command,
}

#[derive(Debug, Subcommand)]
pub enum Command {
    /// Build the demo book, show its week, and draw its pressure plots.
    Demo(demo::Demo),
    /// Start a folder of your own: templates, reports, an empty book.
    New(new::New),
    /// Take in sites, patches, surveys, cuts… from GeoJSON and CSV files.
    Load(load::Load),
    /// Take in a table as a spreadsheet wrote it; shows first how it is read.
    Bring(bring::Bring),
    /// Say which patches can be cut this week, how much, and why.
    Week(week::WeekQuestion),
    /// Say what needs a hand soon: walks, surveys, permissions, promises; also as a calendar.
    Due(due::DueAsked),
    /// Show twelve months: when each patch may be cut, and what the kitchen can plan with.
    Calendar(calendar::CalendarAsked),
    /// Say everything about one patch; exit status 0 if it may be cut, 1 if not.
    Check(check::Check),
    /// Record what a visit took.
    Cut(cut::CutMade),
    /// Record what was seen, or what the occupier said, without cutting.
    Visit(visit::VisitMade),
    /// Record what was measured on one patch; `survey plan` draws places for quadrats, `survey
    /// advise` says where a survey gains most.
    Survey(survey::SurveyAsked),
    /// Find out how fast a patch comes back: plan and record a test with marked squares.
    Recovery(recovery::RecoveryAsked),
    /// Record a judgement by eye.
    Glance(glance::GlanceMade),
    /// Shut a site or a patch, and say what that changes.
    Close(close::Close),
    /// Let a closed site or patch be cut again.
    Reopen(close::Reopen),
    /// Record what an occupier agreed to.
    Permit(permit::Permit),
    /// Say that a patch is one no longer; its history stays.
    Retire(redraw::Retire),
    /// Draw a patch anew where its stand shrank, grew or moved.
    Redraw(redraw::Redrawn),
    /// Make several patches of one.
    Split(split::Split),
    /// Take back the last thing that you recorded; it stays visible.
    Undo(undo::Undo),
    /// Put a recorded fact right by a new one; the old one stays visible.
    Correct(correct::Correct),
    /// Say that a recorded fact should not count; it stays visible.
    Withdraw(correct::Withdraw),
    /// List what was recorded, with every correction.
    History(history::History),
    /// Plan a walk, split and set aside its quota, and settle what came back.
    Walk(walk::WalkAsked),
    /// Plan a month's boxes for subscribers, week by week, within the same limits.
    Box(boxes::BoxesWanted),
    /// Show how hard each patch was used over a season; draw it as SVG.
    Pressure(pressure::Pressure),
    /// Write the season report for a site's owner: one page that prints, with its tables.
    Report(report::Report),
    /// Play a planned season many times: what walks may find, which patch is the weak one.
    Rehearse(rehearse::Rehearse),
    /// List the crop catalogue, or one crop with the source of each value.
    Crops(crops::Crops),
    /// Write a page for a phone without a signal: what may be cut, where, and room to record.
    Field(field::FieldAsked),
    /// Write the book's facts as GeoJSON and CSV files that can be loaded again.
    Export(export::Export),
    /// Take in another book: the union of both, with what they see differently named.
    Merge(merge::Merge),
    /// Say who may sign in at the desk, and as what.
    Access(access::AccessAsked),
    /// Show the book in a browser; Ctrl-C ends it.
    Serve(serve::Serving),
    /// Check that the book is whole, and name facts that contradict each other.
    Verify(verify::Verify),
    /// Copy the book safely, also while others write to it.
    Backup(backup::BackedUp),
    /// Bring a book from a file onto a server that many write to, or back into a file.
    Copy(copy::Copying),
    /// Write what bash, zsh or fish needs to complete commands.
    Completions(shell::Completions),
    /// Write the pages for `man`.
    Man(shell::ManPages),
    /// Put a backup in the place of the book; the one that was there is kept aside.
    Restore(restore::Restoring),
}
