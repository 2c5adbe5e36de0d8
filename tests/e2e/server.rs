//! A server of the built app, which a test may stop and change.

use std::env;
use std::fs;
use std::io::{BufRead, BufReader};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::sync::OnceLock;

use base64::Engine as _;
use base64::prelude::BASE64_STANDARD;
use sha2::{Digest, Sha256};
use tempfile::TempDir;

use lidoff_testkit::repository;

/// `cargo xtask serve` over a copy of `dist/`, in a folder below the server's root,
/// as on a file server that has other things to do. Gone when dropped.
pub struct Server {
    root: TempDir,
    process: Child,
    address: String,
}

/// The program `xtask`, compiled if it is not up to date. It lies beside the folder with
/// this test.
fn xtask() -> &'static Path {
    static XTASK: OnceLock<PathBuf> = OnceLock::new();
    XTASK.get_or_init(|| {
        let built = Command::new(env!("CARGO"))
            .args(["build", "--quiet", "--locked", "--package", "xtask"])
            .status()
            .expect("cargo can be started");
        assert!(built.success(), "cargo cannot build xtask");
        let test = env::current_exe().expect("this test is a file");
        let folder = test
            .ancestors()
            .nth(2)
            .expect("this test is in target/debug/deps");
        folder.join("xtask")
    })
}

/// Where the app lies on the server.
const FOLDER: &str = "field/tools/";

impl Server {
    /// Serves a fresh copy of the built app on a free port.
    pub fn start() -> Self {
        let root = TempDir::new().expect("a folder to serve from");
        // A page of somebody else's at the root: the app has to do without.
        fs::write(root.path().join("index.html"), "Not Lidoff").expect("a page at the root");
        copy(&repository("dist"), &root.path().join(FOLDER));
        let mut process = Command::new(xtask())
            .args(["serve", "--port", "0"])
            .arg(root.path())
            .stdout(Stdio::piped())
            .spawn()
            .expect("the server can be started");
        let said = process.stdout.take().expect("its output is ours to read");
        let line = BufReader::new(said).lines().next();
        let line = line.expect("it says a line").expect("it says it in UTF-8");
        let origin = line
            .split(' ')
            .find(|word| word.starts_with("http://"))
            .unwrap_or_else(|| panic!("no address in {line:?}"));
        Self {
            address: format!("{origin}{FOLDER}"),
            root,
            process,
        }
    }

    /// The app's address.
    pub fn address(&self) -> &str {
        &self.address
    }

    /// Ends the server, for good: from here on, nothing answers.
    pub fn stop(&mut self) {
        self.process.kill().expect("the server can be stopped");
        self.process.wait().expect("the server has stopped");
    }

    /// Puts a next version of the app in place of this one; it differs in the
    /// page's title.
    pub fn release(&self, title: &str) {
        let page = self.retitle(title);
        let hash = format!("sha256-{}", BASE64_STANDARD.encode(Sha256::digest(page)));
        self.edit("sw.js", |line| {
            if line.starts_with("[\"./\",") {
                format!("[\"./\",\"{hash}\"],")
            } else {
                next_number(line, title)
            }
        });
    }

    /// Leaves the server half-way between two versions: the list of the next one
    /// is there, the page that it lists is not what the list says.
    pub fn release_half(&self, title: &str) {
        self.retitle(title);
        self.edit("sw.js", |line| next_number(line, title));
    }

    /// Puts one more file beside the app's.
    pub fn put(&self, name: &str, text: &str) {
        fs::write(self.root.path().join(FOLDER).join(name), text).expect("one more file");
    }

    /// Takes the app's first module away, as a broken upload would.
    pub fn break_module(&self) {
        let _for_good = self.take_away("lidoff-app-", "_bg.wasm");
    }

    /// Takes a file of the app away, known by how its name starts and ends; gives
    /// back what brings it back.
    pub fn take_away(&self, start: &str, end: &str) -> impl FnOnce() + use<> {
        let folder = self.root.path().join(FOLDER);
        let entries = fs::read_dir(&folder).expect("the app's folder");
        let names = entries.map(|entry| entry.expect("an entry").file_name());
        let name = names
            .filter_map(|name| name.into_string().ok())
            .find(|name| name.starts_with(start) && name.ends_with(end))
            .unwrap_or_else(|| panic!("the app has a {start}…{end}"));
        let (here, away) = (folder.join(&name), self.root.path().join(name));
        fs::rename(&here, &away).expect("a file can be taken away");
        move || fs::rename(away, here).expect("a file can be brought back")
    }

    fn retitle(&self, title: &str) -> String {
        let tag = format!("<title>{title}</title>");
        self.edit("index.html", |line| {
            line.replace("<title>Lidoff</title>", &tag)
        })
    }

    fn edit(&self, name: &str, change: impl FnMut(&str) -> String) -> String {
        let path: PathBuf = self.root.path().join(FOLDER).join(name);
        let before = fs::read_to_string(&path).expect("a file of the app");
        let after: Vec<_> = before.split('\n').map(change).collect();
        let after = after.join("\n");
        assert_ne!(before, after, "{name} was to be changed");
        fs::write(path, &after).expect("a file of the app");
        after
    }
}

impl Drop for Server {
    fn drop(&mut self) {
        // It may have been stopped by the test.
        let _gone = self.process.kill();
        let _gone = self.process.wait();
    }
}

fn next_number(line: &str, title: &str) -> String {
    if line.starts_with("const VERSION") {
        format!("const VERSION = \"{title}\";")
    } else {
        line.to_owned()
    }
}

fn copy(from: &Path, to: &Path) {
    fs::create_dir_all(to).expect("a folder to copy to");
    let entries = fs::read_dir(from)
        .unwrap_or_else(|error| panic!("no {}: make build ({error})", from.display()));
    for entry in entries {
        let entry = entry.expect("an entry");
        let to = to.join(entry.file_name());
        if entry.path().is_dir() {
            copy(&entry.path(), &to);
        } else {
            fs::copy(entry.path(), to).expect("a copy");
        }
    }
}
