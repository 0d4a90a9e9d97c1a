//! What was seen, promised and done on a patch, kept once more in one row: an answer about every
//! patch of a large book reads a tenth of the rows.
//!
//! Such a row is made of the facts and not believed past them. It counts only while the count of
//! its place is what it was when the row was written, so that whatever is recorded about a patch by
//! whichever way puts its row out of use; then the facts are read. Whoever records facts packs
//! their patches anew.

use std::ops::Range;
use std::sync::LazyLock;

use rusqlite::types::ToSqlOutput;
use rusqlite::{Connection, params};
use xxhash_rust::xxh3::{xxh3_64, xxh3_64_with_seed};

use super::bundle::{self, Bundle, Bundles, Bundling};
use super::by_place::ByPlace;
use super::envelope::ENVELOPE;
use super::fields::Fields;
use super::names::Names;
use super::packing::Unpacking;
use super::parts::{PART_ROW, PARTS_IN_ORDER};
use super::reader::{Run, Take, Which, each_row, runs_of};
use super::row::as_kept;
use super::seal::{SEALS, Sealer, Seals};
use super::sound::call;
use super::tables;
use super::tally::{Tally, Topic, kept};
use super::to_pack::ToPack;
use super::words::Words;
use crate::records::{Kind, for_its_type};

/// A table whose rows are packed.
struct Section {
    table: &'static str,
    /// In the order in which readers take them.
    columns: String,
    /// The others, which only its checksums need.
    rest: &'static str,
    /// What stands behind the condition of a query.
    order: &'static str,
}

static SECTIONS: LazyLock<Vec<Section>> = LazyLock::new(|| {
    let parts = Section {
        table: "part",
        columns: PART_ROW.clone(),
        rest: "ordinal, quadrats",
        order: PARTS_IN_ORDER,
    };
    let kinds = [Kind::Survey, Kind::Glance, Kind::Hold, Kind::Cut, Kind::Clipping];
    let of_kind = |kind: Kind| Section {
        table: kind.name(),
        columns: for_its_type!(kind, T => format!("{ENVELOPE}, {}", tables::columns::<T>())),
        rest: "key",
        order: "",
    };
    std::iter::once(parts).chain(kinds.into_iter().map(of_kind)).collect()
});

/// A row packed in another form is of another program, and not believed.
static FORM: LazyLock<i64> = LazyLock::new(|| {
    let all = SECTIONS.iter().map(|section| format!("{}: {}; ", section.table, section.columns));
    xxh3_64(all.collect::<String>().as_bytes()).cast_signed()
});

/// A patch with more rows is left as it is: to pack it anew with each of them would take longer
/// than it saves.
const MOST_ROWS: i64 = 1000;
/// Patches that are packed at once.
const AT_ONCE: usize = 1000;

/// What was packed of one patch, and may be believed.
#[derive(Debug)]
pub(super) struct Pack {
    pub(super) place: i64,
    /// The count of its place, where the book keeps it with the pack.
    pub(super) of: Option<Tally>,
    /// Of the rows that are in it.
    pub(super) tally: Tally,
    facts: Vec<u8>,
    /// How many rows of each table, and where in `facts` they lie.
    sections: Vec<(u64, Range<usize>)>,
}

/// What is packed of a row that is about to be written.
#[derive(Debug)]
pub(super) struct WrittenSection {
    section: usize,
    /// Where the columns that are packed are among those that are written.
    columns: Vec<usize>,
}

impl WrittenSection {
    /// `None` for a table whose rows are not packed. `written` is a list of all columns of a row, as
    /// a query has it.
    pub(super) fn of(table: &str, written: &str) -> Option<Self> {
        let (section, _) = section(table)?;
        let columns = SECTIONS[section].columns.split(", ");
        let at = |column| written.split(", ").position(|written| written == column);
        Some(Self { section, columns: columns.map(at).collect::<Option<_>>()? })
    }

    /// Packs a row that has these values, and these checksums.
    pub(super) fn pack(
        &self,
        values: &[ToSqlOutput],
        seals: Seals,
        bundles: &mut Bundles,
    ) -> rusqlite::Result<()> {
        let packed = self.columns.iter().map(|at| as_kept(&values[*at]));
        bundles.of_section(self.section).add(seals, packed)
    }
}

/// The number of the section of a table, and of its columns; `None` for a table whose rows are not
/// packed.
pub(super) fn section(table: &str) -> Option<(usize, usize)> {
    let at = SECTIONS.iter().position(|section| section.table == table)?;
    Some((at, SECTIONS[at].columns.split(',').count()))
}

/// Of a place of which nothing is packed yet: an empty bundle for each section.
pub(super) fn no_bundles() -> Vec<Bundle> {
    SECTIONS.iter().map(|_| Bundle::default()).collect()
}

impl Pack {
    /// Of what there is of each section of the place.
    pub(super) fn of_bundles(place: i64, bundles: &[Bundle]) -> Option<Self> {
        let (tally, facts) = bundle::joined(bundles);
        Self::of(place, None, tally, facts)
    }

    fn of(place: i64, of: Option<Tally>, tally: Tally, facts: Vec<u8>) -> Option<Self> {
        let mut sections = Vec::with_capacity(SECTIONS.len());
        let mut unpacking = Unpacking::of(&facts);
        for _ in 0..SECTIONS.len() {
            let (rows, bytes) = (unpacking.number()?, unpacking.counted()?.len());
            let end = facts.len() - unpacking.left();
            sections.push((rows, end - bytes..end));
        }
        Some(Self { place, of, tally, facts, sections })
    }

    /// How many rows of a [`section`] are in it; no more than anyone packs, if it should say so.
    pub(super) fn rows(&self, (section, _): (usize, usize)) -> usize {
        self.sections[section].0.min(MOST_ROWS.cast_unsigned()) as usize
    }

    /// Shows `read` each row of a [`section`].
    pub(super) fn each_row(
        &self,
        (section, columns): (usize, usize),
        words: &mut Words,
        read: &mut Take,
    ) -> rusqlite::Result<()> {
        let (rows, bytes) = &self.sections[section];
        let mut unpacking = Unpacking::of(&self.facts[bytes.clone()]);
        for _ in 0..*rows {
            let mut fields = Fields::packed(&mut unpacking, words);
            read(&mut fields)?;
            fields.pass_rest(columns)?;
        }
        Ok(())
    }
}

/// What is packed of the places in these runs and may be believed, in the order of its places; and
/// the runs of all other places. There are about `many`.
pub(super) fn packed_in(
    runs: &[Run],
    many: usize,
    book: &Connection,
) -> rusqlite::Result<(Vec<Pack>, Vec<Run>)> {
    let (mut packs, mut others) = (Vec::with_capacity(many), Vec::new());
    for &[first, last] in runs {
        let mut next = Some(first);
        each_current([first, last], book, |place, packed, seal| {
            let is_whole = packed.seal(place) == seal;
            let pack =
                is_whole.then(|| Pack::of(place, Some(packed.of), packed.tally, packed.facts));
            if let Some(pack) = pack.flatten() {
                others.extend(next.filter(|next| *next < place).map(|next| [next, place - 1]));
                next = place.checked_add(1);
                packs.push(pack);
            }
        })?;
        others.extend(next.filter(|next| *next <= last).map(|next| [next, last]));
    }
    Ok((packs, others))
}

/// Shows each row about which nothing was recorded since, with its place and its checksum.
fn each_current(
    run: Run,
    book: &Connection,
    mut show: impl FnMut(i64, Packed, i64),
) -> rusqlite::Result<()> {
    // The sign keeps SQLite from taking the place for another type than the subject, and reading
    // every tally for each place.
    let mut statement = book.prepare_cached(
        "SELECT place, of_rows, of_digest, packed.rows, packed.digest, facts, seal \
         FROM packed CROSS JOIN tally ON topic = 'place' AND subject = +place \
         WHERE place BETWEEN ? AND ? AND form = ? \
           AND tally.rows = of_rows AND tally.digest = of_digest",
    )?;
    let mut rows = statement.query(params![run[0], run[1], *FORM])?;
    while let Some(row) = rows.next()? {
        let packed = Packed {
            of: Tally { rows: row.get(1)?, digest: row.get(2)? },
            tally: Tally { rows: row.get(3)?, digest: row.get(4)? },
            facts: row.get(5)?,
        };
        show(row.get(0)?, packed, row.get(6)?);
    }
    Ok(())
}

/// Packs all patches of a book that has no packs yet. It may be damaged: what cannot be read is not
/// packed.
pub(super) fn pack_all(book: &Connection) -> rusqlite::Result<()> {
    let mut places = book.prepare("SELECT no FROM place WHERE kind = 'patch' ORDER BY no")?;
    let places = places.query_map([], |row| row.get(0))?.collect::<rusqlite::Result<Vec<i64>>>();
    if let Ok(places) = places {
        let _ = pack_anew(ToPack::of(places), book);
    }
    Ok(())
}

/// Packs what is known of those of the places that are patches.
pub(super) fn pack_anew(mut to_pack: ToPack, book: &Connection) -> rusqlite::Result<()> {
    let mut places = std::mem::take(&mut to_pack.places);
    places.sort_unstable();
    places.dedup();
    let mut replace = book.prepare_cached(
        "INSERT OR REPLACE INTO packed \
         (place, form, of_rows, of_digest, rows, digest, facts, seal) \
         VALUES (?, ?, ?, ?, ?, ?, ?, ?)",
    )?;
    let mut drop = book.prepare_cached("DELETE FROM packed WHERE place = ?")?;
    for some in places.chunks(AT_ONCE) {
        let others: Vec<i64> = some.iter().copied().filter(|place| !to_pack.has(*place)).collect();
        let mut made = made_of(&others, book)?;
        for place in some {
            let packed = match to_pack.take(*place) {
                Some(bundles) => count_to_pack(*place, book)?.map(|of| Packed::of(of, &bundles)),
                None => made.remove(place),
            };
            match packed {
                Some(packed) => {
                    let seal = packed.seal(*place);
                    let Packed { of, tally, facts } = packed;
                    replace.execute(params![
                        place,
                        *FORM,
                        of.rows,
                        of.digest,
                        tally.rows,
                        tally.digest,
                        facts,
                        seal
                    ])?
                }
                None => drop.execute([place])?,
            };
        }
    }
    Ok(())
}

/// The count of a patch, where it does not have too many rows to be packed.
fn count_to_pack(place: i64, book: &Connection) -> rusqlite::Result<Option<Tally>> {
    Ok(kept(&Topic::Place(place), book)?.filter(|of| of.rows <= MOST_ROWS))
}

/// What is packed otherwise than it was recorded, a sentence each.
pub(super) fn wrong(book: &Connection) -> rusqlite::Result<Vec<String>> {
    let mut wrong = Vec::new();
    let mut names = Names::default();
    let places: Vec<i64> = book
        .prepare("SELECT place FROM packed ORDER BY place")?
        .query_map([], |row| row.get(0))?
        .collect::<rusqlite::Result<_>>()?;
    for some in places.chunks(AT_ONCE) {
        let made = made_of(some, book)?;
        let [Some(&first), Some(&last)] = [some.first(), some.last()] else { continue };
        each_current([first, last], book, |place, packed, seal| {
            let is_right = seal == packed.seal(place)
                && made
                    .get(&place)
                    .is_some_and(|made| made.tally == packed.tally && made.facts == packed.facts);
            if !is_right {
                let place = call(place, &mut names, book);
                wrong.push(format!("what is packed of {place} is not what was recorded of it"));
            }
        })?;
    }
    Ok(wrong)
}

/// A row of the table, without its place.
struct Packed {
    /// The count of the place when it was packed.
    of: Tally,
    /// Of what is packed.
    tally: Tally,
    facts: Vec<u8>,
}

impl Packed {
    /// Of what there is of each section.
    fn of(of: Tally, bundles: &[Bundle]) -> Self {
        let (tally, facts) = bundle::joined(bundles);
        Self { of, tally, facts }
    }

    fn seal(&self, place: i64) -> i64 {
        let Self { of, tally, facts } = self;
        let numbers = [place, *FORM, of.rows, of.digest, tally.rows, tally.digest];
        let head = numbers.map(i64::to_le_bytes).concat();
        xxh3_64_with_seed(facts, xxh3_64(&head)).cast_signed()
    }
}

/// A patch being packed.
struct Making {
    of: Tally,
    /// Of each section so far.
    sections: Vec<Bundling>,
    is_sound: bool,
}

impl Making {
    fn of(of: Tally) -> Self {
        let sections = SECTIONS.iter().map(|_| Bundling::default()).collect();
        Self { of, sections, is_sound: true }
    }

    fn done(self) -> Option<Packed> {
        let bundles: Vec<Bundle> = self.sections.into_iter().map(Bundling::done).collect();
        self.is_sound.then(|| Packed::of(self.of, &bundles))
    }
}

/// What is to be packed of these places, which are in order: nothing of a site, of a patch with too
/// many rows, or of one with a row that is not what was recorded.
fn made_of(places: &[i64], book: &Connection) -> rusqlite::Result<ByPlace<Packed>> {
    let mut making = ByPlace::default();
    let mut patches =
        book.prepare_cached("SELECT no FROM place WHERE kind = 'patch' AND no BETWEEN ? AND ?")?;
    for run in runs_of(places) {
        for place in patches.query_map(run, |row| row.get(0))? {
            let place = place?;
            making.extend(count_to_pack(place, book)?.map(|of| (place, Making::of(of))));
        }
    }
    let mut patches: Vec<i64> = making.keys().copied().collect();
    patches.sort_unstable();
    let runs = runs_of(&patches);
    let mut words = Words::default();
    for (at, Section { table, columns, rest, order }) in SECTIONS.iter().enumerate() {
        let packed = columns.split(',').count();
        let columns = format!("{columns}, {rest}, {SEALS}");
        let mut sealer = Sealer::of_list(&columns);
        let Some(of_place) = sealer.place else { continue };
        let select = format!("SELECT {columns} FROM {table}");
        each_row(book, &mut words, Which::Within(&runs), [&select, order], &mut |fields| {
            let cells = fields.cells();
            let Some(making) = making.get_mut(&cells.get(of_place)?.as_i64()?) else {
                return Ok(());
            };
            let Ok(seals) = sealer.look(cells)? else {
                making.is_sound = false;
                return Ok(());
            };
            making.sections[at].add(seals, (0..packed).map(|at| cells.get(at)))
        })?;
    }
    Ok(making.into_iter().filter_map(|(place, making)| Some((place, making.done()?))).collect())
}
