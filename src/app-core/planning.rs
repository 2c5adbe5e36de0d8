//! Plans for the screens, from a job or from the ticked tasks; refusals as text.

use std::collections::BTreeMap;

use lidoff_catalog::format::Text;
use lidoff_catalog::insertion_sort;
use lidoff_catalog::model::Catalog;
use lidoff_catalog::setup::Configuration;
use lidoff_i18n::{localize, number, plain, tr};
use lidoff_job::{
    EventKind, Job, JobId, Log, NamedTask, Opened, PlanSnapshot, PlannedStep, Stamp, TaskRef,
    UnitRef, fold, outlook, position,
};
use lidoff_planner::progress::ProgressHandler;
use lidoff_planner::request::comes_new_with;
use lidoff_planner::{Limits, Task, plan_async};

use super::depth::Profile;
use super::display::{format_duration, signal_word};
use super::people::{PeopleSpan, people_spans};
use super::task_choice::spare_of;

/// A preview of a job.
#[derive(Clone, Debug, PartialEq)]
pub struct Preview {
    /// The plan.
    pub plan: PlanSnapshot,
    /// Its depth profile.
    pub profile: Profile,
    /// Most parts open at once.
    pub deepest: usize,
    /// Names of the tools.
    pub tools: Vec<Text>,
    /// Spares with their numbers.
    pub spares: Vec<Text>,
    /// Consumables and their amounts.
    pub consumables: Vec<Text>,
    /// What to bring besides: protection, what the place needs, what tests need.
    pub kit: Vec<Text>,
    /// When more than one person is needed, and for how long.
    pub people: Vec<Text>,
    /// Hazards, the greatest first.
    pub hazards: Vec<Text>,
}

/// The preview of these tasks on a unit with this configuration.
///
/// # Errors
/// Why there is no plan, in words.
pub async fn preview(
    catalog: &Catalog,
    setup: &Configuration,
    tasks: &[TaskRef],
    handler: &mut dyn ProgressHandler,
) -> Result<Preview, Text> {
    let job = fold(&opened(catalog, setup, tasks)?);
    let plan = replan(&job, catalog, &Stamp::default(), handler).await?;
    Ok(summarize_plan(catalog, tasks, plan))
}

/// Of these tasks the one whose visit takes longest; of equal ones the first. A task without a
/// plan is passed over.
pub async fn slowest(
    catalog: &Catalog,
    setup: &Configuration,
    tasks: &[NamedTask],
    handler: &mut dyn ProgressHandler,
) -> Option<TaskRef> {
    let mut slowest: Option<(f64, TaskRef)> = None;
    for task in tasks {
        let found = preview(catalog, setup, std::slice::from_ref(&task.task), handler).await;
        let Ok(Preview { plan, .. }) = found else {
            continue;
        };
        if slowest
            .as_ref()
            .is_none_or(|(known, _)| plan.total_s > *known)
        {
            slowest = Some((plan.total_s, task.task.clone()));
        }
    }
    slowest.map(|(_, task)| task)
}

/// The log of a job that has just been opened, with nothing done yet.
///
/// # Errors
/// Never, unless a log without events refuses one; in words.
pub fn opened(catalog: &Catalog, setup: &Configuration, tasks: &[TaskRef]) -> Result<Log, Text> {
    let found = tasks.iter().filter_map(|task| task.find(catalog));
    let opened = Opened {
        unit: unit(catalog),
        reference: Text::new(),
        site: Text::new(),
        technician: Text::new(),
        setup: setup.clone(),
        tasks: found.map(|task| NamedTask::new(catalog, task)).collect(),
        leave_by_ms: None,
        follows: None,
    };
    let at = Stamp::default();
    let mut log = Log::new(JobId::new(&at));
    let event = log.draft(at, EventKind::Opened(opened));
    log.append(event).map_err(|error| error.to_string())?;
    Ok(log)
}

/// The reference by which a job names the unit.
pub fn unit(catalog: &Catalog) -> UnitRef {
    let head = catalog.unit();
    UnitRef {
        id: head.id.clone(),
        name: head.name.clone(),
        revision: head.revision.clone(),
    }
}

/// A plan from the current position of the job.
///
/// # Errors
/// Why there is none, in words.
pub async fn replan(
    job: &Job,
    catalog: &Catalog,
    now: &Stamp,
    handler: &mut dyn ProgressHandler,
) -> Result<PlanSnapshot, Text> {
    let position = position(job, catalog, now).map_err(|error| error.to_string())?;
    let plan = plan_async(&position.request(catalog, Limits::INTERACTIVE), handler).await;
    let plan = plan.map_err(|why| why.words(catalog))?;
    Ok(position.snapshot(catalog, &plan))
}

/// The preview of a plan for these tasks.
pub fn summarize_plan(catalog: &Catalog, tasks: &[TaskRef], plan: PlanSnapshot) -> Preview {
    let profile = Profile::new(
        plan.steps
            .iter()
            .map(|step| (step, step.expected_s(), false)),
    );
    let mut tools: Vec<Text> = plan
        .steps
        .iter()
        .filter_map(PlannedStep::describe_tool)
        .collect();
    insertion_sort(&mut tools, |one, next| one > next);
    tools.dedup();
    let found: Vec<Task> = tasks.iter().filter_map(|task| task.find(catalog)).collect();
    let brought = tasks
        .iter()
        .filter(|task| is_brought(catalog, &found, task));
    let spares = brought.filter_map(|task| spare_of(catalog, task));
    let people = people_spans(plan.steps.iter().map(|step| (step, step.expected_s())));
    let mut hazards = plan.hazards.clone();
    insertion_sort(&mut hazards, |one, next| one.signal < next.signal);
    Preview {
        deepest: profile.deepest,
        spares: spares.collect(),
        kit: {
            let surely = plan.kit.iter().map(|item| localize(item).into_owned());
            let perhaps = plan.may_need.kit.iter();
            let perhaps = perhaps.map(|item| may_be_needed(&localize(item)));
            surely.chain(perhaps).collect()
        },
        people: people.iter().map(PeopleSpan::describe_from_start).collect(),
        tools,
        consumables: {
            let surely = consumables(&plan.steps).into_iter().map(|(_, words)| words);
            let perhaps = plan.may_need.uses.iter();
            let perhaps = perhaps
                .map(|used| may_be_needed(&amount_words(&used.name, used.quantity, &used.unit)));
            surely.chain(perhaps).collect()
        },
        hazards: hazards
            .iter()
            .map(|hazard| format!("{}: {}", signal_word(hazard.signal), localize(&hazard.text)))
            .collect(),
        profile,
        plan,
    }
}

/// Something that depends on what a question in mid-job brings.
pub(crate) fn may_be_needed(item: &str) -> Text {
    tr!("{item} (may be needed)", item)
}

/// "Nitrile gloves: 2 pairs".
pub(crate) fn amount_words(name: &str, much: f64, unit: &str) -> Text {
    format!("{}: {} {}", localize(name), plain(much), localize(unit))
}

/// Whether a spare is brought for this task: not for a part that comes new with another one.
pub(crate) fn is_brought(catalog: &Catalog, tasks: &[Task], task: &TaskRef) -> bool {
    match task.find(catalog) {
        Some(Task::Replace(part)) => comes_new_with(catalog, tasks, part).is_none(),
        _ => true,
    }
}

/// What these steps use up: its name, and with its amount as text.
pub(crate) fn consumables<'a>(
    steps: impl IntoIterator<Item = &'a PlannedStep>,
) -> Vec<(Text, Text)> {
    let mut used: BTreeMap<Text, (f64, Text)> = BTreeMap::new();
    for one in steps.into_iter().flat_map(|step| &step.uses) {
        used.entry(one.name.clone())
            .or_insert((0.0, one.unit.clone()))
            .0 += one.quantity;
    }
    let words = used.into_iter().map(|(name, (much, unit))| {
        let words = amount_words(&name, much, &unit);
        (name, words)
    });
    words.collect()
}

/// How good the plan is known to be. See [`Proof::Cheapest`] for the effect of waits.
///
/// [`Proof::Cheapest`]: lidoff_planner::Proof::Cheapest
pub fn proof_words(plan: &PlanSnapshot) -> Text {
    let mut of_ops = plan.steps.iter().filter(|step| step.op.is_some());
    match plan.at_least_s {
        None if of_ops.any(|step| step.starts_wait.is_some() || step.after_wait.is_some()) => {
            tr!("Proven: no order that takes each part out only once is faster.")
        }
        None => tr!("Proven: no faster order exists."),
        Some(bound) if plan.total_s > 0.0 => {
            let gap = (plan.total_s / bound.max(1.0) - 1.0) * 100.0;
            tr!(
                "Within {gap} % of the best possible. No order takes less than {least}.",
                gap = number(gap.ceil(), 0),
                least = format_duration(bound)
            )
        }
        Some(_) => Text::new(),
    }
}

/// The depth profile of a job: completed steps with their actual times, remaining steps at
/// the pace of the job.
pub fn profile(job: &Job) -> Profile {
    let done = job
        .done
        .iter()
        .map(|done| (&done.step, done.work_ms as f64 / 1000.0, true));
    let pace = outlook::pace(job).median();
    let left = job.remaining.iter();
    let left = left.map(|step| (step, paced_s(step, pace), false));
    Profile::new(done.chain(left))
}

/// The time that a step should take at this pace, s; waits take as long as ever.
pub fn paced_s(step: &PlannedStep, pace: f64) -> f64 {
    step.wait_s + pace * (step.work_s + step.change_s)
}

#[cfg(test)]
mod tests {
    use super::*;
    use lidoff_planner::progress::{RunToEnd, block_on};
    use lidoff_testkit::demo;
    use lidoff_testkit::visit::replace;

    fn bring(catalog: &Catalog, part: &str) -> Preview {
        let (setup, mut handler) = (Configuration::usual(catalog), RunToEnd);
        let tasks = [replace(part)];
        block_on(preview(catalog, &setup, &tasks, &mut handler)).expect("a plan")
    }

    #[test]
    fn the_kit_is_what_the_steps_and_hazards_of_this_plan_need_protection_first() {
        let kiosk = demo::perch();
        let kit = |part| bring(&kiosk, part).kit.join(", ");
        assert_eq!(
            kit("psu"),
            "Barrier with warning sign, Antistatic mat, Two foam blocks, Screw tray with \
             numbered wells, Wrist strap with lead, Proving unit for the multimeter"
        );
        let screen = kit("screen");
        assert!(
            screen.starts_with("Cut-resistant gloves, Safety shoes, Barrier"),
            "{screen}"
        );
        assert!(!screen.contains("Proving unit"), "{screen}");
    }

    #[test]
    fn what_another_answer_needs_is_listed_as_perhaps_needed() {
        let laptop = demo::sorrel();
        let kit = bring(&laptop, "heatsink").kit.join(", ");
        assert!(
            kit.contains("Heat-resistant gloves (may be needed)"),
            "{kit}"
        );
        assert!(kit.contains("Goggles (may be needed)"), "{kit}");
        let kiosk = demo::perch();
        let seal = bring(&kiosk, "psu").consumables.join(", ");
        assert_eq!(seal, "Numbered door seal: 1 piece (may be needed)");
        // What is known is not listed again, and what nothing can ask for is not listed.
        assert_eq!(kit.matches("Fire box").count(), 1);
        assert!(
            !bring(&kiosk, "lamp")
                .kit
                .join(", ")
                .contains("may be needed")
        );
    }

    #[test]
    fn a_second_person_is_named_with_time_and_span() {
        let kiosk = demo::perch();
        assert_eq!(bring(&kiosk, "psu").people, [] as [Text; 0]);
        let people = bring(&kiosk, "screen").people;
        assert!(people[0].starts_with("Second person for "), "{people:?}");
    }

    #[test]
    fn a_spare_names_what_it_supersedes_and_what_is_in_the_box() {
        let kiosk = demo::perch();
        assert_eq!(
            bring(&kiosk, "printer").spares,
            [
                "Receipt printer, complete (P22-1170; replaces P22-1168, P22-1169); in the box: \
              paper guide (revision B only)"
            ]
        );
    }

    #[test]
    fn a_tool_is_listed_with_what_can_do_its_work() {
        let tools = bring(&demo::perch(), "psu").tools;
        let listed = "Hexalobular driver T20 (or: Bit driver with bits T8 to T25)";
        assert!(tools.iter().any(|tool| tool == listed), "{tools:?}");
    }
}
