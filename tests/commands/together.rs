//! Two leaders' commands on one book at the same time.

use std::thread;

use crate::said::has;
use crate::trial::Trial;

#[test]
fn cuts_recorded_at_once_are_all_there_or_their_leader_was_told() {
    const EACH: usize = 8;
    let trial = Trial::with_a_surveyed_bank();
    let recorded: usize = thread::scope(|threads| {
        let leaders = ["Ida", "Tomas", "Una"].map(|leader| {
            let trial = &trial;
            threads.spawn(move || {
                let words = format!("cut bank 20g --part --again --by {leader} --on 2021-03-15");
                (0..EACH).filter(|_| was_recorded(&trial.run(&words))).count()
            })
        });
        leaders.into_iter().map(|leader| leader.join().unwrap()).sum()
    });
    assert!(recorded > 0);
    assert_eq!(trial.history().matches("cut by").count(), recorded);
    has(&trial.run("verify").out, &["The book is whole"]);
}

fn was_recorded(said: &crate::said::Said) -> bool {
    match said.status {
        0 => true,
        3 => {
            has(&said.err, &["another stintbook command is writing to", "try again in a moment"]);
            false
        }
        status => panic!("ended with {status}: {}", said.err),
    }
}
