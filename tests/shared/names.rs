//! What walks are called is the whole book's, and yet who names one waits for nobody elsewhere.

use std::thread;
use std::time::{Duration, Instant};

use crate::line::{Break, Line};
use crate::said::Said;
use crate::trial::Trial;

/// What makes a walk on one of the demo's sites.
fn walk(name: &str, site: &str) -> String {
    format!(
        "walk new \"{name}\" --on 2027-03-20 --leader Ida --site {site} --adults 3 --seed 1 \
         --recorded-on 2027-03-15"
    )
}

fn by(trial: &Trial, cache: &str, words: &str) -> Said {
    Said::by(&mut trial.command("postgres", cache, words))
}

#[test]
fn who_names_a_walk_waits_for_nobody_who_is_busy_on_another_site() {
    let Some(trial) = Trial::of_demo() else { return };
    trial.run("week --on 2027-03-15").done();
    // As if by somebody who names a walk on Wendlestow, and has what is the whole book's in hand.
    let busy = "BEGIN; SELECT pg_advisory_xact_lock_shared(7617042), \
                pg_advisory_xact_lock_shared(7617043), pg_advisory_xact_lock(7617043, 1); \
                SELECT FROM stintbook.head WHERE home IN (0, \
                (SELECT place FROM stintbook.site WHERE name = 'Wendlestow' LIMIT 1)) FOR UPDATE; \
                SELECT pg_sleep(8); COMMIT";
    thread::scope(|scope| {
        let began = Instant::now();
        let busy = scope.spawn(|| trial.sql(busy));
        thread::sleep(Duration::from_millis(500));
        trial.run(&walk("Early", "Ammerlow")).done();
        assert!(!busy.is_finished(), "others were waited for: {:?}", began.elapsed());
        trial.run(&walk("Late", "Wendlestow")).done();
        assert!(began.elapsed() >= Duration::from_secs(8), "who is busy was not waited for");
    });
}

#[test]
fn a_name_is_given_once_however_many_ask_for_it_at_a_time() {
    let Some(trial) = Trial::of_demo() else { return };
    let sites = ["Ammerlow", "Gullhythe", "Wendlestow"];
    for n in 0..6 {
        by(&trial, &format!("cache-{n}"), "week --on 2027-03-15").done();
    }
    let given: usize = thread::scope(|scope| {
        let asked: Vec<_> = (0..6)
            .map(|n| {
                let (trial, name) = (&trial, if n % 2 == 0 { "Spring" } else { "SPRING" });
                let words = walk(name, sites[n % 3]);
                scope.spawn(move || by(trial, &format!("cache-{n}"), &words))
            })
            .collect();
        let ended = asked.into_iter().map(|one| one.join().unwrap());
        ended.filter(|said| said.status == 0).count()
    });
    assert_eq!(given, 1);
    let named = "SELECT count(*) FROM stintbook.walk WHERE lower(name) = 'spring'";
    assert_eq!(trial.sql(named), "1");
}

#[test]
fn a_name_that_another_took_while_the_line_was_silent_is_not_given_twice() {
    let Some(trial) = Trial::of_demo() else { return };
    let line = Line::to(&trial.socket());
    let by_line = |words: &str| {
        let mut command = trial.command("postgres", "cache-line", words);
        Said::by(command.env("STINTBOOK", line.address(&trial.database)))
    };
    by_line("week --on 2027-03-15").done();
    by(&trial, "cache-other", "week --on 2027-03-15").done();
    line.break_before("WITH told", 1, Break::Stall);
    thread::scope(|scope| {
        let first = scope.spawn(|| by_line(&walk("Spring", "Wendlestow")));
        let until = Instant::now() + Duration::from_secs(20);
        while line.breaks() == 0 {
            assert!(Instant::now() < until, "the line does not break");
            thread::sleep(Duration::from_millis(20));
        }
        // Waits for the name until the server has let go of who went silent.
        by(&trial, "cache-other", &walk("Spring", "Ammerlow")).done();
        let said = first.join().unwrap().failed();
        assert!(said.contains("was changed by another at the same moment"), "{said}");
    });
    assert_eq!(trial.sql("SELECT count(*) FROM stintbook.walk WHERE name = 'Spring'"), "1");
}
