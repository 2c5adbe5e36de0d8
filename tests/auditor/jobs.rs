//! Jobs, their plans, and what the auditor says of them.

use std::collections::BTreeMap;

use lidoff_auditor::{Auditor, BrokenRule, Case, Rule, Start, Task};
use lidoff_catalog::format::{CatalogFile, Step, StepId};
use lidoff_catalog::model::Catalog;
use lidoff_catalog::setup::{Configuration, Setup};
use lidoff_job::{
    EventKind, Job, JobPhase, Log, OpRef, Reason, Stamp, TaskProgress, TaskRef, fold, position,
    replan,
};
use lidoff_planner::{PartState, plan};

/// A unit, as the planner and as the auditor sees it.
pub struct Unit {
    pub catalog: Catalog,
    pub auditor: Auditor,
}

/// How many plans were audited, and which rules they broke.
pub struct Outcome {
    pub plans: usize,
    /// Combinations of tasks for which there is no plan.
    pub refused: usize,
    /// Each rule with the number of times and the first example.
    pub broken: BTreeMap<Rule, (usize, String)>,
    /// The same of rules that are known to be broken in such a case.
    pub known: BTreeMap<Rule, (usize, String)>,
    /// The rules that this test does not look at in such a case.
    is_known: fn(Rule, &Case) -> bool,
}

impl Outcome {
    pub fn new(is_known: fn(Rule, &Case) -> bool) -> Self {
        Self {
            plans: 0,
            refused: 0,
            broken: BTreeMap::new(),
            known: BTreeMap::new(),
            is_known,
        }
    }

    fn add(&mut self, unit: &str, kind: &str, case: &Case, broken: Vec<BrokenRule>) {
        self.plans += 1;
        for one in broken {
            let example = || format!("{} In {unit}, {kind}: {case:?}", one.sentence);
            let list = match (self.is_known)(one.rule, case) {
                true => &mut self.known,
                false => &mut self.broken,
            };
            list.entry(one.rule).or_insert_with(|| (0, example())).0 += 1;
        }
    }

    /// Fails where a rule is broken that is not known to be.
    pub fn check(&self, about: &str) {
        let count = |list: &BTreeMap<Rule, (usize, String)>| -> usize {
            list.values().map(|(times, _)| times).sum()
        };
        println!(
            "{about}: {} plans audited, {} jobs refused, {} rules broken, {} as known",
            self.plans,
            self.refused,
            count(&self.broken),
            count(&self.known)
        );
        for line in lines(&self.known) {
            println!("  known: {}", line.chars().take(240).collect::<String>());
        }
        assert!(self.plans > 400, "{} plans", self.plans);
        let broken: Vec<String> = lines(&self.broken).collect();
        assert!(broken.is_empty(), "{about}:\n{}", broken.join("\n"));
    }
}

fn lines(list: &BTreeMap<Rule, (usize, String)>) -> impl Iterator<Item = String> + '_ {
    let all = list.iter();
    all.map(|(rule, (times, example))| format!("{times} × {}: {example}", rule.id()))
}

impl Unit {
    pub fn new(file: &CatalogFile) -> Option<Self> {
        let catalog = lidoff_catalog::check(file.clone()).ok()?;
        Some(Self {
            catalog,
            auditor: Auditor::new(file.clone()),
        })
    }

    /// Every task that a unit in this configuration offers.
    pub fn tasks(&self, configuration: &Configuration) -> Vec<TaskRef> {
        let catalog = &self.catalog;
        let setup = Setup::new(catalog, configuration).expect("a configuration of this unit");
        let parts = catalog.parts().filter(|(_, part)| setup.holds(&part.when));
        let on_parts = parts.flat_map(|(_, part)| {
            let id = || part.id.clone();
            let replace = part.swap.iter().map(move |_| TaskRef::Replace(id()));
            let reseat = part.reseat.iter().map(move |_| TaskRef::Reseat(id()));
            let inspect = part.inspect.iter().map(move |_| TaskRef::Inspect(id()));
            let leave_out = part.leave_out.iter().take(1);
            let leave_out = leave_out.map(move |_| TaskRef::LeaveOut(id()));
            replace.chain(reseat).chain(inspect).chain(leave_out)
        });
        let services = catalog.services();
        let services = services.filter(|(_, service)| setup.holds(&service.when));
        let services = services.map(|(_, service)| TaskRef::Serve(service.entry.id.clone()));
        on_parts.chain(services).collect()
    }

    /// Every configuration of the unit, in order: one option of each group, each other option
    /// fitted or not, one answer to each question.
    pub fn configurations(&self) -> Vec<Configuration> {
        let file = self.auditor.file();
        let mut all = vec![Configuration::default()];
        let mut groups: Vec<&str> = Vec::new();
        for option in &file.options {
            let group = option.group.as_deref();
            if group.is_some_and(|group| groups.contains(&group)) {
                continue;
            }
            groups.extend(group);
            let members = file.options.iter().filter(|one| match group {
                Some(_) => one.group.as_deref() == group,
                None => one.id == option.id,
            });
            let none = group.is_none().then_some(None).into_iter();
            let choices: Vec<_> = members.map(Some).chain(none).collect();
            all = product(&all, &choices, |configuration, choice| {
                let chosen = choice.iter().map(|option| option.id.clone());
                configuration.fitted.extend(chosen);
            });
        }
        for question in &file.questions {
            all = product(&all, &question.answers, |configuration, answer| {
                let answers = &mut configuration.answers;
                answers.insert(question.id.clone(), answer.id.clone());
            });
        }
        all
    }

    /// Audits the plans of a job with these tasks: the first one; after each share of its
    /// steps, in parts of `of`, the plan from there; and the plan that closes up from there.
    pub fn audit_job(
        &self,
        configuration: &Configuration,
        tasks: &[TaskRef],
        (shares, of): (&[usize], usize),
        outcome: &mut Outcome,
    ) {
        let opened = lidoff_app_core::planning::opened(&self.catalog, configuration, tasks);
        let mut log = opened.expect("a log");
        let Some(steps) = self.plan(&mut log, "first", outcome) else {
            return;
        };
        let mut done = 0;
        for share in shares {
            while done < steps * share / of {
                let Some(step) = fold(&log).next().map(|step| step.number) else {
                    break;
                };
                note(&mut log, EventKind::Done { step });
                done += 1;
            }
            self.plan(&mut log.clone(), "from there", outcome);
            let mut closing = log.clone();
            note(&mut closing, EventKind::TurnedBack);
            self.plan(&mut closing, "closing up", outcome);
        }
    }

    /// Plans, audits the plan, and gives the number of its steps.
    fn plan(&self, log: &mut Log, kind: &str, outcome: &mut Outcome) -> Option<usize> {
        let job = fold(log);
        let Ok(planned) = replan(&job, &self.catalog, &Stamp::default(), plan) else {
            outcome.refused += 1;
            return None;
        };
        let mut case = self.case(&job);
        case.steps = planned.steps.iter().map(|step| step.step.clone()).collect();
        let broken = self.auditor.audit(&case);
        outcome.add(&self.catalog.unit().id, kind, &case, broken);
        let steps = planned.steps.len();
        note(
            log,
            EventKind::Planned {
                plan: planned,
                because: Reason::First,
            },
        );
        Some(steps)
    }

    /// Where the job stands.
    fn case(&self, job: &Job) -> Case {
        let place = position(job, &self.catalog, &Stamp::default()).expect("a position");
        let now = &place.now;
        let in_state = |state: PartState, is_source: bool| {
            let parts = self.catalog.parts();
            let parts = parts
                .filter(move |(at, part)| now.of(*at) == state && part.is_source() == is_source);
            parts.map(|(_, part)| part.id.clone()).collect::<Vec<_>>()
        };
        let in_hand = place.in_hand.as_ref();
        let in_hand = in_hand.map(|one| OpRef::from_op(&self.catalog, one.op));
        let being_done = |task: &TaskRef| in_hand.as_ref() == Some(&task.op());
        let with = |state: &dyn Fn(&TaskRef, TaskProgress) -> bool| {
            let tasks = job.tasks.iter();
            let tasks = tasks.filter(|one| state(&one.task.task, one.state));
            tasks.map(|one| audited(&one.task.task)).collect::<Vec<_>>()
        };
        let served = job.done.iter().flat_map(|done| &done.step.completes);
        let served = served.filter_map(|op| match op {
            OpRef::Serve(id) => Some(Task::Serve(id.clone())),
            _ => None,
        });
        let mut done = with(&|_, state| state == TaskProgress::Done);
        done.extend(served);
        let mut tasks = with(&|task, state| {
            (state == TaskProgress::Open && !job.is_closing()) || being_done(task)
        });
        if let Some(OpRef::Serve(id)) = &in_hand {
            tasks.push(Task::Serve(id.clone()));
        }
        Case {
            configuration: job.setup.clone(),
            tasks,
            start: Start {
                isolated: in_state(PartState::Off, true),
                eased: in_state(PartState::Eased, false),
                off: in_state(PartState::Off, false),
                begun: begun(job),
                made_safe: self.made_safe(job),
                done,
            },
            steps: Vec::new(),
        }
    }
}

impl Unit {
    /// Make-safe steps done since the unit was last checked live.
    fn made_safe(&self, job: &Job) -> Vec<StepId> {
        let file = self.auditor.file();
        let mut made_safe = Vec::new();
        for done in &job.done {
            let is_same = |step: &&Step| step.id == done.step.step;
            match done.step.phase {
                JobPhase::MakeSafe => made_safe.push(done.step.step.clone()),
                JobPhase::Prove
                    if !file
                        .prove
                        .iter()
                        .any(|one| is_same(&one) && one.before_power) =>
                {
                    made_safe.clear();
                }
                _ => {}
            }
        }
        made_safe
    }
}

/// Steps of operations that are not complete.
fn begun(job: &Job) -> Vec<StepId> {
    let mut begun = Vec::new();
    for done in &job.done {
        if !done.step.completes.is_empty() {
            begun.clear();
        } else if done.step.op.is_some() {
            begun.push(done.step.step.clone());
        }
    }
    begun
}

pub fn audited(task: &TaskRef) -> Task {
    match task {
        TaskRef::Replace(id) => Task::Replace(id.clone()),
        TaskRef::Reseat(id) => Task::Reseat(id.clone()),
        TaskRef::Inspect(id) => Task::Inspect(id.clone()),
        TaskRef::Serve(id) => Task::Serve(id.clone()),
        TaskRef::LeaveOut(id) => Task::LeaveOut(id.clone()),
    }
}

fn note(log: &mut Log, what: EventKind) {
    let event = log.draft(Stamp::default(), what);
    log.append(event).expect("the log takes it");
}

fn product<T>(
    all: &[Configuration],
    choices: &[T],
    choose: impl Fn(&mut Configuration, &T),
) -> Vec<Configuration> {
    let each = all.iter().flat_map(|one| {
        choices.iter().map(|choice| {
            let mut chosen = one.clone();
            choose(&mut chosen, choice);
            chosen
        })
    });
    each.collect()
}
