//! Jobs that never were: known pace, known noise, worked through the real planner
//! and the real forecast.
//!
//! A job's pace is lognormal with median 1 and the log deviation that the forecast
//! takes for its prior. Each *element* is drawn by itself, lognormal with the
//! handbook's mean and spread, and so is each change of tool and face: what the
//! forecast approximates (a step, a sum) is not handed to it. Waits are as long as
//! planned. Every question is asked at a moment that does not look ahead.

use lidoff_catalog::model::Catalog;
use lidoff_estimate::band::JOB_LOG_SD;
use lidoff_estimate::estimate::tool_change;
use lidoff_estimate::forecast::{CompletedStep, Forecast, StepInHand};
use lidoff_estimate::handbook::{HandbookEntry, TOOL_CHANGE, TURN, entry};
use lidoff_estimate::turn_back::CERTAINTY;
use lidoff_estimate::{Lognormal, Pace, Sum, normal};
use lidoff_job::{PlannedStep, TaskRef, closing_up, outlook};
use lidoff_planner::{Limits, plan};

use crate::visit::{Visit, perch, replace, sorrel};

/// When the finish is asked for: shares of the planned median.
pub const ASKED: [f64; 4] = [0.0, 0.25, 0.5, 0.75];
/// Where the technician turns back: shares of the steps up to the last task's.
pub const TURNED: [f64; 3] = [0.25, 0.5, 0.75];
/// What the finish is asked at.
pub const LEVELS: [f64; 9] = [0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.95];

/// A generator of 64-bit numbers, SplitMix64 (G. L. Steele, D. Lea, C. H. Flood,
/// OOPSLA 2014; the constants are from memory): small, and the same everywhere.
pub struct Draw(pub u64);

impl Draw {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// Uniform between 0 and 1, without either.
    fn uniform(&mut self) -> f64 {
        ((self.next() >> 11) as f64 + 0.5) / (1u64 << 53) as f64
    }

    /// Standard normal (Box and Muller).
    fn normal(&mut self) -> f64 {
        let (one, other) = (self.uniform(), self.uniform());
        (-2.0 * one.ln()).sqrt() * (std::f64::consts::TAU * other).cos()
    }

    fn lognormal(&mut self, mean: f64, cv: f64) -> f64 {
        match Lognormal::with_moments(mean, (mean * cv).powi(2)) {
            Some(it) => it.at(self.normal()),
            None => 0.0,
        }
    }
}

/// One kind of job: its steps, and how to close up from some of its states.
pub struct SimulatedJob {
    /// All steps.
    pub steps: Vec<PlannedStep>,
    /// For each place in [`TURNED`]: so many steps done, and the closing steps.
    pub closings: Vec<(usize, Vec<PlannedStep>)>,
    /// Spread of a change of tool or face on this unit.
    turn_s: f64,
    tool_s: f64,
}

impl SimulatedJob {
    fn new(catalog: &Catalog, tasks: &[TaskRef]) -> Self {
        let job = Visit::begin(catalog, tasks).job();
        let steps = job.remaining.clone();
        let last_task = steps
            .iter()
            .rposition(|step| {
                let ops = tasks.iter().map(TaskRef::op);
                ops.into_iter().any(|op| step.completes.contains(&op))
            })
            .expect("a step that completes a task");
        let closings = TURNED.iter().map(|share| {
            let many = (last_task as f64 * share).round() as usize;
            let mut visit = Visit::begin(catalog, tasks);
            for _ in 0..many {
                visit.do_one();
            }
            let place = closing_up(&visit.job(), catalog, &visit.now).expect("a place");
            let found = plan(&place.request(catalog, Limits { states: 30_000 }));
            let found = found.expect("a way to close up");
            (many, place.snapshot(catalog, &found).steps)
        });
        Self {
            closings: closings.collect(),
            steps,
            turn_s: lidoff_estimate::estimate::turn(catalog).seconds,
            tool_s: tool_change(catalog).seconds,
        }
    }

    /// What a step takes at a pace of 1, without waiting.
    fn draw(&self, step: &PlannedStep, draw: &mut Draw) -> f64 {
        let mut seconds = 0.0;
        if step.elements.is_empty() {
            seconds += draw.lognormal(step.work_s, step.cv);
        }
        for one in &step.elements {
            let HandbookEntry {
                seconds: mean, cv, ..
            } = entry(one.element);
            for _ in 0..one.count {
                seconds += draw.lognormal(mean, cv);
            }
        }
        if step.tool_change {
            seconds += draw.lognormal(self.tool_s, TOOL_CHANGE.cv);
        }
        if step.turn {
            seconds += draw.lognormal(self.turn_s, TURN.cv);
        }
        seconds
    }
}

/// The kinds of job that are simulated: short and long, on both units.
pub fn simulated_jobs() -> Vec<SimulatedJob> {
    let (perch, sorrel) = (perch(), sorrel());
    vec![
        SimulatedJob::new(&perch, &[replace("printer")]),
        SimulatedJob::new(&perch, &[replace("main-board"), replace("fan")]),
        SimulatedJob::new(&sorrel, &[replace("memory")]),
        SimulatedJob::new(&sorrel, &[replace("panel"), replace("long-battery-pack")]),
    ]
}

/// How often what was forecast held.
#[derive(Clone, Debug, Default)]
pub struct Held {
    /// Times asked.
    pub asked: u32,
    /// Times that the job was done by then, for each of [`LEVELS`].
    pub by: [u32; LEVELS.len()],
    /// Sum of P80 − P50, as shares of the planned median.
    pub width: f64,
}

impl Held {
    /// Share of the jobs that were done by the time of this level.
    pub fn share(&self, level: f64) -> f64 {
        let at = LEVELS.iter().position(|one| *one == level);
        f64::from(self.by[at.expect("a level")]) / f64::from(self.asked)
    }

    /// Mean of P80 − P50, as a share of the planned median.
    pub fn mean_width(&self) -> f64 {
        self.width / f64::from(self.asked)
    }

    fn note(&mut self, left: Sum, pace: Pace, took_s: f64, planned_s: f64) {
        self.asked += 1;
        for (by, level) in self.by.iter_mut().zip(LEVELS) {
            *by += u32::from(took_s <= left.at(pace, normal::quantile(level)));
        }
        self.width += (left.at(pace, normal::quantile(0.8)) - left.at(pace, 0.0)) / planned_s;
    }
}

/// What came of the simulation.
#[derive(Clone, Debug, Default)]
pub struct Outcome {
    /// For each of [`ASKED`].
    pub finish: [Held; ASKED.len()],
    /// For each of [`TURNED`]: jobs that turned back, and those that left on time.
    pub turned: [(u32, u32); TURNED.len()],
}

/// Simulates so many jobs. One step in so many is wild (ten times as long as it
/// would have been); 0 for none.
pub fn simulate(
    simulated_jobs: &[SimulatedJob],
    jobs: u32,
    seed: u64,
    one_wild_in: u64,
) -> Outcome {
    let mut outcome = Outcome::default();
    let mut draw = Draw(seed);
    for nth in 0..jobs {
        let course = &simulated_jobs[nth as usize % simulated_jobs.len()];
        let pace = (JOB_LOG_SD * draw.normal()).exp();
        let mut took = Vec::with_capacity(course.steps.len());
        for step in &course.steps {
            let mut seconds = pace * course.draw(step, &mut draw);
            if one_wild_in > 0 && draw.next().is_multiple_of(one_wild_in) {
                seconds *= 10.0;
            }
            took.push(seconds);
        }
        finish(course, &took, &mut outcome.finish);
        for (at, (many, closing)) in course.closings.iter().enumerate() {
            let close_up = outlook::sum(closing);
            let known = Forecast::new(&done(course, &took, *many), None, close_up);
            let stays_s = known.at(CERTAINTY);
            let takes_s: f64 = closing
                .iter()
                .map(|step| step.wait_s + pace * course.draw(step, &mut draw))
                .sum();
            outcome.turned[at].0 += 1;
            outcome.turned[at].1 += u32::from(takes_s <= stays_s);
        }
    }
    outcome
}

fn done(course: &SimulatedJob, took: &[f64], many: usize) -> Vec<CompletedStep> {
    let steps = course.steps.iter().zip(took).take(many);
    steps
        .filter(|(step, _)| step.wait_s <= 0.0)
        .map(|(step, actual_s)| {
            let mut expected = outlook::sum([step]);
            expected.fixed_s = 0.0;
            CompletedStep {
                expected,
                actual_s: *actual_s,
            }
        })
        .collect()
}

/// Asks for the finish when so much of the planned median has passed.
fn finish(course: &SimulatedJob, took: &[f64], held: &mut [Held; ASKED.len()]) {
    let planned_s = outlook::sum(&course.steps).at(Pace::UNKNOWN, 0.0);
    for (held, share) in held.iter_mut().zip(ASKED) {
        let asked_s = planned_s * share;
        let mut at_s = 0.0;
        let in_hand = course.steps.iter().zip(took).position(|(step, seconds)| {
            at_s += step.wait_s + seconds;
            at_s > asked_s
        });
        // CompletedStep already: nobody asks.
        let Some(many) = in_hand else { continue };
        let step = &course.steps[many];
        let worked_s = asked_s - (at_s - step.wait_s - took[many]);
        let rest: f64 = course.steps[many + 1..]
            .iter()
            .zip(&took[many + 1..])
            .map(|(step, seconds)| step.wait_s + seconds)
            .sum();
        let forecast = Forecast::new(
            &done(course, took, many),
            Some(StepInHand {
                work: outlook::sum([step]),
                worked_s,
            }),
            outlook::sum(&course.steps[many + 1..]),
        );
        let took_s = at_s - asked_s + rest;
        held.note(forecast.left, forecast.pace, took_s, planned_s);
    }
}
