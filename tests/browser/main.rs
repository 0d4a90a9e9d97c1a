//! The pages that are handed to people, looked at in a browser: what is printed, what a phone
//! shows, what a dark screen shows, and what someone meets who does not see it.
//!
//! It takes a Chromium, and `npm ci` in this folder for axe-core and html-validate; without them the tests are
//! skipped and say so. Hence a harness of its own: Rust's hides what a passing test says.

#![allow(clippy::unwrap_used, reason = "a failed unwrap fails the test")]
#![allow(clippy::print_stdout, reason = "a harness says how its tests went")]

mod accessible;
mod chromium;
mod dark;
mod desk;
mod driven;
mod field;
mod large;
mod made;
mod narrow;
mod paper;
mod printed;
#[allow(dead_code, reason = "not all of it is asked for here")]
#[path = "../schemas/mod.rs"]
mod schemas;
mod valid;

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::process::ExitCode;

use rayon::prelude::*;

/// What a test needs that may be missing, or how it went.
pub type Outcome = Result<(), Missing>;

/// What a test cannot do without, in words.
#[derive(Debug)]
pub struct Missing(pub &'static str);

type Test = (&'static str, fn() -> Outcome);

const TESTS: [Test; 32] = [
    ("every_page_is_valid_html", valid::by_html_validate),
    ("no_page_runs_or_fetches_anything", valid::runs_and_fetches_nothing),
    ("no_rule_of_accessibility_is_broken_in_light_or_dark", accessible::in_light_and_dark),
    ("no_rule_of_accessibility_is_broken_on_a_phone", accessible::on_a_phone),
    ("a_page_prints_on_a_few_sheets_of_a4", printed::on_a_few_sheets),
    ("no_page_is_wider_than_a_phone", narrow::no_page_is_wider),
    ("no_letter_is_smaller_than_a_phone_shows_well", narrow::no_letter_is_too_small),
    ("a_page_is_dark_for_who_wants_it_dark", dark::follows_the_reader),
    ("the_field_page_shows_each_day_its_own_amounts", field::asked::each_day_shows_its_own_amounts),
    (
        "a_field_page_with_a_wrong_clock_or_too_old_shows_no_amount",
        field::asked::a_wrong_clock_or_an_old_page_shows_no_amount,
    ),
    (
        "past_midnight_the_field_page_shows_another_day",
        field::asked::past_midnight_it_is_another_day,
    ),
    (
        "without_a_script_the_field_page_shows_its_first_day",
        field::asked::without_a_script_the_first_day_stands_there,
    ),
    (
        "who_moves_is_told_on_which_patch_and_which_way_to_the_next",
        field::asked::who_moves_is_told_on_which_patch_and_which_way_to_the_next,
    ),
    (
        "a_refused_position_is_told_and_the_rest_holds",
        field::asked::a_refused_position_is_told_and_the_rest_holds,
    ),
    ("a_reload_in_the_middle_loses_nothing", field::kept::a_reload_in_the_middle_loses_nothing),
    (
        "after_a_cut_the_field_page_says_what_is_left_or_asks_the_book",
        field::kept::after_a_cut_the_page_says_what_is_left_or_asks_the_book,
    ),
    (
        "a_cap_of_the_site_is_shared_by_its_patches_on_the_field_page",
        field::kept::a_cap_of_the_site_is_shared_by_its_patches,
    ),
    (
        "where_nothing_is_kept_the_field_page_says_so_and_offers_the_file",
        field::kept::where_nothing_is_kept_the_page_says_so_and_offers_the_file,
    ),
    (
        "what_was_not_kept_is_kept_once_there_is_room",
        field::kept::what_was_not_kept_is_kept_once_there_is_room,
    ),
    ("two_tabs_of_a_field_page_show_the_same", field::kept::two_tabs_show_the_same),
    (
        "two_hundred_records_come_home_twice_and_are_the_same_as_typed",
        field::home::two_hundred_records_come_home_twice_and_are_the_same_as_typed,
    ),
    ("a_walk_ticked_off_becomes_its_settle", field::home::a_walk_ticked_off_becomes_its_settle),
    (
        "no_rule_of_accessibility_is_broken_in_any_view_of_the_field_page",
        field::look::no_rule_of_accessibility_is_broken_in_any_view,
    ),
    (
        "a_thumb_reaches_everything_on_the_field_page",
        field::look::a_thumb_reaches_everything_and_nothing_is_wider_than_the_phone,
    ),
    ("a_keyboard_is_enough_for_the_field_page", field::look::a_keyboard_is_enough),
    (
        "the_field_page_writes_amounts_as_the_book_does",
        field::look::amounts_are_written_as_the_book_writes_them,
    ),
    (
        "no_rule_of_accessibility_is_broken_on_any_page_of_the_desk",
        desk::look::no_rule_of_accessibility_is_broken_on_any_page,
    ),
    ("a_leaders_week_goes_by_clicking", desk::week::by_clicking),
    ("a_leaders_week_goes_by_clicking_without_a_script", desk::week::without_a_script),
    ("a_leaders_week_goes_by_keyboard_alone", desk::week::by_keyboard),
    (
        "a_served_field_page_opens_where_nothing_answers_and_sends_what_it_kept",
        desk::phone::a_served_page_opens_where_nothing_answers_and_sends_what_it_kept,
    ),
    (
        "an_account_signs_what_its_phone_recorded_and_settles_its_walk",
        desk::phone::an_account_signs_what_its_phone_recorded_and_settles_its_walk,
    ),
];

fn main() -> ExitCode {
    let asked: Vec<String> =
        std::env::args().skip(1).filter(|word| !word.starts_with('-')).collect();
    if std::env::args().any(|word| word == "--list") {
        TESTS.iter().for_each(|(name, _)| println!("{name}: test"));
        return ExitCode::SUCCESS;
    }
    let wanted = TESTS
        .par_iter()
        .filter(|(name, _)| asked.is_empty() || asked.iter().any(|word| name.contains(word)));
    let passed = wanted.map(|(name, test)| passes(name, *test)).reduce(|| true, |a, b| a && b);
    if passed { ExitCode::SUCCESS } else { ExitCode::FAILURE }
}

fn passes(name: &str, test: fn() -> Outcome) -> bool {
    let outcome = catch_unwind(AssertUnwindSafe(test));
    let said = match &outcome {
        Ok(Ok(())) => "ok".to_owned(),
        Ok(Err(Missing(what))) => format!("SKIPPED: {what}"),
        Err(_) => "FAILED".to_owned(),
    };
    println!("test {name} ... {said}");
    outcome.is_ok()
}
