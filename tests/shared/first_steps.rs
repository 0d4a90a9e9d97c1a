//! From one laptop to a shared book: the commands of `sites/shared.md`, as they stand there.

use std::fs;
use std::path::Path;
use std::process::Command;

use crate::said::Said;
use crate::trial::{Trial, demo};

#[test]
fn the_five_commands_lead_from_one_laptop_to_a_shared_book() {
    let Some(trial) = Trial::empty() else { return };
    let text = fs::read_to_string("sites/shared.md").unwrap();
    let block = text.split("```sh\n").nth(1).unwrap().split("```").next().unwrap();
    let lines: Vec<&str> = block.lines().collect();
    assert_eq!(lines.len(), 5, "{block}");
    // The first one builds what these tests run.
    assert!(lines[0].starts_with("cargo install --path . --features shared "), "{}", lines[0]);
    let database = format!("{}_wood", trial.database);
    let address = trial.cluster.address(&database, "postgres");
    let script = lines[1..]
        .join("\n")
        .replace("-h server wood", &format!("{} {database}", trial.cluster.options()))
        .replace("postgres://server/wood", &format!("'{address}'"));
    fs::copy(demo(), trial.path("stintbook.sqlite")).unwrap();
    let ours = Path::new(env!("CARGO_BIN_EXE_stintbook")).parent().unwrap();
    let path = [ours.into(), trial.cluster.programs().to_owned()];
    let others = std::env::var_os("PATH").unwrap_or_default();
    let path = std::env::join_paths(path.into_iter().chain(std::env::split_paths(&others)));
    let mut shell = Command::new("sh");
    shell.args(["-e", "-c", &script]).current_dir(trial.path("")).env_remove("STINTBOOK");
    shell.env("PATH", path.unwrap()).env("COLUMNS", "80");
    let said = Said::by(shell.env("XDG_CACHE_HOME", trial.path("cache"))).done();
    let week = trial.on_file(&trial.path("stintbook.sqlite"), "week").done();
    assert!(said.ends_with(&week) && said.len() > week.len(), "{said}");
}
