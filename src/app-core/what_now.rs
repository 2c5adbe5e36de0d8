//! What can be done now: after a danger was found, and when not every task has a plan.

use lidoff_catalog::format::{Condition, Formula, SourceKind, Text};
use lidoff_catalog::model::{
    AnswerIx, Catalog, Part, PartIx, QuestionIx, ResolvedCondition, ResolvedFormula,
};
use lidoff_catalog::setup::Setup;
use lidoff_i18n::{localize, tr};
use lidoff_job::{Danger, EventKind, Job, NamedTask, Stamp, TaskProgress, TaskRef, position};
use lidoff_planner::progress::ProgressHandler;
use lidoff_planner::{Limits, Op, Refusal, Task, Way, plan_async};

/// The open tasks that must be left so that there is a plan for the others; empty if there is
/// a plan for all of them. None of them can be kept by itself.
///
/// # Errors
/// Why there is no plan even without tasks; in words.
pub async fn tasks_to_leave(
    job: &Job,
    catalog: &Catalog,
    now: &Stamp,
    handler: &mut dyn ProgressHandler,
) -> Result<Vec<NamedTask>, Text> {
    let mut job = job.clone();
    let mut left = Vec::new();
    loop {
        let position = position(&job, catalog, now).map_err(|error| error.to_string())?;
        let request = position.request(catalog, Limits::INTERACTIVE);
        let why = match plan_async(&request, handler).await {
            Ok(_) => return Ok(left),
            Err(why) => why,
        };
        let doomed = match &why {
            Refusal::NotFitted(task)
            | Refusal::NotOffered(task)
            | Refusal::Unreachable { task, .. } => open_task_of(&job, catalog, *task),
            // Without any one of them there is a plan: the earliest request is kept.
            Refusal::Conflict { tasks, .. } => {
                let open = tasks.iter().rev();
                open.filter_map(|task| open_task_of(&job, catalog, *task))
                    .next()
            }
            Refusal::CannotClose(_) | Refusal::TooManyTasks { .. } | Refusal::Limit { .. } => None,
        };
        let Some(doomed) = doomed else {
            return Err(why.words(catalog));
        };
        for one in &mut job.tasks {
            if one.state == TaskProgress::Open && one.task == doomed {
                one.state = TaskProgress::LeftOpen;
            }
        }
        left.push(doomed);
    }
}

/// The open task that this is, or that requires it as a service.
fn open_task_of(job: &Job, catalog: &Catalog, task: Task) -> Option<NamedTask> {
    let requires = |one: &&NamedTask| match (&one.task, task) {
        (TaskRef::Replace(part), Task::Serve(service)) => {
            let part = catalog.find_part(part.as_str());
            let swap = part.and_then(|part| catalog.part(part).swap.as_ref());
            swap.is_some_and(|swap| swap.services.contains(&service))
        }
        _ => false,
    };
    let is_it = |one: &&NamedTask| one.task.find(catalog) == Some(task);
    let mut open = job.open_tasks();
    let found = open.find(is_it).or_else(|| job.open_tasks().find(requires));
    found.cloned()
}

/// What to do about a danger.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DangerAdvice {
    /// What to do first, in order.
    pub first: Vec<Text>,
    /// How to isolate each outer source that is still live: its name, and what to do.
    pub isolate: Vec<(Text, Vec<Text>)>,
}

/// What to do now about a danger, in the present power state of the job.
pub fn advise(danger: Danger, job: &Job, catalog: &Catalog) -> DangerAdvice {
    DangerAdvice {
        first: first_words(danger),
        isolate: outer_isolation(job, catalog),
    }
}

/// Common practice, no source.
fn first_words(danger: Danger) -> Vec<Text> {
    let mut words = match danger {
        Danger::Smoke => vec![
            tr!("Hands off. Step back. Do not breathe the smoke."),
            tr!("Flames, or more than a little smoke: leave the room and call the fire service."),
        ],
        Danger::LivePart => vec![tr!(
            "Hands out. Do not touch the unit or anything that touches it."
        )],
        Danger::SwollenBattery => vec![
            tr!("Hands off the battery: do not press, lever, bend, pierce or charge it."),
            tr!("Hot, hissing or smoking: leave the room and call the fire service."),
        ],
        Danger::PersonHurt => vec![
            tr!("Do not touch anyone who may still be in contact with a live part."),
            tr!("Call the emergency service, then give first aid."),
        ],
    };
    words.push(tr!("Keep other people away from the unit."));
    words.push(tr!("Call the desk."));
    words
}

/// What this danger says of the sources of the unit: the answers that condemn a battery, as far
/// as they are not given yet.
pub fn condemning_answers(danger: Danger, job: &Job, catalog: &Catalog) -> Vec<EventKind> {
    let Ok(setup) = Setup::new(catalog, &job.setup) else {
        return Vec::new();
    };
    let is_it = |(_, part): &(PartIx, &Part)| {
        let kind = part.source.as_ref().map(|it| it.kind);
        danger == Danger::SwollenBattery
            && kind == Some(SourceKind::Battery)
            && setup.holds(&part.when)
    };
    let mut answers = Vec::new();
    for (_, part) in catalog.sources().filter(is_it) {
        let condemned = part.source.as_ref().and_then(|it| it.condemned.as_ref());
        if let Some((when, _)) = condemned {
            collect_answers(when, &mut answers);
        }
    }
    let given = |(question, answer): &(QuestionIx, AnswerIx)| {
        setup.is_answered(*question) && setup.answer(*question) == *answer
    };
    answers.retain(|answer| !given(answer));
    let event = |(question, answer): (QuestionIx, AnswerIx)| {
        let question = catalog.question(question);
        let answer = question.answers.get(answer.index())?;
        Some(EventKind::Answered {
            question: question.id.clone(),
            answer: answer.id.clone(),
        })
    };
    answers.into_iter().filter_map(event).collect()
}

/// The answers that must be given for a condition to hold.
fn collect_answers(condition: &ResolvedCondition, into: &mut Vec<(QuestionIx, AnswerIx)>) {
    match condition {
        Condition::All(all) => all.iter().for_each(|one| collect_answers(one, into)),
        Condition::Answer { question, is } => into.push((*question, *is)),
        Condition::Any(_) | Condition::Not(_) | Condition::Fitted(_) | Condition::Replaced(_) => {}
    }
}

/// The parts that this unit can be closed without, and goes out of use: each as a task that the
/// job does not have, with the open replacement that it stands in the way of.
pub fn parts_to_leave_out(job: &Job, catalog: &Catalog) -> Vec<(NamedTask, Option<NamedTask>)> {
    let Ok(setup) = Setup::new(catalog, &job.setup) else {
        return Vec::new();
    };
    let has_task = |task: &TaskRef| {
        let mut tasks = job.tasks.iter();
        tasks.any(|one| one.task.task == *task && one.state == TaskProgress::Open)
    };
    let offered = catalog.parts().filter(|(at, part)| {
        !part.leave_out.is_empty()
            && setup.has(catalog, *at)
            && !has_task(&TaskRef::LeaveOut(part.id.clone()))
            && !job.left_out().any(|id| *id == part.id)
    });
    offered
        .map(|(at, part)| {
            let replace = TaskRef::Replace(part.id.clone());
            let mut open = job.open_tasks();
            let replacement = open.find(|task| task.task == replace).cloned();
            (NamedTask::new(catalog, Task::LeaveOut(at)), replacement)
        })
        .collect()
}

/// Live sources that are isolated with the unit closed and that no other source feeds.
fn outer_isolation(job: &Job, catalog: &Catalog) -> Vec<(Text, Vec<Text>)> {
    let Ok(setup) = Setup::new(catalog, &job.setup) else {
        return Vec::new();
    };
    let is_live = |(_, part): &(PartIx, &Part)| {
        let is_outer = part.source.as_ref().is_some_and(|it| it.fed_by.is_empty());
        is_outer && setup.holds(&part.when) && !job.isolated.contains(&part.id)
    };
    let live = catalog.sources().filter(is_live);
    live.filter_map(|(at, part)| {
        let mut ways = Way::all_of(part);
        let way = ways.find(|way| {
            let leg = way.leg(part);
            leg.is_some_and(|leg| holds_when_closed(&leg.needs, &setup))
        })?;
        let steps = Op::TakeOff(at, way).steps(catalog, &setup);
        let steps = steps.iter().map(|step| &catalog.step(*step).entry);
        let words = steps.map(|step| match &step.how {
            Some(how) => format!("{}. {}", localize(&step.action), localize(how)),
            None => localize(&step.action).into_owned(),
        });
        Some((localize(&part.name).into_owned(), words.collect()))
    })
    .collect()
}

/// Whether a formula holds while every part is fitted.
fn holds_when_closed(needs: &ResolvedFormula, setup: &Setup) -> bool {
    let holds = |one: &ResolvedFormula| holds_when_closed(one, setup);
    match needs {
        Formula::All(all) => all.iter().all(holds),
        Formula::Any(any) => any.iter().any(holds),
        Formula::When { condition, then } => !setup.holds(condition) || holds(then),
        Formula::Off(_) | Formula::Eased(_) => false,
        Formula::InPlace(_) | Formula::Clear(_) | Formula::Closed => true,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use lidoff_job::{BlockedOperation, OpRef, WayRef};
    use lidoff_planner::progress::{RunToEnd, block_on};
    use lidoff_testkit::powered_unit::powered_unit;
    use lidoff_testkit::visit::{Visit, replace};

    #[test]
    fn a_live_unit_is_isolated_outside_and_an_isolated_one_is_not() {
        let catalog = powered_unit();
        let mut visit = Visit::begin(&catalog, &[replace("fan")]);
        let advice = advise(Danger::Smoke, &visit.job(), &catalog);
        let mains = ["mains-lock", "mains-dead"].map(String::from).to_vec();
        assert_eq!(advice.isolate, [("mains".to_owned(), mains)]);
        visit.do_up_to("charge-drain");
        let advice = advise(Danger::LivePart, &visit.job(), &catalog);
        assert_eq!(advice.isolate, []);
        assert!(!advice.first.is_empty());
    }

    #[test]
    fn only_the_tasks_without_a_plan_are_left() {
        let catalog = powered_unit();
        let mut visit = Visit::begin(&catalog, &[replace("board"), replace("fan")]);
        let leave = |visit: &Visit<'_>| {
            let (job, mut handler) = (visit.job(), RunToEnd);
            let left = block_on(tasks_to_leave(&job, &catalog, &visit.now, &mut handler));
            let left = left.expect("the unit can be closed").into_iter();
            left.map(|task| task.task).collect::<Vec<_>>()
        };
        assert_eq!(leave(&visit), []);
        visit.note(EventKind::Answered {
            question: "board-state".into(),
            answer: "glued".into(),
        });
        assert_eq!(leave(&visit), [replace("board")]);
        visit.note(EventKind::Blocked(BlockedOperation {
            op: OpRef::TakeOff {
                part: "cover".into(),
                way: WayRef::InPlace,
            },
            name: "cover".to_owned(),
            fastening: None,
        }));
        assert_eq!(leave(&visit), [replace("board"), replace("fan")]);
    }

    #[test]
    fn a_swollen_battery_is_answered_once_and_can_be_left_out() {
        let catalog = lidoff_testkit::visit::sorrel();
        let mut visit = Visit::begin(&catalog, &[replace("long-battery-pack")]);
        let answers = |danger, job: &Job| condemning_answers(danger, job, &catalog);
        assert_eq!(answers(Danger::Smoke, &visit.job()), []);
        let swollen = answers(Danger::SwollenBattery, &visit.job());
        assert_eq!(swollen.len(), 1);
        visit.note(swollen[0].clone());
        assert_eq!(answers(Danger::SwollenBattery, &visit.job()), []);
        // The other pack is not in this unit.
        let offered = parts_to_leave_out(&visit.job(), &catalog);
        let [(task, replacement)] = offered.as_slice() else {
            panic!("{offered:?}");
        };
        let pack = || "long-battery-pack".into();
        assert_eq!(task.task, TaskRef::LeaveOut(pack()));
        assert_eq!(
            replacement.as_ref().map(|task| &task.task),
            Some(&TaskRef::Replace(pack()))
        );
        visit.note(EventKind::TaskAdded(task.clone()));
        assert_eq!(parts_to_leave_out(&visit.job(), &catalog), []);
    }
}
