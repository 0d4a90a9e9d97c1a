use rusqlite::Connection;
use stintbook::book::Scope;

use crate::trial::{Trial, cut, survey};

/// What is said of a small book after a change behind its back.
fn after(change: &str) -> Vec<String> {
    let mut trial = Trial::with_two_patches();
    let wrong = trial.record(1, cut("wood/bank", 1.0));
    trial.record(2, survey("wood/bank", &[1.0, 2.0, 3.0]));
    trial.correct(3, wrong, cut("wood/bank", 2.0));
    assert_eq!(trial.book.integrity().unwrap(), Vec::<String>::new());
    let file = Connection::open(&trial.path).unwrap();
    file.pragma_update(None, "foreign_keys", false).unwrap();
    file.execute_batch(change).unwrap();
    // Whatever is wrong, reading comes to an end.
    drop(trial.book.history(&Scope::All));
    trial.book.integrity().unwrap()
}

#[test]
fn every_way_in_which_facts_can_contradict_each_other_is_said() {
    let cases = [
        ("DELETE FROM place WHERE kind = 'patch'", "1 of the rows of `part` refer to a `place`"),
        ("DELETE FROM survey", "1 of the rows of `part` refer to a `survey` that is not there"),
        ("DELETE FROM part", "1 of the rows of `amounts` refer to a `part` that is not there"),
        ("DELETE FROM part", "survey `wood/bank 2027-01-03 a leader` has no quadrats"),
        ("UPDATE part SET mean = 2.5", "the parts of survey"),
        ("UPDATE amounts SET amounts = substr(amounts, 1, 16)", "the parts of survey"),
        ("DELETE FROM cut WHERE taken_g = 1", "a correction is of fact `00000004`, which is not"),
        ("DELETE FROM cut WHERE taken_g = 2", "what took the place of fact `00000004` is not"),
        ("UPDATE correction SET recorded_on = '2020-01-01'", "was corrected on 2020-01-01, before"),
        ("UPDATE correction SET replacement = replaced", "`00000004` lead in a circle"),
        ("UPDATE cut SET place = 1 WHERE taken_g = 2", "is about a site"),
        ("UPDATE patch SET site = 2 WHERE name = 'ride'", "patch `ride` lies on a patch"),
        ("UPDATE patch SET site = place WHERE name = 'ride'", "patch `ride` lies on a patch"),
        ("UPDATE cut SET happened_on = 'spring'", "column `happened_on` holds no day"),
        ("UPDATE patch SET shape = x'00'", "column `shape` holds no shape of the right form"),
        ("UPDATE cut SET id = (SELECT id FROM survey) WHERE taken_g = 2", "two facts share the id"),
        (
            "UPDATE correction SET replacement = (SELECT id FROM survey)",
            "the cut `00000004` became a survey",
        ),
    ];
    for (change, expected) in cases {
        let said = after(change);
        assert!(said.iter().any(|line| line.contains(expected)), "{change}: {said:#?}");
    }
}
