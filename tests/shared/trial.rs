//! A database with the demo's book, and commands on it.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::sync::LazyLock;

use crate::cluster::{Cluster, cluster, own_cluster};
use crate::said::Said;

pub struct Trial {
    pub cluster: &'static Cluster,
    pub database: String,
    folder: tempfile::TempDir,
}

/// The demo's book in a file, made once.
pub fn demo() -> &'static Path {
    static DEMO: LazyLock<(tempfile::TempDir, PathBuf)> = LazyLock::new(|| {
        let folder = tempfile::tempdir().unwrap();
        Said::by(&mut command(folder.path(), "demo")).done();
        let path = folder.path().join("demo.sqlite");
        (folder, path)
    });
    &DEMO.1
}

impl Trial {
    /// In an empty database; `None` where no server is installed.
    pub fn empty() -> Option<Self> {
        cluster().map(|cluster| Self::on(cluster, cluster.database()))
    }

    /// With the demo's book.
    pub fn of_demo() -> Option<Self> {
        cluster().map(|cluster| Self::with_book(cluster, demo()))
    }

    /// The same on a server that nobody else uses.
    pub fn of_demo_alone() -> Option<Self> {
        own_cluster().map(|cluster| Self::with_book(cluster, demo()))
    }

    /// With a book of five sites.
    pub fn of_five_sites() -> Option<Self> {
        cluster().map(|cluster| Self::with_book(cluster, five_sites()))
    }

    /// The same on a server that nobody else uses.
    pub fn of_five_sites_alone() -> Option<Self> {
        own_cluster().map(|cluster| Self::with_book(cluster, five_sites()))
    }

    /// With the demo's book, on that server.
    pub fn of_demo_on(cluster: Cluster) -> Self {
        Self::with_book(Box::leak(Box::new(cluster)), demo())
    }

    /// With the book of that file in the database.
    fn with_book(cluster: &'static Cluster, file: &Path) -> Self {
        Self::on(cluster, cluster.with_book(file))
    }

    fn on(cluster: &'static Cluster, database: String) -> Self {
        Self { cluster, database, folder: tempfile::tempdir().unwrap() }
    }

    pub fn address(&self, role: &str) -> String {
        self.cluster.address(&self.database, role)
    }

    /// The server's socket.
    pub fn socket(&self) -> PathBuf {
        self.cluster.folder().join(".s.PGSQL.5432")
    }

    pub fn path(&self, file: &str) -> PathBuf {
        self.folder.path().join(file)
    }

    /// Runs `stintbook` on the server's book, as its owner.
    pub fn run(&self, words: &str) -> Said {
        Said::by(&mut self.command("postgres", "cache", words))
    }

    /// As a role, with a working copy of its own in the folder `cache`.
    pub fn command(&self, role: &str, cache: &str, words: &str) -> Command {
        let mut command = command(self.folder.path(), words);
        command.env("STINTBOOK", self.address(role));
        command.env("XDG_CACHE_HOME", self.path(cache));
        command
    }

    /// Runs `stintbook` on a file.
    pub fn on_file(&self, file: &Path, words: &str) -> Said {
        Said::by(command(self.folder.path(), words).env("STINTBOOK", file))
    }

    pub fn sql(&self, sql: &str) -> String {
        self.cluster.sql(&self.database, sql)
    }

    /// What the server calls somebody of this trial: roles are of all its databases.
    pub fn role(&self, name: &str) -> String {
        format!("{}_{name}", self.database)
    }

    pub fn make_role(&self, name: &str) {
        self.sql(&format!("CREATE ROLE {} LOGIN", self.role(name)));
    }

    /// Asked by such a role; what the server says where it refuses.
    pub fn sql_as(&self, name: &str, sql: &str) -> Result<String, String> {
        self.cluster.sql_as(&self.role(name), &self.database, sql)
    }
}

/// The demo's three sites, and two of a plainly synthetic land on the open sea; made once.
fn five_sites() -> &'static Path {
    static FIVE: LazyLock<(tempfile::TempDir, PathBuf)> = LazyLock::new(|| {
        let folder = tempfile::tempdir().unwrap();
        let file = make_five_sites(folder.path());
        (folder, file)
    });
    &FIVE.1
}

fn make_five_sites(folder: &Path) -> PathBuf {
    let file = folder.join("five.sqlite");
    fs::copy(demo(), &file).unwrap();
    for (number, site) in ["North moor", "South moor"].into_iter().enumerate() {
        let south = 48.0 + number as f64;
        let square = |west: f64, south: f64, side: f64| {
            let (east, north) = (west + side, south + side);
            format!(
                r#"{{"type":"Polygon","coordinates":[[[{west},{south}],[{east},{south}],
                [{east},{north}],[{west},{north}],[{west},{south}]]]}}"#
            )
        };
        let feature = |properties: &str, ground: String| {
            format!(r#"{{"type":"Feature","properties":{{{properties}}},"geometry":{ground}}}"#)
        };
        let patch = |name: &str, crop: &str, west: f64| {
            let properties =
                format!(r#""kind":"patch","name":"{name}","site":"{site}","crop":"{crop}""#);
            feature(&properties, square(west, south + 0.002, 0.0004))
        };
        let features = [
            feature(&format!(r#""kind":"site","name":"{site}""#), square(-20.0, south, 0.01)),
            patch("Bank", "nettle-tops", -19.998),
            patch("Wood", "ramsons-leaf", -19.996),
        ];
        let places = format!(
            r#"{{"type":"FeatureCollection","by":"Ida","recorded_on":"2026-03-01",
            "features":[{}]}}"#,
            features.join(",")
        );
        let mut surveys = String::from("patch,date,by,frame_area_m2,mass_g,recorded_on\n");
        for mass in [30, 20, 40, 25, 35, 30, 28, 32, 24, 36] {
            for patch in ["Bank", "Wood"] {
                surveys += &format!("{site}/{patch},2027-03-01,Ida,0.25,{mass},2027-03-01\n");
            }
        }
        let permission = format!(
            "site,basis,for,from,by,recorded_on\n\
             {site},written,own use; walk; sale,2026-01-01,Ida,2026-03-01\n"
        );
        for (name, text) in
            [("places.geojson", places), ("surveys.csv", surveys), ("permission.csv", permission)]
        {
            fs::write(folder.join(name), text).unwrap();
            // So far from the others that it is asked whether the place is right.
            let mut load = command(folder, &format!("load {name} --sure --on 2027-03-14"));
            Said::by(load.env("STINTBOOK", &file)).done();
        }
    }
    file
}

fn command(folder: &Path, words: &str) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_stintbook"));
    command
        .args(split(words))
        .current_dir(folder)
        .env_remove("STINTBOOK")
        .env_remove("STINTBOOK_BY")
        .env("XDG_CACHE_HOME", folder.join("cache"))
        .env("COLUMNS", "80")
        .stdin(Stdio::null());
    command
}

/// As a shell does: words end at spaces outside quotes.
fn split(words: &str) -> Vec<String> {
    let (mut all, mut word, mut quoted) = (Vec::new(), None::<String>, false);
    for c in words.chars() {
        match c {
            '"' => {
                quoted = !quoted;
                word.get_or_insert_default();
            }
            ' ' if !quoted => all.extend(word.take()),
            c => word.get_or_insert_default().push(c),
        }
    }
    all.extend(word);
    all
}
