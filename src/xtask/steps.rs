//! Reports the progress of a task.

use std::time::{Duration, Instant};

use anyhow::{Context as _, Result};

/// The steps of a task. Each reports when it starts, and the last line how long all took.
pub struct Steps {
    started: Instant,
    /// With the time that each took; a step that was skipped has none.
    done: Vec<(String, Option<Duration>)>,
}

impl Steps {
    pub fn new() -> Self {
        Self {
            started: Instant::now(),
            done: Vec::new(),
        }
    }

    /// Runs one step. An error names the step that failed.
    pub fn run<T>(&mut self, name: &str, work: impl FnOnce() -> Result<T>) -> Result<T> {
        self.run_long(name, "", work)
    }

    /// Runs a step that may take long: says how long.
    pub fn run_long<T>(
        &mut self,
        name: &str,
        expectation: &str,
        work: impl FnOnce() -> Result<T>,
    ) -> Result<T> {
        println!("\n== {} {name}{expectation}", clock(self.started.elapsed()));
        let started = Instant::now();
        let result = work().with_context(|| format!("stopped at: {name}"))?;
        self.done.push((name.to_owned(), Some(started.elapsed())));
        Ok(result)
    }

    /// Notes that the last step has found nothing that it could do.
    pub fn mark_skipped(&mut self) {
        if let Some((_, took)) = self.done.last_mut() {
            *took = None;
        }
    }

    /// Reports the end.
    pub fn finish(&self, what: &str) {
        println!("\n== {} {what}", clock(self.started.elapsed()));
    }

    /// Reports how long each step took.
    pub fn print_table(&self) {
        println!();
        for (name, took) in &self.done {
            match took {
                Some(took) => println!("{:>9.1} s  {name}", took.as_secs_f64()),
                None => println!("    skipped  {name}"),
            }
        }
    }
}

/// "4:05": minutes and seconds.
fn clock(time: Duration) -> String {
    format!("{}:{:02}", time.as_secs() / 60, time.as_secs() % 60)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::process::{command, run_quietly};

    #[test]
    fn a_failed_step_is_named_with_the_command_and_its_last_words() {
        let mut steps = Steps::new();
        let error = steps
            .run("a step", || {
                run_quietly(&mut command("sh", &["-c", "echo no disk >&2; exit 3"]))
            })
            .expect_err("the command fails");
        let text = format!("{error:#}");
        for part in ["stopped at: a step", "sh -c", "exit status: 3", "no disk"] {
            assert!(text.contains(part), "{part} is missing from {text}");
        }
        assert!(steps.done.is_empty());
    }

    #[test]
    fn minutes_are_shown_with_seconds() {
        assert_eq!(clock(Duration::from_secs(245)), "4:05");
    }
}
