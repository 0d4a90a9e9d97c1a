//! `stintbook walk`: from the plan of a walk to what came back from it.

mod parties;
pub mod recorded;
mod route;
mod takings;
pub mod wanted;

// One file a command
mod cancel;
pub mod forget;
pub mod hold;
mod join;
mod leave;
mod list;
mod moved;
mod name;
mod new;
mod plan;
pub mod settle;
pub mod sheet;
mod split;
pub mod start;

use clap::Subcommand;

use super::context::Context;
use super::failure::{Failure, Status};

#[derive(Debug, clap::Args)]
#[command(after_help = "Examples:\n  \
    stintbook walk plan --on 2027-03-20 --want \"ramsons-leaf=1.5kg,sour=300g\"\n  \
    stintbook walk new \"spring walk\" --on 2027-03-20 --leader Ida --site \"north wood\" --adults 11\n  \
    stintbook walk join \"spring walk\" 2+1 --called Cleo\n  \
    stintbook walk hold \"spring walk\"\n  \
    stintbook walk split \"spring walk\"\n  \
    stintbook walk sheet \"spring walk\"\n  \
    stintbook walk settle \"spring walk\" taken.csv")]
pub struct WalkAsked {
    #[command(subcommand)]
    question: Question,
}

#[derive(Debug, Subcommand)]
enum Question {
    /// Say which patches an outing goes to, and how much it takes from each.
    Plan(plan::PlanWanted),
    /// Record a walk: when, where, who comes, what is wanted.
    New(new::NewWalk),
    /// Record that one more party comes along.
    Join(join::Joining),
    /// Record that a party stays away.
    Leave(leave::Leaving),
    /// Record that the walk takes place on another day; what is set aside goes along.
    Move(moved::Moving),
    /// Say what a party is called, or call it something else.
    Name(name::Naming),
    /// Say which party may cut what where, and where each starts.
    Split(split::SplitWanted),
    /// Write the page that a leader prints, or carries on a phone.
    Sheet(sheet::SheetWanted),
    /// Set the walk's quota aside, so that nobody promises it twice.
    Hold(hold::HoldWanted),
    /// Record what came back as cuts, and name what was over its limit.
    Settle(settle::Settling),
    /// Give up a walk and what is set aside for it.
    Cancel(cancel::Cancelled),
    /// Delete a name from the lists of who came along; the numbers stay.
    Forget(forget::Forgotten),
    /// List the walks of the book.
    List(list::WalksListed),
}

pub fn run(context: &Context, asked: &WalkAsked) -> Result<Status, Failure> {
    match &asked.question {
        Question::Plan(asked) => plan::run(context, asked),
        Question::New(asked) => new::run(context, asked),
        Question::Join(asked) => join::run(context, asked),
        Question::Leave(asked) => leave::run(context, asked),
        Question::Move(asked) => moved::run(context, asked),
        Question::Name(asked) => name::run(context, asked),
        Question::Split(asked) => split::run(context, asked),
        Question::Sheet(asked) => sheet::run(context, asked),
        Question::Hold(asked) => hold::run(context, asked),
        Question::Settle(asked) => settle::run(context, asked),
        Question::Cancel(asked) => cancel::run(context, asked),
        Question::Forget(asked) => forget::run(context, asked),
        Question::List(asked) => list::run(context, asked),
    }
}
