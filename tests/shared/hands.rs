//! Whose hand: the server itself holds its roles to what they may.

use crate::said::Said;
use crate::trial::Trial;

fn with_roles() -> Option<Trial> {
    let trial = Trial::of_demo()?;
    let role = |name: &str| format!("{}_{name}", trial.database);
    for name in ["ida", "reed", "nobody"] {
        trial.sql(&format!("CREATE ROLE {} LOGIN", role(name)));
    }
    trial
        .run(&format!("access role {} --as leader --signs Ida --site Wendlestow", role("ida")))
        .done();
    trial.run(&format!("access role {} --as owner --site Gullhythe", role("reed"))).done();
    Some(trial)
}

fn run_as(trial: &Trial, name: &str, words: &str) -> Said {
    let role = format!("{}_{name}", trial.database);
    Said::by(&mut trial.command(&role, &format!("cache-{name}"), words))
}

#[test]
fn a_leader_reads_all_and_records_on_own_sites_under_the_own_name() {
    let Some(trial) = with_roles() else { return };
    let week = "week --on 2027-03-15 --all";
    assert_eq!(run_as(&trial, "ida", week).done(), trial.run(week).done());
    run_as(&trial, "ida", "cut \"garden nettles\" 30g --by Ida --on 2027-03-15").done();
    assert!(trial.run("history").done().contains("30 g from Wendlestow/Garden nettles"));
    for words in [
        "cut \"allotment edge\" 30g --by Ida --on 2027-03-15",
        "cut \"mill bank\" 30g --by Tomas --on 2027-03-15",
    ] {
        let said = run_as(&trial, "ida", words).failed();
        assert!(said.contains("does not allow you that"), "{said}");
        assert!(said.contains("nothing was recorded"), "{said}");
    }
    let facts = trial.sql("SELECT count(*) FROM stintbook.cut WHERE step > 1");
    assert_eq!(facts, "1");
    let hand = trial.sql("SELECT hand FROM stintbook.step WHERE step > 1 AND tables > 0");
    assert_eq!(hand, format!("{}_ida", trial.database));
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
    let said = run_as(&trial, "reed", "check \"mill bank\"").wrong();
    assert!(said.contains("no patch is called"), "{said}");
    let said = run_as(&trial, "reed", "cut slipway 10g --by Reed --on 2027-06-15").err;
    assert!(said.contains("does not allow you that"), "{said}");
    // Past the program, by the server's own language.
    let role = format!("{}_reed", trial.database);
    let seen = trial.sql(&format!(
        "SET ROLE {role}; SET SESSION AUTHORIZATION {role}; \
         SELECT count(DISTINCT home) FROM stintbook.patch"
    ));
    assert_eq!(seen, "1");
}

#[test]
fn a_role_that_nobody_let_in_sees_nothing_and_one_that_is_shut_out_no_more() {
    let Some(trial) = with_roles() else { return };
    let week = "week --on 2027-03-15 --all";
    assert!(!run_as(&trial, "nobody", week).out.contains("Wendlestow"));
    trial.run(&format!("access role {}_ida --no-longer", trial.database)).done();
    assert!(!run_as(&trial, "ida", week).out.contains("Wendlestow"));
    let listed = trial.run("access list").done();
    assert!(listed.contains("_reed: owner") && !listed.contains("_ida"), "{listed}");
}
