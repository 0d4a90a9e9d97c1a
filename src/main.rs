//! The command `stintbook`.

use std::process::ExitCode;

/// A week on a large book makes and drops some million small pieces.
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

fn main() -> ExitCode {
    stintbook::cli::run()
}
