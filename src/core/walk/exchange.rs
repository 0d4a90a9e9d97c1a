//! Exchanges that leave fewer cuts too small to be of use.

use std::cmp::Reverse;

/// Units by patch and party.
type Table = [Vec<u64>];

/// One party moves units from one patch to another; where they do not find room, another party
/// moves some the other way.
#[derive(Clone, Copy, Debug)]
struct Exchange {
    party: usize,
    from: usize,
    to: usize,
    units: u64,
    back: Option<Back>,
}

#[derive(Clone, Copy, Debug)]
struct Back {
    party: usize,
    units: u64,
}

/// Makes exchanges as long as one leaves fewer cuts under `least`, or as many and fewer cuts.
pub(super) fn mend(table: &mut Table, may: &[u64], least: u64) {
    while let Some(better) = best(table, may, least) {
        better.make(table);
    }
}

/// How many cuts are too small, and how many there are.
type Badness = (i64, i64);

fn best(table: &Table, may: &[u64], least: u64) -> Option<Exchange> {
    let worth = |exchange: Exchange| {
        let gain = exchange.gain(table, least)?;
        (gain > (0, 0) && exchange.finds_room(table, may)).then_some((gain, exchange))
    };
    // The first of those that gain most.
    possible(table, least).filter_map(worth).min_by_key(|(gain, _)| Reverse(*gain)).map(|w| w.1)
}

/// Exchanges that touch a cut too small to be of use.
fn possible(table: &Table, least: u64) -> impl Iterator<Item = Exchange> {
    let parties = table.first().map_or(0, Vec::len);
    let pairs = (0..table.len()).flat_map(|from| (0..table.len()).map(move |to| (from, to)));
    let pairs = pairs.filter(|(from, to)| from != to);
    let moves = pairs.flat_map(move |(from, to)| (0..parties).map(move |party| (party, from, to)));
    let moves = moves.filter(move |&(party, from, to)| {
        let (gives, has) = (table[from][party], table[to][party]);
        gives > 0 && (is_small(gives, least) || is_small(has, least))
    });
    moves.flat_map(move |(party, from, to)| {
        let alone = alone(table, least, party, from, to);
        let others = (0..parties).filter(move |&other| other != party);
        alone.chain(others.flat_map(move |other| together(table, least, [party, other], from, to)))
    })
}

fn alone(
    table: &Table,
    least: u64,
    party: usize,
    from: usize,
    to: usize,
) -> impl Iterator<Item = Exchange> {
    let gives = table[from][party];
    let amounts = amounts(gives, table[to][party], least).filter(move |&units| units <= gives);
    amounts.map(move |units| Exchange { party, from, to, units, back: None })
}

fn together(
    table: &Table,
    least: u64,
    [party, other]: [usize; 2],
    from: usize,
    to: usize,
) -> impl Iterator<Item = Exchange> {
    let (gives, returns) = (table[from][party], table[to][other]);
    let ours = amounts(gives, table[to][party], least);
    let both = ours.chain(amounts(returns, table[from][other], least));
    let there = both.clone().filter(move |&units| units <= gives);
    let ways = there.flat_map(move |units| both.clone().map(move |back| (units, back)));
    let ways = ways.filter(move |&(_, back)| back <= returns);
    ways.map(move |(units, back)| {
        let back = Some(Back { party: other, units: back });
        Exchange { party, from, to, units, back }
    })
}

fn is_small(units: u64, least: u64) -> bool {
    units > 0 && units < least
}

/// What to move from one cut to another: all; all but what is of use; what makes the other one
/// of use.
fn amounts(gives: u64, has: u64, least: u64) -> impl Iterator<Item = u64> + Clone {
    let amounts = [gives, gives.saturating_sub(least), least.saturating_sub(has)];
    amounts.into_iter().filter(|&units| units > 0)
}

impl Exchange {
    /// How much less bad the cuts are afterwards; `None` where someone would hold too many.
    fn gain(&self, table: &Table, least: u64) -> Option<Badness> {
        let there = moved(table[self.from][self.party], table[self.to][self.party], self.units)?;
        let back = self.back.map_or(Some((0, 0)), |back| {
            moved(table[self.to][back.party], table[self.from][back.party], back.units)
        })?;
        let touched = [(self.party, there)].into_iter().chain(self.back.map(|b| (b.party, back)));
        let cut_by = |party: usize| [table[self.from][party], table[self.to][party]];
        let gain = |(party, after): (usize, (u64, u64))| {
            let (before, after) = (badness(cut_by(party), least), badness(after.into(), least));
            (before.0 - after.0, before.1 - after.1)
        };
        Some(touched.map(gain).fold((0, 0), |sum, gain| (sum.0 + gain.0, sum.1 + gain.1)))
    }

    fn finds_room(&self, table: &Table, may: &[u64]) -> bool {
        let back = self.back.map_or(0, |back| back.units);
        let cut = |patch: usize| table[patch].iter().map(|&units| u128::from(units)).sum::<u128>();
        let fits = |patch: usize, comes: u64, goes: u64| {
            cut(patch) + u128::from(comes) <= u128::from(may[patch]) + u128::from(goes)
        };
        fits(self.to, self.units, back) && fits(self.from, back, self.units)
    }

    fn make(&self, table: &mut Table) {
        table[self.from][self.party] -= self.units;
        table[self.to][self.party] += self.units;
        if let Some(back) = self.back {
            table[self.to][back.party] -= back.units;
            table[self.from][back.party] += back.units;
        }
    }
}

fn moved(gives: u64, has: u64, units: u64) -> Option<(u64, u64)> {
    Some((gives.checked_sub(units)?, has.checked_add(units)?))
}

fn badness(cuts: [u64; 2], least: u64) -> Badness {
    let number = |what: fn(u64, u64) -> bool| {
        cuts.iter().filter(|&&units| what(units, least)).count() as i64
    };
    (number(is_small), number(|units, _| units > 0))
}
