//! Files that are written: whole or not at all, never through a link, never two under one name.

use std::collections::BTreeSet;
use std::fs;
use std::path::Path;

use crate::hill::{LIFTED, SURVEY, patch, places, site};
use crate::said::{Said, has};
use crate::trial::{Trial, in_a_file};

/// Every command that writes files, with one that it writes.
const WRITERS: [(&str, &str); 8] = [
    ("report hill --season 2020/21", "reports/hill-2020-21.html"),
    ("report hill --season 2020/21 --format md", "reports/hill-2020-21.md"),
    ("report --all --season 2020/21", "reports/hill-2020-21-visits.csv"),
    ("pressure --season 2020/21 --on 2021-04-20", "reports/hill-2020-21-map.svg"),
    ("walk sheet \"spring walk\" --on 2021-03-10", "reports/spring-walk-2021-03-20.html"),
    ("rehearse --season 2020/21 --on 2021-03-15 --runs 2", "reports/2020-21-rehearsal.svg"),
    ("export out --whole", "out/surveys.csv"),
    ("new other", "other/sites/cuts.csv"),
];

/// What lies in a folder and below it, but for what SQLite keeps beside the book.
fn all_files(folder: &Path) -> BTreeSet<String> {
    let entries = fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path());
    entries
        .flat_map(|path| match path.is_dir() {
            true => all_files(&path),
            false => BTreeSet::from([path.display().to_string()]),
        })
        .filter(|file| !file.ends_with("-wal") && !file.ends_with("-shm"))
        .collect()
}

/// Two sites whose names are one once a space is a hyphen, and whose walks' names are, too.
fn two_woods() -> Trial {
    let trial = Trial::with_book();
    for (at, name) in ["north wood", "north-wood"].into_iter().enumerate() {
        let shifted = |text: String| text.replace(",48", &format!(",{}", 48 + at));
        let features = [site(), patch("Bank", "nettle-tops", 1)];
        let text = features.map(|feature| shifted(feature).replace("Hill", name));
        trial.load("places.geojson", places(&text)).done();
        trial.load("permissions.csv", LIFTED.replace("Hill", name)).done();
        trial.load("surveys.csv", SURVEY.replace("Hill", name)).done();
    }
    trial
}

#[test]
fn two_sites_whose_names_are_nearly_one_have_each_their_own_page_and_drawings() {
    let trial = two_woods();
    trial.run("report --all --season 2020/21").done();
    for (file, name) in [("north-wood", "north wood"), ("north--wood", "north-wood")] {
        let page = trial.read(&format!("reports/{file}-2020-21.html"));
        has(&page, &[&format!("<title>{name}, season 2020/21")]);
    }
    assert_eq!(trial.files("reports").len(), 8);
    trial.run("pressure --season 2020/21 --on 2021-04-20").done();
    assert_eq!(trial.files("reports").len(), 8 + 6);
}

#[test]
fn a_page_keeps_its_name_when_another_site_with_a_like_name_comes() {
    let trial = two_woods();
    let alone = Trial::with_book();
    alone.load("places.geojson", places(&[site().replace("Hill", "north-wood")])).done();
    for trial in [&trial, &alone] {
        trial.run("report north-wood --season 2020/21 --on 2021-04-20").done();
        trial.read("reports/north--wood-2020-21.html");
    }
}

#[test]
fn two_walks_whose_names_are_nearly_one_have_each_their_own_sheet() {
    let trial = Trial::with_surveyed_patches();
    for name in ["Wood walk", "Wood-walk"] {
        trial
            .run(&format!(
                "walk new \"{name}\" --on 2021-03-20 --leader Ida --site hill --adults 3 --seed 7 \
                 --recorded-on 2021-03-10"
            ))
            .done();
        trial.run(&format!("walk sheet \"{name}\" --on 2021-03-10")).done();
    }
    let sheets = ["wood--walk-2021-03-20.html", "wood-walk-2021-03-20.html"];
    assert_eq!(trial.files("reports"), sheets);
    has(&trial.read("reports/wood-walk-2021-03-20.html"), &["<title>Wood walk"]);
    has(&trial.read("reports/wood--walk-2021-03-20.html"), &["<title>Wood-walk"]);
}

#[test]
fn the_drawing_of_a_rehearsal_is_no_sites() {
    let trial = Trial::with_book();
    let features = [site(), patch("Bank", "nettle-tops", 1)];
    let named = |text: &str| text.replace("Hill", "rehearsal");
    trial.load("places.geojson", places(&features.map(|text| named(&text)))).done();
    trial.load("permissions.csv", named(LIFTED)).done();
    trial.load("surveys.csv", named(SURVEY)).done();
    trial.run("pressure --season 2020/21 --on 2021-04-20").done();
    let before = trial.read("reports/rehearsal-2020-21.svg");
    trial.run("rehearse --season 2020/21 --on 2021-03-15 --runs 2").done();
    assert_eq!(trial.read("reports/rehearsal-2020-21.svg"), before);
}

#[test]
fn nothing_else_is_left_beside_what_was_written() {
    let trial = Trial::with_a_walk();
    for (words, file) in WRITERS {
        trial.run(words).done();
        assert!(trial.path(file).is_file(), "{file}");
    }
    let left = all_files(&trial.path(""));
    assert!(!left.iter().any(|file| file.ends_with(".part")), "{left:?}");
}

#[cfg(unix)]
mod on_unix {
    use std::os::unix::fs::{PermissionsExt, symlink};
    use std::process::Command;

    use super::*;

    #[test]
    fn a_link_in_the_place_of_a_file_is_refused_and_what_it_leads_to_is_as_it_was() {
        for (words, file) in WRITERS {
            let trial = Trial::with_a_walk();
            trial.write("precious", "mine");
            fs::create_dir_all(trial.path(file).parent().unwrap()).unwrap();
            for leads_to in ["nowhere", "precious"] {
                let _ = fs::remove_file(trial.path(file));
                symlink(trial.path(leads_to), trial.path(file)).unwrap();
                let before = all_files(&trial.path(""));
                let said = trial.run(words);
                // A template or an export never takes the place of what is there.
                if leads_to == "precious" && (file.starts_with("other") || file.starts_with("out"))
                {
                    assert_eq!(said.status, if file.starts_with("out") { 2 } else { 0 });
                } else {
                    has(&said.failed(), &[file, "is a link", "remove", "name another folder"]);
                    assert_eq!(all_files(&trial.path("")), before, "{words}");
                }
                assert_eq!(trial.read("precious"), "mine");
                assert!(!trial.path("nowhere").exists(), "{words}");
            }
        }
    }

    #[test]
    fn a_folder_that_is_asked_for_may_be_a_link_but_none_below_it() {
        let trial = Trial::with_a_surveyed_bank();
        fs::create_dir_all(trial.path("elsewhere")).unwrap();
        symlink(trial.path("elsewhere"), trial.path("mine")).unwrap();
        trial.run("report hill --reports mine").done();
        assert_eq!(trial.files("elsewhere").len(), 4);
        for (folder, words) in [("reports", "demo --folder in"), ("sites", "new in")] {
            let _ = fs::remove_dir_all(trial.path("in"));
            fs::create_dir_all(trial.path("in")).unwrap();
            symlink(trial.path("elsewhere"), trial.path("in").join(folder)).unwrap();
            has(&trial.run(words).failed(), &[&format!("`in/{folder}`"), "is a link"]);
            assert_eq!(trial.files("elsewhere").len(), 4);
        }
    }

    #[test]
    fn neither_a_device_nor_a_folder_nor_a_protected_file_is_put_out_of_the_way() {
        let trial = Trial::with_a_walk();
        let sheet = |out: &str| {
            trial.run(&format!("walk sheet \"spring walk\" --on 2021-03-10 --out {out}")).failed()
        };
        has(&sheet("/dev/null"), &["`/dev/null`: something that is no file has that name"]);
        has(&sheet("sites"), &["`sites`: a folder has that name; move it away"]);
        trial.write("kept.html", "kept");
        let kept = trial.path("kept.html");
        fs::set_permissions(&kept, fs::Permissions::from_mode(0o444)).unwrap();
        has(&sheet("kept.html"), &["`kept.html`", "is protected from writing"]);
        assert_eq!(trial.read("kept.html"), "kept");
        fs::set_permissions(&kept, fs::Permissions::from_mode(0o640)).unwrap();
        trial.run("walk sheet \"spring walk\" --on 2021-03-10 --out kept.html").done();
        assert_eq!(fs::metadata(&kept).unwrap().permissions().mode() & 0o777, 0o640);
        assert!(trial.read("kept.html").ends_with("</html>\n"));
    }

    /// As on a disk with room for 36 kB in each file: enough for what SQLite keeps beside the
    /// book while it reads.
    fn with_little_room(trial: &Trial, words: &str) -> Said {
        let asked = trial.command(words);
        let script = "trap '' XFSZ; ulimit -f 72; exec \"$0\" \"$@\"";
        let mut command = Command::new("sh");
        command.arg("-c").arg(script).arg(asked.get_program()).args(asked.get_args());
        command.current_dir(trial.path("")).env_remove("STINTBOOK").env("COLUMNS", "80");
        Said::by(&mut command)
    }

    #[test]
    fn on_a_full_disk_the_earlier_files_stay_and_no_half_one_is_left() {
        in_a_file();
        let trial = Trial::with_a_walk();
        let (words, _) = WRITERS[0];
        // Days of closure make the page long.
        let closures: String = (9..=11)
            .flat_map(|month| (1..=30).map(move |day| (month, day)))
            .map(|(month, day)| {
                let day = format!("2020-{month:02}-{day:02}");
                format!("Hill,{day},{day},lambs,Ida\n")
            })
            .collect();
        trial.load("closures.csv", format!("site,from,to,reason,by\n{closures}")).done();
        trial.run(words).done();
        let read = || {
            let files = trial.files("reports").into_iter();
            files.map(|file| (trial.read(&format!("reports/{file}")), file)).collect::<Vec<_>>()
        };
        let before = read();
        assert!(before.iter().any(|(text, _)| text.len() > 37_000));
        trial.run("cut bank 1kg --by Ida --on 2021-03-15 --recorded-on 2021-03-15").done();
        let said = with_little_room(&trial, words).failed();
        has(&said, &["could not write `reports/hill-2020-21", "none of 4 files was written"]);
        assert_eq!(read(), before);
        trial.run(words).done();
        assert_ne!(read(), before);
    }

    #[test]
    fn on_a_full_disk_an_export_leaves_no_file() {
        in_a_file();
        let trial = Trial::with_a_walk();
        let glance = |number: u32| {
            format!("Hill/Bank,2021-03-02,Ida{number},{}g,2021-03-02\n", 100 + number)
        };
        let glances: String = (0..1000).map(glance).collect();
        trial.load("many.csv", format!("patch,date,by,standing,recorded_on\n{glances}")).done();
        let said = with_little_room(&trial, "export out --whole").failed();
        has(&said, &["could not write `out/glances.csv`", "none of", "files was written"]);
        let left = trial.files("").into_iter().filter(|file| file.contains("out"));
        assert_eq!(left.collect::<Vec<_>>(), Vec::<String>::new());
        trial.run("export out --whole").done();
        assert!(trial.files("out").len() > 4);
    }
}
