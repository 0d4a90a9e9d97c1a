//! The command `stintbook`.

use std::process::ExitCode;

fn main() -> ExitCode {
    stintbook::cli::run()
}
