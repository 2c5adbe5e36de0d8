//! Runs a door on many texts.

use std::time::{Duration, Instant, SystemTime, UNIX_EPOCH};

use proptest::strategy::{Strategy, ValueTree};
use proptest::test_runner::{Config, RngAlgorithm, TestRng, TestRunner};

use crate::mutate::{Mutation, mutation};

/// Texts for each door in a normal run.
const CASES: u64 = 300;

/// Most changes to one text.
const MUTATIONS: usize = 6;

/// How a door answered.
#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Answer {
    Read,
    Refused,
}

fn seconds() -> Option<u64> {
    let seconds = std::env::var("LIDOFF_FUZZ_SECONDS").ok()?;
    Some(seconds.parse().expect("a number of seconds"))
}

/// Feeds `door` with changed forms of these texts. The seed of a text is printed if the door
/// panics with it.
pub fn run(name: &str, texts: &[String], door: impl Fn(&str) -> Answer) {
    for text in texts {
        assert!(door(text) == Answer::Read, "{name}: a good text is refused");
    }
    let (begin, seconds) = (Instant::now(), seconds());
    // A long run begins somewhere else each time.
    let since = SystemTime::now().duration_since(UNIX_EPOCH);
    let first = seconds.map_or(0, |_| since.map_or(0, |since| since.as_secs() << 32));
    let goes_on = |count| match seconds {
        None => count < CASES,
        Some(seconds) => begin.elapsed() < Duration::from_secs(seconds),
    };
    let (mut count, mut refused) = (0, 0);
    while goes_on(count) {
        let seed = first + count;
        let reported = OnPanic { name, seed };
        let text = text_of(seed, texts);
        refused += u64::from(door(&text) == Answer::Refused);
        std::mem::forget(reported);
        count += 1;
    }
    println!("{name}: {count} texts, {refused} refused, no panic");
    assert!(
        refused > 0 && refused < count,
        "{name}: {refused} of {count}"
    );
}

/// The text of a seed.
fn text_of(seed: u64, texts: &[String]) -> String {
    let mut bytes = [0; 32];
    bytes[..8].copy_from_slice(&seed.to_le_bytes());
    let rng = TestRng::from_seed(RngAlgorithm::ChaCha, &bytes);
    let mut runner = TestRunner::new_with_rng(Config::default(), rng);
    let changes = proptest::collection::vec(mutation(), 1..=MUTATIONS);
    let drawn = (0..texts.len(), changes).new_tree(&mut runner);
    let (nth, changes) = drawn.expect("a draw").current();
    changes.iter().fold(texts[nth].clone(), Mutation::apply)
}

/// Prints the seed when it is dropped by a panic.
struct OnPanic<'a> {
    name: &'a str,
    seed: u64,
}

impl Drop for OnPanic<'_> {
    fn drop(&mut self) {
        eprintln!("{}: seed {}", self.name, self.seed);
    }
}
