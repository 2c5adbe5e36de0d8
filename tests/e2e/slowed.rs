//! How long a plan takes in a browser on a processor four times slower: `make
//! planning-slowed`. Measures; checks nothing but that it has measured.

use std::io::{BufRead, BufReader, Lines};
use std::process::{Child, ChildStdout, Command, Stdio};
use std::time::Duration;

use crate::phone::Phone;

/// The page of `tests/bench/browser.rs`. Gone when dropped.
struct Bench {
    server: Child,
    address: String,
    /// It goes on saying things, and falls over where nobody can hear them.
    _said: Lines<BufReader<ChildStdout>>,
}

impl Bench {
    /// Serves the bench that was built into this file.
    fn start(built: &str) -> Self {
        let mut server = Command::new("wasm-bindgen-test-runner")
            .arg(built)
            .env("NO_HEADLESS", "1")
            .env("WASM_BINDGEN_TEST_ADDRESS", "127.0.0.1:0")
            .stdout(Stdio::piped())
            .spawn()
            .expect("the runner can be started");
        let said = server.stdout.take().expect("its output is ours to read");
        let mut said = BufReader::new(said).lines();
        let address = said.by_ref().map_while(Result::ok).find_map(|line| {
            let from = line.find("http://")?;
            line[from..].split_whitespace().next().map(str::to_owned)
        });
        Self {
            server,
            address: address.expect("it says where it serves"),
            _said: said,
        }
    }
}

impl Drop for Bench {
    fn drop(&mut self) {
        // Gone already, or not to be stopped: nothing hangs on it.
        let _ = self.server.kill();
        let _ = self.server.wait();
    }
}

/// Keeps what is said to the console: the runner's page shows only whether a test
/// has passed.
const KEEP: &str = "
    window.said = [];
    console.log = (...words) => said.push(words.join(' '))";

/// How often the processor is as slow as it is.
pub fn slower() -> u32 {
    std::env::var("LIDOFF_SLOWER").map_or(4, |times| times.parse().expect("a number"))
}

#[test]
#[ignore = "a measurement, not a check: make planning-slowed"]
fn planning() {
    let built = std::env::var("LIDOFF_BENCH").expect("LIDOFF_BENCH: the built bench");
    let bench = Bench::start(&built);
    let phone = Phone::new();
    phone.slow_down(slower());
    phone.before_pages(KEEP);
    phone.open(&bench.address);
    let said = || {
        let said = phone.script("return document.body.innerText + '\\n' + said.join('\\n')");
        said.as_str().unwrap_or_default().to_owned()
    };
    // It plans some two thousand times, and does not answer meanwhile.
    let mut words = said();
    for _ in 0..600 {
        if words.contains("test result") {
            break;
        }
        std::thread::sleep(Duration::from_secs(1));
        words = said();
    }
    println!("processor {} times slower", slower());
    let lines: Vec<&str> = words.lines().filter(|line| line.contains("p95")).collect();
    println!("{}", lines.join("\n"));
    assert_eq!(lines.len(), 6, "{words}");
}
