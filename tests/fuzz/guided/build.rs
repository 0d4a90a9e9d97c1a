//! Where the command is that the targets start: `STINTBOOK_BIN`, or what `cargo build` made.

fn main() {
    println!("cargo::rerun-if-env-changed=STINTBOOK_BIN");
    let here = std::env::var("CARGO_MANIFEST_DIR").unwrap_or_default();
    let built = format!("{here}/../../../target/debug/stintbook");
    let command = std::env::var("STINTBOOK_BIN").unwrap_or(built);
    println!("cargo::rustc-env=CARGO_BIN_EXE_stintbook={command}");
}
