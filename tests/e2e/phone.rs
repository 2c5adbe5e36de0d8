//! A phone with the app on it: a browser of 360 × 740 points at twice the
//! density, with touch, and a profile that outlives the browser.
//!
//! Everything waits for what it is asked for, up to [`PATIENCE`], and then fails
//! with what the page and its console have to say.

use std::cell::Cell;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::thread::sleep;
use std::time::{Duration, Instant};

use base64::Engine as _;
use base64::prelude::BASE64_STANDARD;
use serde_json::{Value, json};
use tempfile::TempDir;

use crate::webdriver::WebDriver;
use lidoff_testkit::repository;

/// How long a thing may take to appear before the test fails.
pub const PATIENCE: Duration = Duration::from_secs(15);

/// How long something may be in the way of a tap.
const MOMENT: Duration = Duration::from_secs(2);

/// Under which a found element's name is told (WebDriver, "Elements").
const ELEMENT: &str = "element-6066-11e4-a52e-4f735466cecf";

/// What the system is set to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Theme {
    /// Dark on light.
    Light,
    /// Light on dark.
    Dark,
    /// As contrasty as can be, for glare.
    Sunlight,
}

impl Theme {
    /// Every one.
    pub const ALL: [Self; 3] = [Self::Light, Self::Dark, Self::Sunlight];

    /// The word for it in file names and in CSS.
    pub fn name(self) -> &'static str {
        match self {
            Self::Light => "light",
            Self::Dark => "dark",
            Self::Sunlight => "sunlight",
        }
    }
}

/// A browser with a profile of its own; both are gone when it is dropped.
pub struct Phone {
    driver: WebDriver,
    profile: TempDir,
    /// When Done was tapped or pressed last.
    pub last_done: Cell<Option<Instant>>,
    /// How far the clocks of the pages are ahead of this machine's.
    pub ahead: Cell<Duration>,
}

impl Phone {
    /// A phone that has never seen the app.
    pub fn new() -> Self {
        let profile = profile_folder();
        Self {
            driver: WebDriver::start(&capabilities(profile.path())),
            profile,
            last_done: Cell::new(None),
            ahead: Cell::new(Duration::ZERO),
        }
    }

    // --- Going about ---------------------------------------------------------

    /// Goes to an address and waits until the page has loaded.
    pub fn open(&self, address: &str) {
        self.post("url", &json!({ "url": address }));
    }

    /// Loads the page again.
    pub fn reload(&self) {
        self.post("refresh", &json!({}));
    }

    /// The app's name as the page has it, without the screen's.
    pub fn app_name(&self) -> String {
        let title = text(&self.get("title"));
        title.rsplit(" – ").next().unwrap_or_default().to_owned()
    }

    // --- Looking and touching --------------------------------------------------

    /// Waits until something that fits the CSS selector is on the screen.
    pub fn see(&self, css: &str) {
        self.wait_until(&format!("something like {css} is on the screen"), || {
            self.shown(css)
        });
    }

    /// Waits until nothing that fits the CSS selector is on the screen.
    pub fn see_no(&self, css: &str) {
        self.wait_until(&format!("nothing like {css} is on the screen"), || {
            !self.shown(css)
        });
    }

    /// The text of the first thing that fits, as it is shown.
    pub fn read(&self, css: &str) -> String {
        self.see(css);
        // In one go: between finding a thing and reading it the screen may move on.
        let css = Value::from(css);
        text(&self.script(&format!("return document.querySelector({css}).innerText")))
    }

    /// Brings the first thing that fits to the middle of the screen, and taps it.
    /// Fails if something else is in the way and stays there.
    pub fn tap(&self, css: &str) {
        let find = format!(
            "[...document.querySelectorAll({})].find(it => it.checkVisibility())",
            Value::from(css)
        );
        self.tap_found(css, &find);
    }

    /// Brings what this expression finds to the middle of the screen, and taps it.
    pub fn tap_found(&self, what: &str, find: &str) {
        // The point that WebDriver taps ("Element Click"), and what is on top there.
        let find = format!(
            "const look = () => {{
               const found = {find};
               if (!found) return null;
               found.scrollIntoView({{ block: 'center' }});
               const box = found.getClientRects()[0];
               if (!box) return {{ cover: 'nothing: it has no box' }};
               const x = (Math.max(box.left, 0) + Math.min(box.right, innerWidth)) / 2;
               const y = (Math.max(box.top, 0) + Math.min(box.bottom, innerHeight)) / 2;
               const top = document.elementFromPoint(x, y);
               return found.contains(top)
                   ? {{ x, y }} : {{ cover: top?.outerHTML.slice(0, 200) ?? 'the edge' }};
             }};
             // A screen that is still being built moves under the tap.
             const first = look();
             if (!first) return null;
             await new Promise(done => setTimeout(done, 20));
             const then = look();
             return first.x === then?.x && first.y === then?.y ? then : null"
        );
        let mut in_the_way: Option<Instant> = None;
        self.wait_until(&format!("{what} can be tapped"), || {
            let at = self.script(&find);
            if at.is_null() {
                return false;
            }
            if let Some(cover) = at["cover"].as_str() {
                // What was added above it meanwhile has moved it under the foot.
                let since = in_the_way.get_or_insert_with(Instant::now);
                assert!(since.elapsed() < MOMENT, "{what}: in the way is {cover}");
                return false;
            }
            // Not the driver's own click: that waits a tenth of a second each time.
            for event in ["mousePressed", "mouseReleased"] {
                self.cdp(
                    "Input.dispatchMouseEvent",
                    &json!({
                        "type": event, "x": at["x"], "y": at["y"],
                        "button": "left", "clickCount": 1,
                    }),
                );
            }
            true
        });
    }

    /// Types into the first thing that fits.
    pub fn type_into(&self, css: &str, text: &str) {
        self.see(css);
        self.post(
            &format!("element/{}/value", self.element(css)),
            &json!({ "text": text }),
        );
    }

    /// Waits until `what` has come true.
    pub fn wait_until(&self, what: &str, mut come_true: impl FnMut() -> bool) {
        let start = Instant::now();
        while !come_true() {
            assert!(
                start.elapsed() < PATIENCE,
                "waited {PATIENCE:?} in vain until {what}\ntitle: {}\npage: {}\nconsole: {:#?}",
                self.script("return document.title"),
                self.script("return document.body?.innerText?.slice(0, 4000)"),
                self.console_errors(),
            );
            sleep(Duration::from_millis(25));
        }
    }

    /// Runs the body of an async function in the page; what it returns.
    pub fn script(&self, body: &str) -> Value {
        self.post("execute/sync", &script(body))
    }

    /// Errors in the page's console since it was last asked.
    pub fn console_errors(&self) -> Vec<String> {
        let log = self.post("se/log", &json!({ "type": "browser" }));
        let entries = log.as_array().expect("a log is a list");
        entries
            .iter()
            .filter(|entry| entry["level"] == "SEVERE")
            .map(|entry| text(&entry["message"]))
            .collect()
    }

    // --- What a phone goes through -----------------------------------------------

    /// Waits until the app says that it is kept for use without a network.
    pub fn wait_until_kept(&self) {
        self.wait_until("the app is kept for use without a network", || {
            self.script("return window.lidoffOffline?.kept") == "yes"
        });
    }

    /// Takes the network away from the page, or gives it back. A service worker
    /// keeps its own: stop the server to be sure that nothing is fetched.
    pub fn network(&self, on: bool) {
        self.cdp("Network.enable", &json!({}));
        self.cdp(
            "Network.emulateNetworkConditions",
            &json!({
                "offline": !on, "latency": 0,
                "downloadThroughput": -1, "uploadThroughput": -1,
            }),
        );
    }

    /// What the system is set to, for this theme to follow.
    pub fn theme(&self, theme: Theme) {
        let (scheme, contrast) = match theme {
            Theme::Light => ("light", "no-preference"),
            Theme::Dark => ("dark", "no-preference"),
            Theme::Sunlight => ("light", "more"),
        };
        self.cdp(
            "Emulation.setEmulatedMedia",
            &json!({ "features": [
                { "name": "prefers-color-scheme", "value": scheme },
                { "name": "prefers-contrast", "value": contrast },
            ]}),
        );
        self.wait_until("the theme is shown", || self.shown_theme() == theme.name());
    }

    /// The theme that the page shows.
    pub fn shown_theme(&self) -> String {
        text(&self.script("return document.documentElement.dataset.theme"))
    }

    /// Makes the screen so high that all of the page is on it, or as high as it was.
    pub fn stretch(&self, whole: bool) {
        let page = self.script("return document.scrollingElement.scrollHeight");
        let page = page.as_u64().expect("a height");
        self.cdp(
            "Emulation.setDeviceMetricsOverride",
            &json!({
                "width": 360, "height": if whole { page + 400 } else { 740 },
                "deviceScaleFactor": 2, "mobile": true,
            }),
        );
    }

    /// Makes the screen this large, px.
    pub fn resize(&self, width: u32, height: u32) {
        self.cdp(
            "Emulation.setDeviceMetricsOverride",
            &json!({
                "width": width, "height": height, "deviceScaleFactor": 1, "mobile": true,
            }),
        );
    }

    /// The size that the user has set in the browser for words, px; 16 unless
    /// told otherwise.
    pub fn text_size(&self, px: u32) {
        self.cdp(
            "Page.setFontSizes",
            &json!({ "fontSizes": { "standard": px, "fixed": px } }),
        );
    }

    /// Presses a key and lets it go; the focus has it.
    pub fn press(&self, key: &str) {
        self.post(
            "actions",
            &json!({ "actions": [{ "type": "key", "id": "keyboard", "actions": [
                { "type": "keyDown", "value": key }, { "type": "keyUp", "value": key },
            ]}]}),
        );
    }

    /// From the next page on, the wall clock shows so many minutes later.
    pub fn let_pass(&self, minutes: u32) {
        self.set_next_clocks_ahead(Duration::from_secs(60 * u64::from(minutes)));
    }

    /// From the next page on, the wall clock is ahead by this much more.
    pub fn set_next_clocks_ahead(&self, by: Duration) {
        let source = format!(
            "{{ const now = Date.now; Date.now = () => now() + {} }}",
            by.as_millis()
        );
        self.cdp(
            "Page.addScriptToEvaluateOnNewDocument",
            &json!({ "source": source }),
        );
    }

    /// Makes the processor this many times slower; 1 is as it is.
    pub fn slow_down(&self, times: u32) {
        self.cdp("Emulation.setCPUThrottlingRate", &json!({ "rate": times }));
    }

    /// The battery is pulled and put back: every process of the browser is killed
    /// where it stands, and a new browser starts on the same profile.
    pub fn crash(&mut self) {
        self.driver.kill();
        kill_browser(self.profile.path());
        for entry in fs::read_dir(self.profile.path()).expect("the profile") {
            let entry = entry.expect("an entry of the profile");
            // Left behind by the dead, and taken for the living.
            if entry.file_name().to_string_lossy().starts_with("Singleton") {
                fs::remove_file(entry.path()).expect("a lock of the dead browser's");
            }
        }
        self.driver = WebDriver::start(&capabilities(self.profile.path()));
        // The clocks do not go back with the new browser.
        self.set_next_clocks_ahead(self.ahead.get());
    }

    /// Saves what is on the screen as `target/shots/NAME.png`.
    pub fn shot(&self, name: &str) -> PathBuf {
        let folder = repository("target/shots");
        let picture = BASE64_STANDARD
            .decode(text(&self.get("screenshot")))
            .expect("a picture in base64");
        fs::create_dir_all(&folder).expect("a folder for pictures");
        let path = folder.join(format!("{name}.png"));
        fs::write(&path, picture).expect("a picture");
        path
    }

    /// The text of the first file saved into the phone's downloads after `act`.
    pub fn saved_by(&self, act: impl FnOnce()) -> String {
        let folder = TempDir::new().expect("a folder for downloads");
        self.cdp(
            "Browser.setDownloadBehavior",
            &json!({ "behavior": "allow", "downloadPath": folder.path() }),
        );
        act();
        let mut found = None;
        self.wait_until("a file is saved", || {
            found = fs::read_dir(folder.path())
                .expect("downloads")
                .map(|entry| entry.expect("a download").path())
                .find(|path| {
                    // While it comes in, it ends in this.
                    path.extension().is_none_or(|end| end != "crdownload")
                        && path.metadata().is_ok_and(|file| file.len() > 0)
                });
            found.is_some()
        });
        fs::read_to_string(found.expect("a file was saved")).expect("a file of text")
    }

    /// A command of the Chrome DevTools Protocol.
    pub fn cdp(&self, command: &str, params: &Value) -> Value {
        self.post(
            "goog/cdp/execute",
            &json!({ "cmd": command, "params": params }),
        )
    }

    // --- Below ---------------------------------------------------------------------

    fn shown(&self, css: &str) -> bool {
        let css = Value::from(css);
        let script = format!(
            "return [...document.querySelectorAll({css})].some(it => it.checkVisibility())"
        );
        self.script(&script) == true
    }

    fn element(&self, css: &str) -> String {
        let asked = json!({ "using": "css selector", "value": css });
        text(&self.post("element", &asked)[ELEMENT])
    }

    fn get(&self, path: &str) -> Value {
        self.driver
            .call(path, None)
            .unwrap_or_else(|refusal| panic!("{path}: {}: {}", refusal.code, refusal.message))
    }

    fn post(&self, path: &str, body: &Value) -> Value {
        self.driver
            .call(path, Some(body))
            .unwrap_or_else(|refusal| {
                panic!("{path} {body}: {}: {}", refusal.code, refusal.message)
            })
    }
}

impl Drop for Phone {
    fn drop(&mut self) {
        // A test that has failed leaves the browser running.
        if std::thread::panicking() {
            kill_browser(self.profile.path());
        }
    }
}

/// A folder for a profile, in memory where the system has such a place: the app waits
/// until the disk has each event.
fn profile_folder() -> TempDir {
    TempDir::new_in("/dev/shm")
        .or_else(|_| TempDir::new())
        .expect("a folder for the profile")
}

/// What asks for the body of an async function to be run. Its promise is waited for
/// (WebDriver, "Execute Script").
fn script(body: &str) -> Value {
    let script = format!("return (async () => {{ {body} }})()");
    json!({ "script": script, "args": [] })
}

fn text(value: &Value) -> String {
    value
        .as_str()
        .unwrap_or_else(|| panic!("text was expected, not {value}"))
        .to_owned()
}

/// Kills the processes that were started with this profile, and no others.
fn kill_browser(profile: &Path) {
    let ours = profile.to_str().expect("a path in UTF-8");
    let running = || {
        let processes = fs::read_dir("/proc").expect("a list of processes");
        processes
            .filter_map(Result::ok)
            // Some have ended since they were listed.
            .filter(|entry| {
                fs::read(entry.path().join("cmdline"))
                    .is_ok_and(|line| String::from_utf8_lossy(&line).contains(ours))
            })
            .map(|entry| entry.file_name().to_string_lossy().into_owned())
            .collect::<Vec<_>>()
    };
    let start = Instant::now();
    loop {
        let processes = running();
        if processes.is_empty() {
            return;
        }
        assert!(start.elapsed() < PATIENCE, "{processes:?} cannot be killed");
        // The shell's own `kill` is everywhere.
        Command::new("sh")
            .arg("-c")
            .arg(format!("kill -9 {} 2>/dev/null", processes.join(" ")))
            .status()
            .expect("a shell");
        sleep(Duration::from_millis(20));
    }
}

fn capabilities(profile: &Path) -> Value {
    json!({
        "browserName": "chrome",
        "goog:loggingPrefs": { "browser": "ALL" },
        "goog:chromeOptions": {
            "args": [
                "--headless", "--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage",
                "--disable-background-networking", "--disable-component-update",
                "--disable-sync", "--no-first-run", "--hide-scrollbars",
                format!("--user-data-dir={}", profile.display()),
            ],
            "mobileEmulation": { "deviceMetrics": {
                "width": 360, "height": 740, "pixelRatio": 2.0, "touch": true, "mobile": true,
            }},
        },
    })
}
