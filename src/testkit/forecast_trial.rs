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

use crate::split_mix::SplitMix64;
use crate::visit::{Visit, perch, replace, sorrel};

/// When the finish is asked for, as shares of the planned median.
pub const ASKED: [f64; 4] = [0.0, 0.25, 0.5, 0.75];
/// Where the technician turns back, as shares of the steps up to the last task's.
pub const TURNED: [f64; 3] = [0.25, 0.5, 0.75];
/// The levels of the forecast that are checked.
pub const LEVELS: [f64; 9] = [0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.95];

/// Draws times at random.
pub struct TimeDraw(SplitMix64);

impl TimeDraw {
    fn new(seed: u64) -> Self {
        Self(SplitMix64(seed))
    }

    /// Uniform between 0 and 1, both excluded.
    fn uniform(&mut self) -> f64 {
        ((self.0.draw() >> 11) as f64 + 0.5) / (1u64 << 53) as f64
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
    pub steps: Vec<PlannedStep>,
    /// For each share in [`TURNED`]: the number of steps done, and the closing steps.
    pub closings: Vec<(usize, Vec<PlannedStep>)>,
    /// Mean time of a turn and of a tool change on this unit.
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

    /// A random time for a step at a pace of 1, without waiting.
    fn draw(&self, step: &PlannedStep, draw: &mut TimeDraw) -> f64 {
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

/// How often the forecast held.
#[derive(Clone, Debug, Default)]
pub struct Held {
    /// How often it was asked.
    pub asked: u32,
    /// How often the job was done by then, for each of [`LEVELS`].
    pub by: [u32; LEVELS.len()],
    /// The sum of P80 − P50, as shares of the planned median.
    pub width: f64,
}

impl Held {
    /// The share of jobs that were done by the time of this level.
    pub fn share(&self, level: f64) -> f64 {
        let at = LEVELS.iter().position(|one| *one == level);
        f64::from(self.by[at.expect("a level")]) / f64::from(self.asked)
    }

    /// The mean of P80 − P50, as a share of the planned median.
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

/// The result of the simulation.
#[derive(Clone, Debug, Default)]
pub struct TrialOutcome {
    /// For each of [`ASKED`].
    pub finish: [Held; ASKED.len()],
    /// For each of [`TURNED`]: jobs that turned back, and those that left on time.
    pub turned: [(u32, u32); TURNED.len()],
}

/// Simulates this many jobs. One step in `one_wild_in` takes ten times as long as it would; 0
/// for none.
pub fn simulate(
    simulated_jobs: &[SimulatedJob],
    random_cases: u32,
    seed: u64,
    one_wild_in: u64,
) -> TrialOutcome {
    let mut outcome = TrialOutcome::default();
    let mut draw = TimeDraw::new(seed);
    for nth in 0..random_cases {
        let job = &simulated_jobs[nth as usize % simulated_jobs.len()];
        let pace = (JOB_LOG_SD * draw.normal()).exp();
        let mut took = Vec::with_capacity(job.steps.len());
        for step in &job.steps {
            let mut seconds = pace * job.draw(step, &mut draw);
            if one_wild_in > 0 && draw.0.draw().is_multiple_of(one_wild_in) {
                seconds *= 10.0;
            }
            took.push(seconds);
        }
        finish(job, &took, &mut outcome.finish);
        for (at, (many, closing)) in job.closings.iter().enumerate() {
            let close_up = outlook::sum(closing);
            let known = Forecast::new(&done(job, &took, *many), None, close_up);
            let stays_s = known.at(CERTAINTY);
            let takes_s: f64 = closing
                .iter()
                .map(|step| step.wait_s + pace * job.draw(step, &mut draw))
                .sum();
            outcome.turned[at].0 += 1;
            outcome.turned[at].1 += u32::from(takes_s <= stays_s);
        }
    }
    outcome
}

fn done(job: &SimulatedJob, took: &[f64], many: usize) -> Vec<CompletedStep> {
    let steps = job.steps.iter().zip(took).take(many);
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

/// Asks for the finish at each share of the planned median.
fn finish(job: &SimulatedJob, took: &[f64], held: &mut [Held; ASKED.len()]) {
    let planned_s = outlook::sum(&job.steps).at(Pace::UNKNOWN, 0.0);
    for (held, share) in held.iter_mut().zip(ASKED) {
        let asked_s = planned_s * share;
        let mut at_s = 0.0;
        let in_hand = job.steps.iter().zip(took).position(|(step, seconds)| {
            at_s += step.wait_s + seconds;
            at_s > asked_s
        });
        // The job is done already.
        let Some(many) = in_hand else { continue };
        let step = &job.steps[many];
        let worked_s = asked_s - (at_s - step.wait_s - took[many]);
        let rest: f64 = job.steps[many + 1..]
            .iter()
            .zip(&took[many + 1..])
            .map(|(step, seconds)| step.wait_s + seconds)
            .sum();
        let forecast = Forecast::new(
            &done(job, took, many),
            Some(StepInHand {
                work: outlook::sum([step]),
                worked_s,
            }),
            outlook::sum(&job.steps[many + 1..]),
        );
        let took_s = at_s - asked_s + rest;
        held.note(forecast.left, forecast.pace, took_s, planned_s);
    }
}
