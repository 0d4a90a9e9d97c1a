//! Letters that move a cursor, end a line or turn the text round: no door lets them in, and
//! where an older book has one it is shown by its number.

use std::sync::Arc;

use stintbook::book::{Book, NewFact, Scope};
use stintbook::records::{FactId, Record};

use crate::hill::{LIFTED, PERMISSION, SURVEY, patch, places, site};
use crate::said::has;
use crate::trial::{Trial, in_a_file};

/// Each with the name it is refused by. Clearing the screen, an eight-bit control, a deleted
/// letter, the end of a line and of a paragraph, and what turns the text round.
const UNFIT: [(&str, &str); 8] = [
    ("\u{1b}[2J", "the control character U+001B"),
    ("\u{9b}2J", "the control character U+009B"),
    ("\u{7f}", "the control character U+007F"),
    ("\u{2028}", "the unseen character U+2028"),
    ("\u{2029}", "the unseen character U+2029"),
    ("\u{202e}", "the unseen character U+202E"),
    ("\u{202a}", "the unseen character U+202A"),
    ("\u{2066}", "the unseen character U+2066"),
];

const WAY_OUT: &str = "expected plain text on one line";

/// The letters before the last one of a word: what stands at the end of a cell may be a blank
/// that is left off.
fn within(word: &str, letters: &str) -> String {
    let (head, last) = word.split_at(word.len() - 1);
    format!("{head}{letters}{last}")
}

#[test]
fn no_file_brings_such_a_letter_in() {
    let trial = Trial::on_hill();
    let closures = "site,from,to,reason,by\nHill,2021-05-01,2021-06-01,lambs,Ida\n";
    let overrides = "site,crop,field,value,source,date,by\n\
                     Hill,nettle-tops,reserve,0.5,our record,2021-01-01,Ida\n";
    let walks = "walk,day,site,parties,date,by\nspring walk,2021-03-20,Hill,2+1,2021-03-01,Ida\n";
    let history = trial.history();
    for (letters, name) in UNFIT {
        for (text, word, field) in [
            (SURVEY, "2021-03-01,Ida", "by"),
            (PERMISSION, "Ida", "by"),
            (closures, "lambs", "reason"),
            (overrides, "our record", "source"),
            (walks, "spring walk", "walk"),
            (walks, "2021-03-01,Ida", "by"),
        ] {
            let text = text.replacen(word, &within(word, letters), 1);
            let said = trial.load("table.csv", text).wrong();
            has(&said, &["table.csv, line 2", &format!("`{field}`"), name, WAY_OUT]);
            assert!(!said.contains(letters), "{said:?}");
        }
        assert_eq!(trial.history(), history);
    }
}

#[test]
fn a_line_end_inside_a_cell_is_refused_too() {
    let trial = Trial::on_hill();
    let text = "site,from,to,reason,by\nHill,2021-05-01,2021-06-01,\"lambs\nand ewes\",Ida\n";
    has(
        &trial.load("table.csv", text).wrong(),
        &["line 2, `reason`: `lambs<U+000A>and ewes` has the control character U+000A", WAY_OUT],
    );
}

#[test]
fn no_place_brings_such_a_letter_in() {
    let trial = Trial::with_book();
    for (_, name) in UNFIT {
        let number = name.split("U+").nth(1).unwrap();
        for (word, field) in [("Hill", "name"), ("Ida", "by")] {
            let text = places(&[site(), patch("Bank", "nettle-tops", 1)]);
            let text = text.replacen(word, &within(word, &format!("\\u{number}")), 1);
            let said = trial.load("places.geojson", text).wrong();
            has(&said, &["feature 1", &format!("`{field}`"), name, WAY_OUT]);
        }
    }
    assert_eq!(trial.history(), "Nothing is recorded yet.");
}

#[test]
fn no_crop_of_ones_own_brings_such_a_letter_in() {
    let trial = Trial::with_book();
    let crop = "[moor-leaf]\ncommon_name = \"Moor leaf\"\nscientific_name = \"Planta ficta\"\n\
                part = \"leaf\"\nkitchen_role = \"green leaf\"\nhabit = \"slow leaf\"\n\
                season = \"04-15..09-30\"\ntake_fraction = 0.10\nrecovery_days = 60\n\
                cut_method = \"One leaf in three.\"\n\
                look_alikes = [{ name = \"fen leaf\", grade = \"poisonous\" }]\n\
                cautions = \"Know the tide.\"\nlegal_note = \"Local law comes first.\"\n\
                source.others = \"our own record\"\n";
    trial.write("own.toml", crop).run("--catalogue own.toml crops moor-leaf").done();
    for (letters, name) in UNFIT {
        let number = name.split("U+").nth(1).unwrap();
        for (word, field) in [
            ("Moor leaf", "common_name"),
            ("the tide", "cautions"),
            ("fen leaf", "look_alikes.name"),
            ("own record", "source.others"),
        ] {
            let text = crop.replacen(word, &format!("{word}\\u{number}"), 1);
            let said = trial.write("own.toml", text).run("--catalogue own.toml crops").wrong();
            has(&said, &["own.toml, `moor-leaf`", &format!("`{field}`"), WAY_OUT, name]);
            assert!(!said.contains(letters), "{said:?}");
        }
    }
}

#[test]
fn no_word_that_is_typed_brings_such_a_letter_in() {
    let trial = Trial::with_a_surveyed_bank();
    let history = trial.history();
    for (letters, name) in UNFIT {
        for words in [
            "cut bank 5g --on 2021-03-15 --by Ida@",
            "cut bank@ 5g --on 2021-03-15 --by Ida",
            "walk new walk@ --on 2021-03-20 --leader Ida --site hill --adults 2",
            "week --site @",
            "crops @",
            "new folder@",
            "@",
        ] {
            let said = trial.run(&words.replace('@', letters)).wrong();
            has(&said, &["of the command line", name, WAY_OUT]);
            assert!(!said.contains(letters), "{said:?}");
        }
    }
    assert_eq!(trial.history(), history);
    assert!(!trial.files("").iter().any(|file| file.starts_with("folder")));
}

#[test]
fn a_party_is_called_by_plain_letters() {
    let trial = Trial::with_surveyed_patches();
    trial.write("parties.csv", "party,adults\nAnn\u{202e},2\n");
    let said = trial.run(
        "walk new \"spring walk\" --on 2021-03-20 --leader Ida --site hill --parties parties.csv",
    );
    has(&said.wrong(), &["parties.csv, line 2, `party`", "U+202E", WAY_OUT]);
}

/// As a book has it into which an earlier version let what it should not have.
#[test]
fn what_an_older_book_holds_is_shown_by_its_number() {
    in_a_file();
    let trial = Trial::with_a_surveyed_bank();
    trial.run("cut bank 1kg --by Ida --on 2021-03-15 --recorded-on 2021-03-15").done();
    for (number, (letters, _)) in UNFIT.into_iter().enumerate() {
        let mut book = Book::open(&trial.path("stintbook.sqlite")).unwrap();
        let lines = book.history(&Scope::All).unwrap();
        let cut = lines.into_iter().find(|line| matches!(line.fact.record, Record::Cut(_)));
        let mut fact = cut.unwrap().fact;
        fact.id = FactId(uuid::Uuid::from_u128(
            0x0195_0000_0000_7000_8000_0000_0000_0000 + number as u128,
        ));
        fact.by = Arc::from(format!("Bo{letters}"));
        book.append(&[NewFact { key: format!("older {number}"), fact }], &[]).unwrap();
    }
    let said = trial.history();
    for (letters, name) in UNFIT {
        assert!(!said.contains(letters), "{said:?}");
        has(&said, &[&format!("cut by Bo<{}>", name.split(' ').next_back().unwrap())]);
    }
}

#[test]
fn letters_of_every_script_are_plain() {
    for name in ["Zoë", "Åse", "日本", "שרה", "سارة", "नमस्ते", "می\u{200c}خواهم"]
    {
        let trial = Trial::on_hill();
        trial.load("permissions.csv", LIFTED.replace("Ida", name)).done();
        has(&trial.history(), &[&format!("permission by {name}")]);
    }
}
