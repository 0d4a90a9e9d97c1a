//! `stintbook completions` and `stintbook man`: what a shell and `man` need, made of the
//! commands themselves, so that neither can fall behind.

use std::path::PathBuf;

use clap::Command;

use super::context::Context;
use super::failure::{Failure, Status};
use super::writing::{make, write_all};
use crate::report::layout::paragraph;

#[derive(Debug, clap::Args)]
#[command(after_help = "Examples:\n  \
    stintbook completions bash > ~/.local/share/bash-completion/completions/stintbook\n  \
    stintbook completions zsh > ~/.zfunc/_stintbook\n  \
    stintbook completions fish > ~/.config/fish/completions/stintbook.fish")]
pub struct Completions {
    /// The shell.
    #[arg(value_enum)]
    shell: Shell,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
enum Shell {
    Bash,
    Zsh,
    Fish,
}

#[derive(Debug, clap::Args)]
#[command(after_help = "Example:\n  stintbook man ~/.local/share/man/man1")]
pub struct ManPages {
    /// The folder that they go to: a page for stintbook, and one for each command.
    folder: PathBuf,
}

const NAME: &str = "stintbook";

/// `all` is the list of all commands.
pub fn completions(
    context: &Context,
    asked: &Completions,
    mut all: Command,
) -> Result<Status, Failure> {
    use clap_complete::Shell as Known;
    let shell = match asked.shell {
        Shell::Bash => Known::Bash,
        Shell::Zsh => Known::Zsh,
        Shell::Fish => Known::Fish,
    };
    let mut script = Vec::new();
    clap_complete::generate(shell, &mut all, NAME, &mut script);
    context.print_own(&String::from_utf8_lossy(&script))?;
    Ok(Status::Done)
}

/// `all` is the list of all commands.
pub fn man(context: &Context, asked: &ManPages, mut all: Command) -> Result<Status, Failure> {
    all.build();
    let mut pages = Vec::new();
    collect(&all, NAME, &mut pages)?;
    make(&asked.folder)?;
    let written = write_all(&asked.folder, &pages)?.len();
    let said = format!("{written} pages went to {}.", asked.folder.display());
    context.print(&paragraph(&said, context.width, ""))?;
    Ok(Status::Done)
}

/// The page of a command and of those under it: `stintbook-walk-new.1`.
fn collect(
    command: &Command,
    name: &str,
    pages: &mut Vec<(String, String)>,
) -> Result<(), Failure> {
    let mut page = Vec::new();
    clap_mangen::Man::new(command.clone()).render(&mut page).map_err(Failure::wrong)?;
    pages.push((format!("{name}.1"), String::from_utf8_lossy(&page).into_owned()));
    let under = command.get_subcommands().filter(|it| it.get_name() != "help");
    for one in under {
        collect(one, &format!("{name}-{}", one.get_name()), pages)?;
    }
    Ok(())
}
