//! A server that is away for a while, that only follows another, or that is not the one it says.

use std::thread;
use std::time::{Duration, Instant};

use crate::cluster::Cluster;
use crate::said::Said;
use crate::trial::Trial;

const WEEK: &str = "week --on 2027-03-15";

#[test]
fn a_server_that_starts_again_is_waited_for_and_one_that_stays_away_is_not() {
    let Some(trial) = Trial::of_demo_alone() else { return };
    let before = trial.run(WEEK).done();
    trial.cluster.restart(|| {
        let began = Instant::now();
        let said = trial.run(WEEK).failed();
        let took = began.elapsed();
        assert!(said.contains("cannot be reached") && said.contains("(asked for "), "{said}");
        assert!((3..12).contains(&took.as_secs()), "{took:?}");
    });
    // Who asks while it is away for a second hears nothing of it.
    thread::scope(|scope| {
        let asked = scope.spawn(|| {
            thread::sleep(Duration::from_millis(300));
            trial.run(WEEK).done()
        });
        trial.cluster.restart(|| thread::sleep(Duration::from_secs(1)));
        assert_eq!(asked.join().unwrap(), before);
    });
}

#[test]
fn a_replica_answers_and_records_nothing() {
    let Some(trial) = Trial::of_demo_alone() else { return };
    trial.make_role("ida");
    let replica = trial.cluster.standby();
    let by_replica = |words: &str| {
        let mut command = trial.command("postgres", "cache-replica", words);
        Said::by(command.env("STINTBOOK", replica.address(&trial.database, "postgres")))
    };
    assert_eq!(by_replica(WEEK).done(), trial.run(WEEK).done());
    let cut = "cut \"mill bank\" 20g --by Ida --on 2027-03-15";
    let let_in = format!("access role {} --as keeper", trial.role("ida"));
    for words in [cut, "walk forget Bo", &let_in] {
        let said = by_replica(words).failed();
        assert!(said.contains("is a replica that can only be read"), "{words}: {said}");
    }
    trial.run(cut).done();
    let until = Instant::now() + Duration::from_secs(20);
    while !by_replica("history").done().contains("20 g from Wendlestow/Mill bank") {
        assert!(Instant::now() < until, "the replica does not follow");
        thread::sleep(Duration::from_millis(100));
    }
}

#[test]
fn what_goes_over_a_network_is_encrypted_for_the_server_that_is_meant_and_for_no_other() {
    let Some((cluster, port)) = Cluster::encrypted() else { return };
    let trial = Trial::of_demo_on(cluster);
    let folder = trial.cluster.folder().display().to_string();
    let by = |host: &str, options: &str| {
        let address = format!("postgres://postgres@{host}:{port}/{}?{options}", trial.database);
        Said::by(trial.command("postgres", "cache-tls", WEEK).env("STINTBOOK", address))
    };
    let own = format!("sslrootcert={folder}/authority.crt");
    let week = trial.run(WEEK).done();
    assert_eq!(by("localhost", &own).done(), week);
    assert_eq!(by("localhost", &format!("sslmode=verify-full&{own}")).done(), week);
    // Who does without is not let in by this server, so the above was encrypted.
    let said = by("localhost", "sslmode=disable").failed();
    assert!(said.contains("does not let you in") && said.contains("no encryption"), "{said}");
    let strange = format!("sslrootcert={folder}/stranger.crt");
    let cases = [
        // Another authority than the one that signed, one of the web's, another host's name.
        ("localhost", strange.as_str(), "cannot be reached safely"),
        ("localhost", "sslmode=require", "cannot be reached safely"),
        ("127.0.0.1", own.as_str(), "cannot be reached safely"),
        ("localhost", "sslrootcert=/nowhere/at/all", "cannot be reached safely: `/nowhere/at/all`"),
    ];
    for (host, options, expected) in cases {
        let said = by(host, options).failed();
        assert!(said.contains(expected), "{options}: {said}");
        assert!(said.contains("sslrootcert=FILE"), "{options}: {said}");
    }
}
