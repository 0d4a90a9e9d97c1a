//! Runs a headless Chromium on one page.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use crate::Missing;
use crate::made::Page;

/// Names under which systems have it.
const NAMES: [&str; 4] = ["chromium", "chromium-browser", "google-chrome", "chrome"];

/// Nothing is fetched, nothing is kept, and no other process has a say.
const QUIET: [&str; 10] = [
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--hide-scrollbars",
    "--virtual-time-budget=20000",
];

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Screen {
    Laptop,
    /// 390 by 844: a frame in a window, since a window cannot be so narrow.
    Phone,
    DarkLaptop,
}

/// A browser that was found.
#[derive(Debug)]
pub struct Chromium {
    program: PathBuf,
}

impl Chromium {
    pub fn find() -> Result<Self, Missing> {
        let folders = std::env::var_os("PATH").unwrap_or_default();
        let mut programs =
            std::env::split_paths(&folders).flat_map(|folder| NAMES.map(|name| folder.join(name)));
        let program = programs.find(|program| program.is_file());
        program.map(|program| Self { program }).ok_or(Missing("no Chromium is installed"))
    }

    pub fn program(&self) -> &Path {
        &self.program
    }

    /// What a script says of a page by calling `tell` once.
    pub fn told(&self, page: &Page, script: &str, screen: Screen) -> String {
        let folder = tempfile::tempdir().unwrap();
        let tried = folder.path().join("tried.htm");
        fs::write(&tried, with_script(&page.text, script)).unwrap();
        let dom = match screen {
            Screen::Laptop => self.dom(&tried, &[]),
            Screen::DarkLaptop => self.dom(&tried, &["--blink-settings=preferredColorScheme=0"]),
            Screen::Phone => {
                let framed = folder.path().join("framed.htm");
                fs::write(&framed, phone(&tried)).unwrap();
                self.dom(&framed, &[])
            }
        };
        found(&dom)
    }

    /// The document as it stands once its scripts have run.
    fn dom(&self, page: &Path, options: &[&str]) -> String {
        let window = ["--dump-dom", "--window-size=1280,1600"];
        String::from_utf8(self.run(page, &[&window, options].concat())).unwrap()
    }

    /// What the printer would get.
    pub fn pdf(&self, page: &Path) -> Vec<u8> {
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join("page.pdf");
        let print = format!("--print-to-pdf={}", file.display());
        self.run(page, &["--no-pdf-header-footer", &print]);
        fs::read(file).unwrap()
    }

    fn run(&self, page: &Path, options: &[&str]) -> Vec<u8> {
        let profile = tempfile::tempdir().unwrap();
        let output = Command::new(&self.program)
            .args(QUIET)
            .arg(format!("--user-data-dir={}", profile.path().display()))
            .args(options)
            .arg(format!("file://{}", page.display()))
            .stdin(Stdio::null())
            .output()
            .unwrap();
        assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
        output.stdout
    }
}

/// Where a script leaves what it tells, for who dumps the document or holds the frame.
const TELL: &str = "const tell = text => {\
    document.getElementById('told-by-script').textContent = text;\
    if (parent !== window) parent.postMessage(text, '*');};";

fn with_script(page: &str, script: &str) -> String {
    let tail =
        format!("<pre id=\"told-by-script\" hidden></pre><script>{TELL}{script}</script></body>");
    page.replacen("</body>", &tail, 1)
}

fn phone(page: &Path) -> String {
    format!(
        "<!DOCTYPE html><meta charset=\"utf-8\"><pre id=\"told-by-script\" hidden></pre><script>\
         addEventListener('message', event => \
         document.getElementById('told-by-script').textContent = event.data);</script>\
         <iframe src=\"file://{}\" width=\"390\" height=\"844\" style=\"border:0\"></iframe>",
        page.display()
    )
}

/// What a script told, its text put back from the markup.
fn found(dom: &str) -> String {
    let after = dom.split("<pre id=\"told-by-script\" hidden=\"\">").nth(1).unwrap();
    let text = after.split("</pre>").next().unwrap();
    text.replace("&lt;", "<").replace("&gt;", ">").replace("&nbsp;", " ").replace("&amp;", "&")
}
