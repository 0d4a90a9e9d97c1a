//! Where each party begins, and where it goes next, so that no patch is trodden by more people
//! at once than it bears.

/// A party and the patches where its shares lie, in walking order, by their position.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Crew {
    /// How many it is.
    pub people: u32,
    /// The position of each.
    pub patches: Vec<usize>,
}

/// Who is where in which round.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Stations {
    /// How many rounds it takes.
    pub rounds: u32,
    /// For each crew, in the order of its rounds.
    pub visits: Vec<Vec<Visit>>,
}

/// One crew on one patch.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Visit {
    /// From 1.
    pub round: u32,
    /// The patch's position.
    pub patch: usize,
    /// The crew alone is more people than the patch bears: it has the patch to itself, and
    /// should go in by halves.
    pub too_large: bool,
}

impl Stations {
    /// The rounds in which a crew waits for a patch to come free.
    pub fn waits(&self, crew: usize) -> Vec<u32> {
        let visits = self.visits.get(crew).map_or(&[][..], Vec::as_slice);
        let last = visits.last().map_or(0, |visit| visit.round);
        (1..=last).filter(|round| visits.iter().all(|visit| visit.round != *round)).collect()
    }
}

/// Spreads the crews over the patches, round by round. In each round those with the most
/// patches before them choose first, larger crews before smaller ones: in the first round the
/// patch with the fewest people, later the next in walking order that has room.
///
/// `bears` is how many people each patch bears at once, at least one. A patch that is not in
/// it, or named twice by a crew, is passed over.
pub fn stations(bears: &[u32], crews: &[Crew]) -> Stations {
    let mut before: Vec<Course> = crews.iter().map(|crew| Course::of(crew, bears.len())).collect();
    let mut stations = Stations { rounds: 0, visits: vec![Vec::new(); crews.len()] };
    while before.iter().any(|course| !course.patches.is_empty()) {
        stations.rounds += 1;
        let mut round = Round { bears, on: vec![Vec::new(); bears.len()] };
        for n in turns(&before, crews) {
            let people = crews[n].people;
            let fits = |patch: &usize| round.has_room(*patch, people);
            let course = &mut before[n];
            let chosen = match stations.rounds {
                1 => (0..course.patches.len())
                    .filter(|&at| fits(&course.patches[at]))
                    .min_by_key(|&at| round.people_on(course.patches[at])),
                _ => course.patches.iter().position(fits),
            };
            let Some(at) = chosen else { continue };
            let patch = course.leave_for(at);
            round.on[patch].push(people);
            let too_large = people > bears[patch].max(1);
            stations.visits[n].push(Visit { round: stations.rounds, patch, too_large });
        }
    }
    stations
}

/// The patches that a crew has not been to, from the one that it comes to next.
#[derive(Debug)]
struct Course {
    patches: Vec<usize>,
}

impl Course {
    fn of(crew: &Crew, patches: usize) -> Self {
        let mut course = Self { patches: Vec::new() };
        for &patch in crew.patches.iter().filter(|&&patch| patch < patches) {
            if !course.patches.contains(&patch) {
                course.patches.push(patch);
            }
        }
        course
    }

    /// Those passed by on the way come last.
    fn leave_for(&mut self, at: usize) -> usize {
        self.patches.rotate_left(at);
        self.patches.remove(0)
    }
}

#[derive(Debug)]
struct Round<'a> {
    bears: &'a [u32],
    /// How many people each crew on each patch is.
    on: Vec<Vec<u32>>,
}

impl Round<'_> {
    fn people_on(&self, patch: usize) -> u64 {
        self.on[patch].iter().map(|&people| u64::from(people)).sum()
    }

    fn has_room(&self, patch: usize, people: u32) -> bool {
        let together = self.people_on(patch) + u64::from(people);
        self.on[patch].is_empty() || together <= u64::from(self.bears[patch].max(1))
    }
}

/// The order in which the crews choose.
fn turns(before: &[Course], crews: &[Crew]) -> Vec<usize> {
    let mut turns: Vec<usize> = (0..crews.len()).collect();
    turns.sort_by_key(|&n| std::cmp::Reverse((before[n].patches.len(), crews[n].people)));
    turns
}
