//! The field page on a phone without a signal, opened from a file.

pub mod asked;
pub mod home;
pub mod kept;
pub mod look;

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::OnceLock;

use serde_json::Value;

use crate::driven::{Driven, Tab};

/// The demo's book on its day, with a page for it and one for a walk of some days later.
pub struct Ground {
    folder: tempfile::TempDir,
    pub answers: Value,
}

/// A patch that is open that day; another one on the same site.
pub const PATCH: &str = "Wendlestow/Mill bank";
pub const DAY: &str = "2027-03-15";
pub const WALK_DAY: &str = "2027-03-18";

pub fn ground() -> &'static Ground {
    static GROUND: OnceLock<Ground> = OnceLock::new();
    GROUND.get_or_init(|| {
        let folder = tempfile::tempdir().unwrap();
        run(folder.path(), "demo");
        run(folder.path(), &format!("field --on {DAY} -o field.html --book demo.sqlite"));
        let walk = format!("field --on {DAY} --walk creek -o walk.html --book demo.sqlite");
        run(folder.path(), &walk);
        let page = fs::read_to_string(folder.path().join("field.html")).unwrap();
        let data = page.split("id=\"answers\">").nth(1).unwrap();
        let answers = serde_json::from_str(data.split("</script>").next().unwrap()).unwrap();
        Ground { folder, answers }
    })
}

impl Ground {
    pub fn page(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    /// A folder of its own with the same book.
    pub fn copied(&self) -> tempfile::TempDir {
        let folder = tempfile::tempdir().unwrap();
        let book = folder.path().join("demo.sqlite");
        fs::copy(self.page("demo.sqlite"), book).unwrap();
        folder
    }

    pub fn patch(&self, name: &str) -> &Value {
        let patches = self.answers["patches"].as_array().unwrap();
        patches.iter().find(|patch| patch["name"] == name).unwrap()
    }

    pub fn place(&self, name: &str) -> (f64, f64) {
        let at = &self.patch(name)["at"];
        (at[0].as_f64().unwrap(), at[1].as_f64().unwrap())
    }

    pub fn number(&self, name: &str) -> u64 {
        self.patch(name)["number"].as_u64().unwrap()
    }
}

pub fn run(folder: &Path, words: &str) -> String {
    let words = words.split('"').enumerate().flat_map(|(n, part)| match n % 2 {
        0 => part.split_whitespace().collect::<Vec<_>>(),
        _ => vec![part],
    });
    let made = Command::new(env!("CARGO_BIN_EXE_stintbook"))
        .args(words)
        .current_dir(folder)
        .env_remove("STINTBOOK")
        .env_remove("STINTBOOK_BY")
        .output()
        .unwrap();
    assert!(made.status.success(), "{}", String::from_utf8_lossy(&made.stderr));
    String::from_utf8(made.stdout).unwrap()
}

/// A clock that goes on from an hour of a day, whatever the machine's says.
pub fn clock(day: &str) -> String {
    format!(
        "(() => {{ const Real = Date; const ahead = Real.parse('{day}T10:00:00') - Real.now(); \
         globalThis.Date = class extends Real {{ \
         constructor(...parts) {{ parts.length ? super(...parts) : super(Real.now() + ahead); }} \
         static now() {{ return Real.now() + ahead; }} }}; }})();"
    )
}

/// Opens a page on a day, and waits until its script has run and its store was read.
pub fn opened(phone: &mut Driven, name: &str, before: &str) -> Tab {
    let tab = phone.tab(before);
    phone.open(&tab, &ground().page(name));
    phone.wait_for(&tab, "document.body.classList.contains('runs')");
    tab
}

/// Records a cut by touch, as Ida.
pub fn cut(phone: &mut Driven, tab: &Tab, patch: &str, amount: &str) {
    phone.touch(tab, &format!("#cut-{}", ground().number(patch)));
    phone.write(tab, "#amount", amount);
    phone.write(tab, "#by", "Ida");
    phone.touch(tab, "#keep");
    phone.wait_for(tab, "!document.querySelector('dialog')");
}

/// The card of a patch in the list.
pub fn card(phone: &mut Driven, tab: &Tab, patch: &str) -> String {
    let number = ground().number(patch);
    let card = format!(
        "[...document.querySelectorAll('#list article')]\
         .find(it => it.querySelector('.number').textContent === '{number}')?.innerText ?? ''"
    );
    phone.value(tab, &card).as_str().unwrap().to_owned()
}

pub fn has(text: &str, part: &str) {
    assert!(text.contains(part), "no `{part}` in:\n{text}");
}

pub fn has_not(text: &str, part: &str) {
    assert!(!text.contains(part), "`{part}` in:\n{text}");
}
