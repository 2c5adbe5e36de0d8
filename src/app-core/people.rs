//! When a job takes more than one person, and for how long.

use lidoff_catalog::format::Text;
use lidoff_i18n::tr;
use lidoff_job::PlannedStep;

use super::display::format_duration;

/// A second person stays for a pause of at most this long, s. Common practice, no source.
const STAYS_S: f64 = 120.0;

/// Steps, with what comes in between, that take more than one person.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PeopleSpan {
    /// How many people, at most.
    pub people: u8,
    /// Number of the first step.
    pub first: u32,
    /// Number of the last step.
    pub last: u32,
    /// From the start of the first of all steps to the start of this span, s.
    pub after_s: f64,
    /// From the start of its first step to the end of its last one, s.
    pub long_s: f64,
}

/// The spans in these steps, each step with the time that it should take, s.
pub fn people_spans<'a>(
    steps: impl IntoIterator<Item = (&'a PlannedStep, f64)>,
) -> Vec<PeopleSpan> {
    let mut spans: Vec<PeopleSpan> = Vec::new();
    let mut clock_s = 0.0;
    for (step, seconds) in steps {
        let begins_s = clock_s + step.wait_s;
        clock_s += seconds.max(step.wait_s);
        if step.people < 2 {
            continue;
        }
        let stays = |last: &&mut PeopleSpan| begins_s - (last.after_s + last.long_s) <= STAYS_S;
        if let Some(last) = spans.last_mut().filter(stays) {
            last.people = last.people.max(step.people);
            last.last = step.number;
            last.long_s = clock_s - last.after_s;
        } else {
            spans.push(PeopleSpan {
                people: step.people,
                first: step.number,
                last: step.number,
                after_s: begins_s,
                long_s: clock_s - begins_s,
            });
        }
    }
    spans
}

impl PeopleSpan {
    /// "Second person for about 4 min, from 35 min after the start".
    pub fn describe_from_start(&self) -> Text {
        let after = format_duration(self.after_s);
        let when = tr!("from {after} after the start", after);
        format!("{}, {when}", self.describe())
    }

    /// "Second person for about 4 min".
    pub fn describe(&self) -> Text {
        let long = format_duration(self.long_s);
        if self.people == 2 {
            tr!("Second person for about {long}", long)
        } else {
            tr!(
                "{people} people for about {long}",
                people = self.people,
                long
            )
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn step(number: u32, people: u8, wait_s: f64) -> PlannedStep {
        let step = serde_json::json!({
            "number": number, "step": format!("s{number}"), "phase": "strip-down", "nth": 1,
            "of": 1, "action": "Do it.", "work_s": 60.0, "cv": 0.3, "people": people,
            "wait_s": wait_s,
        });
        serde_json::from_value(step).expect("a step")
    }

    fn spans(people: &[(u8, f64)]) -> Vec<(u32, u32, f64, f64)> {
        let steps: Vec<PlannedStep> = (1..)
            .zip(people)
            .map(|(number, (people, wait_s))| step(number, *people, *wait_s))
            .collect();
        let spans = people_spans(steps.iter().map(|step| (step, step.expected_s())));
        let short = spans.iter();
        short
            .map(|span| (span.first, span.last, span.after_s, span.long_s))
            .collect()
    }

    #[test]
    fn one_person_alone_needs_nobody() {
        assert_eq!(spans(&[(1, 0.0), (1, 0.0)]), []);
    }

    #[test]
    fn a_second_person_stays_from_the_first_to_the_last_step_that_needs_two() {
        let plan = [(1, 0.0), (2, 0.0), (1, 0.0), (2, 0.0), (1, 0.0)];
        assert_eq!(spans(&plan), [(2, 4, 60.0, 180.0)]);
    }

    #[test]
    fn a_second_person_comes_again_after_a_long_pause_and_not_for_a_wait() {
        let plan = [(2, 0.0), (1, 0.0), (1, 0.0), (1, 0.0), (2, 300.0)];
        assert_eq!(spans(&plan), [(1, 1, 0.0, 60.0), (5, 5, 540.0, 60.0)]);
    }

    #[test]
    fn how_many_and_how_long_is_said_in_words() {
        let two = step(1, 2, 0.0);
        let span = people_spans([(&two, 240.0)])[0];
        assert_eq!(span.describe(), "Second person for about 4 min");
        let three = step(1, 3, 0.0);
        let span = people_spans([(&two, 240.0), (&three, 60.0)])[0];
        assert_eq!(span.describe(), "3 people for about 5 min");
        assert_eq!(
            span.describe_from_start(),
            "3 people for about 5 min, from 0 s after the start"
        );
    }
}
