//! A book to try things on, and plainly invented records to put into it.

use std::path::PathBuf;

use geo::{LineString, MultiPolygon, Point, Polygon};
use jiff::ToSpan;
use jiff::civil::{Date, date};
use stintbook::book::{Book, BookError, NewFact, Refusal};
use stintbook::records::{
    Correction, Cut, Fact, FactId, Footprint, Frame, Glance, Patch, PatchName, Placement, Quadrat,
    Record, Replacement, Site, SiteName, Stratum, Survey, SurveyMethod, Taken,
};
use stintbook::units::{Amount, Metres, SquareMetres};
use uuid::Uuid;

/// A book in a folder of its own, which goes when the trial does.
pub struct Trial {
    pub book: Book,
    pub path: PathBuf,
    pub folder: tempfile::TempDir,
    ids: u128,
}

pub fn id(number: u128) -> FactId {
    const VERSION_7: u128 = 7 << 76;
    FactId(Uuid::from_u128(VERSION_7 | number))
}

/// Days are numbered from 1 January 2027 on.
pub fn day(number: i32) -> Date {
    date(2027, 1, 1).checked_add(number.days()).unwrap()
}

pub fn patch_name(name: &str) -> PatchName {
    name.parse().unwrap()
}

pub fn site_name(name: &str) -> SiteName {
    name.parse().unwrap()
}

pub fn square(lon: f64, lat: f64) -> MultiPolygon {
    let ring = vec![(lon, lat), (lon + 0.01, lat), (lon + 0.01, lat + 0.01), (lon, lat)];
    MultiPolygon(vec![Polygon::new(LineString::from(ring), Vec::new())])
}

pub fn site(name: &str) -> Record {
    site_at(name, -20.0)
}

/// The same with its western edge at that longitude.
pub fn site_at(name: &str, lon: f64) -> Record {
    Record::Site(Site {
        name: site_name(name),
        boundary: square(lon, 45.0),
        occupier: None,
        protected: None,
        cautions: None,
    })
}

pub fn patch(name: &str, crop: &str) -> Record {
    Record::Patch(Patch {
        name: patch_name(name),
        crop: crop.into(),
        footprint: Footprint::Disc { centre: Point::new(-19.995, 45.005), radius: Metres(4.0) },
        underfoot: None,
        note: None,
    })
}

pub fn survey(patch: &str, amounts: &[f64]) -> Record {
    let quadrats = amounts.iter().map(|&amount| Quadrat { at: None, amount }).collect();
    Record::Survey(Survey {
        patch: patch_name(patch),
        placement: Placement::NotSaid,
        ripe: None,
        method: SurveyMethod::Quadrats(vec![Stratum {
            name: "".into(),
            area: None,
            frame: Frame::Area(SquareMetres(0.25)),
            quadrats,
        }]),
        note: None,
    })
}

pub fn glance(patch: &str, grams: f64) -> Record {
    Record::Glance(Glance { patch: patch_name(patch), standing: Amount::grams(grams) })
}

pub fn cut(patch: &str, grams: f64) -> Record {
    Record::Cut(Cut {
        patch: patch_name(patch),
        amount: Amount::grams(grams),
        taken: Taken::All,
        people: Some(4),
        method: None,
        walk: None,
    })
}

pub fn fact(id: FactId, day: Date, record: Record) -> NewFact {
    let key = record.natural_key(day, "a leader");
    let fact =
        Fact { id, happened_on: day, recorded_on: day, by: "a leader".into(), file: None, record };
    NewFact { key, fact }
}

pub fn correction(id: FactId, replaced: FactId, by: Option<FactId>, on: Date) -> Correction {
    Correction {
        id,
        replaced,
        replacement: by.map_or(Replacement::Withdrawn, Replacement::By),
        why: "it was misread".into(),
        recorded_on: on,
        by: "a keeper".into(),
    }
}

impl Trial {
    pub fn new() -> Self {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("trial.book");
        let book = Book::create(&path).unwrap();
        Self { book, path, folder, ids: 0 }
    }

    /// With all that the other's file has, names of parties and their ids among it.
    pub fn copy_of(other: &Self) -> Self {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("trial.book");
        let file = rusqlite::Connection::open(&other.path).unwrap();
        file.execute("VACUUM INTO ?", [path.to_str().unwrap()]).unwrap();
        let book = Book::open(&path).unwrap();
        Self { book, path, folder, ids: other.ids }
    }

    /// With a site `wood`, its patches `bank` and `ride` of nettle, all recorded on day 0.
    pub fn with_two_patches() -> Self {
        let mut trial = Self::new();
        trial.record(0, site("wood"));
        trial.record(0, patch("wood/bank", "nettle-shoot"));
        trial.record(0, patch("wood/ride", "nettle-shoot"));
        trial
    }

    /// So that two books' facts have ids of their own.
    pub fn count_ids_from(&mut self, number: u128) {
        self.ids = number;
    }

    pub fn new_id(&mut self) -> FactId {
        self.ids += 1;
        id(self.ids)
    }

    /// Records what happened on a day on that day.
    pub fn record(&mut self, on: i32, record: Record) -> FactId {
        self.try_record(on, record).unwrap()
    }

    pub fn try_record(&mut self, on: i32, record: Record) -> Result<FactId, BookError> {
        let id = self.new_id();
        self.book.append(&[fact(id, day(on), record)], &[])?;
        Ok(id)
    }

    pub fn correct(&mut self, on: i32, wrong: FactId, right: Record) -> FactId {
        self.try_correct(on, wrong, right).unwrap()
    }

    pub fn try_correct(
        &mut self,
        on: i32,
        wrong: FactId,
        right: Record,
    ) -> Result<FactId, BookError> {
        let (new, about) = (self.new_id(), self.new_id());
        let correction = correction(about, wrong, Some(new), day(on));
        self.book.append(&[fact(new, day(on), right)], &[correction])?;
        Ok(new)
    }

    pub fn withdraw(&mut self, on: i32, wrong: FactId) -> Result<(), BookError> {
        let about = self.new_id();
        self.book.append(&[], &[correction(about, wrong, None, day(on))])
    }

    /// The grams of each cut that counts on a patch, as known on a day.
    pub fn cuts_of(&self, patch: &str, known_on: Option<i32>) -> Vec<f64> {
        let ledger = self.book.ledger(&stintbook::book::Scope::All, known_on.map(day)).unwrap();
        let cuts = ledger
            .patches()
            .filter(|(_, facts)| facts.patch.record.name == patch_name(patch))
            .flat_map(|(_, facts)| facts.cuts.iter().map(|cut| cut.record.amount.value));
        cuts.collect()
    }
}

pub fn refusal<T: std::fmt::Debug>(result: Result<T, BookError>) -> Refusal {
    match result.unwrap_err() {
        BookError::Refused(refusal) => refusal,
        BookError::Storage(error) => panic!("the file was at fault: {error}"),
    }
}
