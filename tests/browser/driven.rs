//! A Chromium that is driven step by step over the pipe of its DevTools protocol, as a hand with a
//! phone would: it touches, types, moves about, loses its store.

use std::io::{BufRead, BufReader, Write};
use std::path::Path;
use std::process::{Child, ChildStdin, ChildStdout, Command, Stdio};
use std::time::{Duration, Instant};

use serde_json::{Value, json};

use crate::Missing;
use crate::chromium::Chromium;

/// Longer nothing takes that ends at all.
const PATIENCE: Duration = Duration::from_secs(20);

/// What the browser answers of a page that is left while it is asked.
const LEFT: &str = "Inspected target navigated or closed";

/// The protocol's pipe is on the third and fourth descriptor.
const PIPED: &str = "exec \"$0\" \"$@\" 3<&0 4>&1 </dev/null >/dev/null 2>&1";

pub struct Driven {
    child: Child,
    to: ChildStdin,
    from: BufReader<ChildStdout>,
    sent: u64,
    _profile: tempfile::TempDir,
}

/// One page of it.
#[derive(Clone, Debug)]
pub struct Tab(String);

impl Driven {
    pub fn start() -> Result<Self, Missing> {
        let chromium = Chromium::find()?;
        let profile = tempfile::tempdir().unwrap();
        let mut child = Command::new("sh")
            .args(["-c", PIPED])
            .arg(chromium.program())
            .args(["--headless", "--no-sandbox", "--disable-gpu", "--no-first-run"])
            .args(["--disable-background-networking", "--disable-component-update"])
            .args(["--disable-sync", "--hide-scrollbars", "--remote-debugging-pipe"])
            .arg(format!("--user-data-dir={}", profile.path().display()))
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .spawn()
            .unwrap();
        let (to, from) = (child.stdin.take().unwrap(), child.stdout.take().unwrap());
        Ok(Self { child, to, from: BufReader::new(from), sent: 0, _profile: profile })
    }

    fn ask(&mut self, session: Option<&Tab>, method: &str, asked: Value) -> Value {
        let said = self.try_to_ask(session, method, asked);
        said.unwrap_or_else(|error| panic!("{method}: {error}"))
    }

    /// What the browser answers, or why it does not.
    fn try_to_ask(
        &mut self,
        session: Option<&Tab>,
        method: &str,
        asked: Value,
    ) -> Result<Value, Value> {
        self.sent += 1;
        let mut message = json!({ "id": self.sent, "method": method, "params": asked });
        if let Some(Tab(session)) = session {
            message["sessionId"] = session.as_str().into();
        }
        self.to.write_all(message.to_string().as_bytes()).unwrap();
        self.to.write_all(&[0]).unwrap();
        self.to.flush().unwrap();
        loop {
            let mut text = Vec::new();
            self.from.read_until(0, &mut text).unwrap();
            assert_eq!(text.pop(), Some(0), "the browser is gone");
            let said: Value = serde_json::from_slice(&text).unwrap();
            if said["id"] == self.sent {
                return match said["error"].is_null() {
                    true => Ok(said["result"].clone()),
                    false => Err(said["error"].clone()),
                };
            }
        }
    }

    pub fn of_browser(&mut self, method: &str, asked: Value) -> Value {
        self.ask(None, method, asked)
    }

    pub fn of(&mut self, tab: &Tab, method: &str, asked: Value) -> Value {
        self.ask(Some(tab), method, asked)
    }

    /// An empty tab the size of a phone, without a network. What `before` says runs before any
    /// script of a page.
    pub fn tab(&mut self, before: &str) -> Tab {
        let target = self.of_browser("Target.createTarget", json!({ "url": "about:blank" }));
        let asked = json!({ "targetId": target["targetId"], "flatten": true });
        let session = self.of_browser("Target.attachToTarget", asked);
        let tab = Tab(session["sessionId"].as_str().unwrap().to_owned());
        for domain in ["Page.enable", "Runtime.enable", "Network.enable"] {
            self.of(&tab, domain, json!({}));
        }
        let phone = json!({ "width": 390, "height": 844, "deviceScaleFactor": 1, "mobile": true });
        self.of(&tab, "Emulation.setDeviceMetricsOverride", phone);
        let offline = json!({
            "offline": true, "latency": 0, "downloadThroughput": 0, "uploadThroughput": 0,
        });
        self.of(&tab, "Network.emulateNetworkConditions", offline);
        self.of(&tab, "Page.addScriptToEvaluateOnNewDocument", json!({ "source": before }));
        tab
    }

    pub fn open(&mut self, tab: &Tab, page: &Path) {
        let address = format!("file://{}", page.display());
        self.of(tab, "Page.navigate", json!({ "url": address }));
        self.wait_for(tab, "document.readyState === 'complete' && location.protocol === 'file:'");
    }

    /// A tab that reaches the machine that it runs on.
    pub fn tab_in_the_net(&mut self, before: &str) -> Tab {
        let tab = self.tab(before);
        let online = json!({
            "offline": false, "latency": 0, "downloadThroughput": -1, "uploadThroughput": -1,
        });
        self.of(&tab, "Network.emulateNetworkConditions", online);
        tab
    }

    /// Opens an address, and waits until it stands there.
    pub fn go(&mut self, tab: &Tab, address: &str) {
        self.value(tab, "(globalThis.isOld = true)");
        self.of(tab, "Page.navigate", json!({ "url": address }));
        self.wait_for(tab, "document.readyState === 'complete' && !globalThis.isOld");
    }

    /// The value of an expression in the page; a promise is waited for.
    pub fn value(&mut self, tab: &Tab, expression: &str) -> Value {
        let value = self.value_unless_left(tab, expression);
        value.unwrap_or_else(|| panic!("{expression}: the page was left meanwhile"))
    }

    /// `None` where the page was being left as it was asked.
    fn value_unless_left(&mut self, tab: &Tab, expression: &str) -> Option<Value> {
        let asked =
            json!({ "expression": expression, "awaitPromise": true, "returnByValue": true });
        match self.try_to_ask(Some(tab), "Runtime.evaluate", asked) {
            Ok(said) => {
                assert!(said["exceptionDetails"].is_null(), "{expression}: {said:#}");
                Some(said["result"]["value"].clone())
            }
            Err(error) if error["message"] == LEFT => None,
            Err(error) => panic!("{expression}: {error}"),
        }
    }

    pub fn text(&mut self, tab: &Tab, selector: &str) -> String {
        let found = format!("document.querySelector({})?.innerText ?? ''", json!(selector));
        self.value(tab, &found).as_str().unwrap().to_owned()
    }

    /// Waits until a condition holds, also across to another page.
    pub fn wait_for(&mut self, tab: &Tab, condition: &str) {
        let begun = Instant::now();
        while self.value_unless_left(tab, &format!("!!({condition})")) != Some(true.into()) {
            if begun.elapsed() > PATIENCE {
                panic!("never: {condition}; the page says:\n{}", self.text(tab, "body"));
            }
            std::thread::sleep(Duration::from_millis(30));
        }
    }

    /// Touches an element that is there.
    pub fn touch(&mut self, tab: &Tab, selector: &str) {
        let touch = format!("document.querySelector({}).click()", json!(selector));
        self.value(tab, &touch);
    }

    pub fn write(&mut self, tab: &Tab, selector: &str, text: &str) {
        let write = format!(
            "(() => {{ const field = document.querySelector({}); field.value = {}; \
             field.dispatchEvent(new Event('input')); }})()",
            json!(selector),
            json!(text)
        );
        self.value(tab, &write);
    }

    /// Presses a key on the keyboard; `text` is what it types.
    pub fn key(&mut self, tab: &Tab, key: &str, code: u32, text: &str) {
        for kind in ["keyDown", "keyUp"] {
            let mut press = json!({ "type": kind, "key": key, "windowsVirtualKeyCode": code });
            if kind == "keyDown" && !text.is_empty() {
                press["text"] = text.into();
            }
            self.of(tab, "Input.dispatchKeyEvent", press);
        }
    }

    pub fn stand_at(&mut self, tab: &Tab, (lon, lat): (f64, f64), accuracy: f64) {
        let place = json!({ "longitude": lon, "latitude": lat, "accuracy": accuracy });
        self.of(tab, "Emulation.setGeolocationOverride", place);
    }

    /// As wide as a laptop's window, or a phone.
    pub fn wide(&mut self, tab: &Tab, width: u32) {
        let screen =
            json!({ "width": width, "height": 844, "deviceScaleFactor": 1, "mobile": width < 600 });
        self.of(tab, "Emulation.setDeviceMetricsOverride", screen);
    }

    pub fn without_script(&mut self, tab: &Tab) {
        self.of(tab, "Emulation.setScriptExecutionDisabled", json!({ "value": true }));
    }

    pub fn scheme(&mut self, tab: &Tab, scheme: &str) {
        let features = json!([{ "name": "prefers-color-scheme", "value": scheme }]);
        self.of(tab, "Emulation.setEmulatedMedia", json!({ "features": features }));
    }
}

impl Drop for Driven {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}
