//! Whose hand: the server itself holds its roles to what they may.

use std::time::{Duration, Instant};

use crate::said::{Said, has};
use crate::trial::Trial;

/// With a leader on Wendlestow, the owner of Gullhythe, and one whom nobody let in.
pub fn with_roles() -> Option<Trial> {
    let trial = Trial::of_demo()?;
    for name in ["ida", "reed", "nobody"] {
        trial.make_role(name);
    }
    let_in(&trial, "ida", "leader --signs Ida --site Wendlestow");
    let_in(&trial, "reed", "owner --site Gullhythe");
    Some(trial)
}

fn let_in(trial: &Trial, name: &str, what: &str) {
    trial.run(&format!("access role {} --as {what}", trial.role(name))).done();
}

fn run_as(trial: &Trial, name: &str, words: &str) -> Said {
    Said::by(&mut trial.command(&trial.role(name), &format!("cache-{name}"), words))
}

/// The sites whose facts lie in a role's working copy.
fn sites_here(trial: &Trial, name: &str) -> Vec<String> {
    let folder = std::fs::read_dir(trial.path(&format!("cache-{name}/stintbook"))).unwrap();
    let mut copies = folder.map(|file| file.unwrap().path());
    let copy = copies.find(|path| path.extension().is_some_and(|end| end == "sqlite")).unwrap();
    let copy = rusqlite::Connection::open(copy).unwrap();
    let sql = "SELECT DISTINCT site.name FROM shared_place JOIN site ON site.place = home \
               WHERE home > 0 ORDER BY 1";
    let mut sites = copy.prepare(sql).unwrap();
    sites.query_map([], |row| row.get(0)).unwrap().collect::<Result<_, _>>().unwrap()
}

#[test]
fn a_leader_has_the_own_sites_and_records_on_them_alone_under_the_own_name() {
    let Some(trial) = with_roles() else { return };
    let week = "week --on 2027-03-15 --site Wendlestow";
    assert_eq!(run_as(&trial, "ida", week).done(), trial.run(week).done());
    assert_eq!(sites_here(&trial, "ida"), ["Wendlestow"]);
    run_as(&trial, "ida", "cut \"garden nettles\" 30g --by Ida --on 2027-03-15").done();
    assert!(trial.run("history").done().contains("30 g from Wendlestow/Garden nettles"));
    let said = run_as(&trial, "ida", "cut \"allotment edge\" 30g --by Ida --on 2027-03-15").wrong();
    assert!(said.contains("no patch is called"), "{said}");
    let words = "cut \"mill bank\" 30g --by Tomas --on 2027-03-15";
    let said = run_as(&trial, "ida", words).failed();
    assert!(said.contains("on your own sites alone, signed by `Ida`"), "{said}");
    assert!(said.contains("nothing was recorded"), "{said}");
    let said = run_as(&trial, "ida", "access list").failed();
    assert!(said.contains("has who may do what for whoever made the database"), "{said}");
    assert!(run_as(&trial, "ida", "verify").out.starts_with("The book is whole"));
    let facts = trial.sql("SELECT count(*) FROM stintbook.cut WHERE step > 1");
    assert_eq!(facts, "1");
    let hand = trial.sql("SELECT hand FROM stintbook.step WHERE step > 1 AND tables > 0");
    assert_eq!(hand, trial.role("ida"));
    // Let in on another site too, she has that one as well.
    let_in(&trial, "ida", "leader --signs Ida --site Wendlestow --site Ammerlow");
    run_as(&trial, "ida", "cut \"allotment edge\" 30g --by Ida --on 2027-03-15").done();
    assert_eq!(sites_here(&trial, "ida"), ["Ammerlow", "Wendlestow"]);
}

#[test]
fn a_leader_plans_and_sets_aside_a_walk() {
    let Some(trial) = with_roles() else { return };
    for words in [
        "walk new \"quarter walk\" --on 2027-03-20 --leader Ida --site Wendlestow --adults 4 \
         --want nettle-tops=500g --recorded-on 2027-03-16",
        "walk hold \"quarter walk\" --recorded-on 2027-03-16",
        "walk name \"quarter walk\" 1 \"Aunt Quill\"",
    ] {
        run_as(&trial, "ida", words).done();
    }
    let said = run_as(&trial, "ida", "walk forget \"Aunt Quill\"").done();
    let said = said.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(said.contains("its replicas and its backups may still have it"), "{said}");
    assert_eq!(trial.sql("SELECT count(*) FROM stintbook.attendee WHERE name ~ 'Quill'"), "0");
}

#[test]
fn an_owner_has_the_account_of_the_own_site_and_sees_no_other() {
    let Some(trial) = with_roles() else { return };
    run_as(&trial, "reed", "report Gullhythe --season 2026/27 --on 2027-03-15").done();
    let week = run_as(&trial, "reed", "week --on 2027-03-15 --all").done();
    assert!(week.contains("Gullhythe") && !week.contains("Wendlestow"), "{week}");
    assert_eq!(sites_here(&trial, "reed"), ["Gullhythe"]);
    let said = run_as(&trial, "reed", "check \"mill bank\"").wrong();
    assert!(said.contains("no patch is called"), "{said}");
    let said = run_as(&trial, "reed", "cut slipway 10g --by Reed --on 2027-06-15").err;
    assert!(said.contains("lets you read, and record nothing"), "{said}");
}

#[test]
fn eyes_learnt_on_other_land_reach_a_limit_as_figures_alone() {
    let Some(trial) = Trial::of_five_sites() else { return };
    for (name, what) in [
        ("south", "leader --signs Ida --site \"South moor\""),
        ("north", "leader --signs Ida --site \"North moor\""),
        ("reed", "owner --site \"South moor\""),
    ] {
        trial.make_role(name);
        let_in(&trial, name, what);
    }
    // Of 1 March is a survey on either moor. Ida took the northern bank for three times as much as
    // the survey found; of the southern one she has only a look.
    let check = "check \"South moor/Bank\" --on 2027-03-15 --format json";
    let glance = "glance \"South moor/Bank\" 60kg --by Ida --on 2027-03-10";
    trial.run(glance).done();
    let unlearnt = trial.run(check).done();
    assert_eq!(run_as(&trial, "south", check).done(), unlearnt);
    let taught = "glance \"North moor/Bank\" 700kg --by Ida --on 2027-03-01 --sure";
    run_as(&trial, "north", taught).done();
    let learnt = trial.run(check).done();
    assert_ne!(learnt, unlearnt, "the look on the north teaches nothing");
    for role in ["south", "reed"] {
        assert_eq!(run_as(&trial, role, check).done(), learnt, "{role}");
        assert_eq!(sites_here(&trial, role), ["South moor"]);
    }
    let told = trial.sql_as("south", "SELECT * FROM stintbook.eyes_elsewhere()").unwrap();
    assert!(told.starts_with("nettle-tops|Ida|2027-03-01|"), "{told}");
    assert_eq!(told.lines().count(), 1, "{told}");
    // What was learnt is unlearnt where the look is withdrawn, and the streams of a week agree.
    let history = trial.run("history").done();
    let line = history.lines().find(|line| line.contains("700 kg")).unwrap();
    let id = line.split_whitespace().next().unwrap();
    let week = "week --on 2027-03-15 --site \"South moor\" --format csv";
    assert_eq!(run_as(&trial, "south", week).done(), trial.run(week).done());
    run_as(&trial, "north", &format!("withdraw {id} --why slip --by Ida --on 2027-03-15")).done();
    assert_eq!(run_as(&trial, "south", check).done(), unlearnt);
    assert_eq!(run_as(&trial, "south", week).done(), trial.run(week).done());
}

#[test]
fn a_leader_also_reads_a_site_that_may_claim_the_own_ground() {
    let Some(trial) = Trial::of_five_sites() else { return };
    trial.make_role("south");
    let_in(&trial, "south", "leader --signs Ida --site \"South moor\"");
    run_as(&trial, "south", "week --on 2027-03-15").done();
    assert_eq!(sites_here(&trial, "south"), ["South moor"]);
    // A keeper takes in a book with a site over a part of it, and a patch on the southern bank.
    let bank = r#"[[[-19.998,49.002],[-19.9976,49.002],[-19.9976,49.0024],[-19.998,49.0024],
        [-19.998,49.002]]]"#;
    let ground = bank.replace("-19.9976", "-19.99").replace("49.0024", "49.01");
    let over = format!(
        r#"{{"type":"FeatureCollection","by":"Una","recorded_on":"2027-03-02","features":[
        {{"type":"Feature","properties":{{"kind":"site","name":"Low moor"}},
          "geometry":{{"type":"Polygon","coordinates":{ground}}}}},
        {{"type":"Feature","properties":{{"kind":"patch","name":"Steep","site":"Low moor",
          "crop":"nettle-tops"}},"geometry":{{"type":"Polygon","coordinates":{bank}}}}}]}}"#
    );
    std::fs::write(trial.path("over.geojson"), over).unwrap();
    let other = trial.path("other/stintbook.sqlite");
    trial.on_file(&other, "new other").done();
    trial.on_file(&other, "load over.geojson --sure --on 2027-03-14").done();
    trial.run("merge other/stintbook.sqlite --on 2027-03-14").done();
    let said = run_as(&trial, "south", "check \"South moor/Bank\" --on 2027-03-15").no();
    has(&said, &["NOT KNOWN", "Low moor/Steep claims the same ground"]);
    assert_eq!(sites_here(&trial, "south"), ["Low moor", "South moor"]);
    // To read is not to write.
    let words = "glance \"Low moor/Steep\" 1kg --by Ida --on 2027-03-15";
    let said = run_as(&trial, "south", words).failed();
    assert!(said.contains("on your own sites alone"), "{said}");
}

#[test]
fn who_is_busy_on_one_site_keeps_nobody_waiting_on_another() {
    let Some(trial) = with_roles() else { return };
    trial.make_role("tomas");
    let_in(&trial, "tomas", "leader --signs Tomas --site Ammerlow");
    for role in ["ida", "tomas"] {
        run_as(&trial, role, "week --on 2027-03-15").done();
    }
    let cuts = "patch,date,by,mass_g,taken\nAmmerlow/Allotment edge,2027-03-15,Tomas,20,part\n";
    std::fs::write(trial.path("cuts.csv"), cuts).unwrap();
    let busy = "BEGIN; SELECT pg_advisory_xact_lock_shared(7617042); \
                SELECT FROM stintbook.head WHERE home = \
                (SELECT place FROM stintbook.site WHERE name = 'Wendlestow' LIMIT 1) FOR UPDATE; \
                SELECT pg_sleep(8); COMMIT";
    std::thread::scope(|scope| {
        let began = Instant::now();
        let busy = scope.spawn(|| trial.sql(busy));
        std::thread::sleep(Duration::from_millis(500));
        // A file may be about any site; a leader's is about the leader's own.
        run_as(&trial, "tomas", "load cuts.csv --on 2027-03-15").done();
        let words = "cut \"allotment edge\" 30g --by Tomas --part --on 2027-03-15";
        run_as(&trial, "tomas", words).done();
        assert!(!busy.is_finished(), "others were waited for: {:?}", began.elapsed());
        run_as(&trial, "ida", "cut \"garden nettles\" 30g --by Ida --on 2027-03-15").done();
        assert!(began.elapsed() >= Duration::from_secs(8), "who is busy was not waited for");
    });
}

#[test]
fn a_role_that_nobody_let_in_is_told_so_and_one_that_is_shut_out_too() {
    let Some(trial) = with_roles() else { return };
    let week = "week --on 2027-03-15 --all";
    let is_not_let_in = |name: &str| {
        let said = run_as(&trial, name, week).failed();
        let expected = format!("does not let in the role `{}` yet", trial.role(name));
        assert!(said.contains(&expected), "{said}");
    };
    is_not_let_in("nobody");
    assert!(run_as(&trial, "ida", week).out.contains("Wendlestow"));
    let listed = trial.run("access list").done();
    assert!(listed.contains("_ida: leader of Wendlestow, signs as Ida"), "{listed}");
    trial.run(&format!("access role {} --no-longer", trial.role("ida"))).done();
    is_not_let_in("ida");
    let listed = trial.run("access list").done();
    assert!(listed.contains("_reed: owner of Gullhythe\n") && !listed.contains("_ida"), "{listed}");
}
