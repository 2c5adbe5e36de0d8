//! What the plan screen says when it is asked why.

use lidoff_app_core::blocked_operation::{blocked_operation, can_add_task, replacement_task};
use lidoff_app_core::reasons::reasons;
use lidoff_job::{EventKind, Job, JobPhase, NamedTask, OpRef};
use lidoff_planner::progress::{RunToEnd, block_on};

use lidoff_testkit::visit::{Visit, perch, replace, sorrel};

/// What is said of the step with this number.
fn why(visit: &Visit, job: &Job, number: u32) -> Result<Vec<String>, String> {
    block_on(reasons(
        Some(&visit.log),
        job,
        visit.catalog,
        &visit.now,
        number,
        &mut RunToEnd,
    ))
}

/// Numbers of the steps that begin an operation.
fn begins(job: &Job) -> Vec<u32> {
    let mut before: Option<&OpRef> = None;
    let mut begins = Vec::new();
    for step in &job.remaining {
        if step.op.is_some() && (step.op.as_ref() != before || step.nth == 1) {
            begins.push(step.number);
        }
        before = step.op.as_ref();
    }
    begins
}

#[test]
fn every_remaining_operation_has_a_reason_at_every_point_of_the_job() {
    let catalog = perch();
    let mut visit = Visit::begin(&catalog, &[replace("main-board"), replace("speaker")]);
    for nth in 0.. {
        let job = visit.job();
        let Some(_) = job.next() else { break };
        if nth % 6 == 0 {
            for number in begins(&job) {
                let lines = why(&visit, &job, number);
                let step = job.step(number).unwrap();
                assert!(
                    lines.as_ref().is_ok_and(|l| !l.is_empty()),
                    "{step:?} {lines:?}"
                );
            }
        }
        visit.do_one();
    }
}

#[test]
fn a_done_step_keeps_the_reason_it_had_before() {
    let catalog = perch();
    let mut visit = Visit::begin(&catalog, &[replace("speaker")]);
    let job = visit.job();
    let mut said = Vec::new();
    for number in begins(&job) {
        while visit.job().next().unwrap().number != number {
            visit.do_one();
        }
        let now = visit.job();
        let mut lines = why(&visit, &now, number).unwrap();
        // Once the step is done, the time of the job without it is no longer given.
        lines.retain(|line| {
            !line.starts_with("Without it") && !line.starts_with("There is no other way")
        });
        said.push((number, lines));
    }
    visit.do_all();
    let job = visit.job();
    assert!(job.remaining.is_empty() && said.len() > 4);
    for (number, lines) in said {
        assert_eq!(
            why(&visit, &job, number),
            Ok(lines),
            "{:?}",
            job.step(number)
        );
    }
}

#[test]
fn make_safe_prove_and_hand_over_steps_have_a_reason_too() {
    let catalog = perch();
    let mut visit = Visit::begin(&catalog, &[replace("speaker")]);
    for _ in 0..2 {
        let job = visit.job();
        let steps = job.done.iter().map(|done| &done.step).chain(&job.remaining);
        let alone: Vec<_> = steps.filter(|step| step.op.is_none()).collect();
        assert!(alone.len() > 10);
        for step in alone {
            let lines = why(&visit, &job, step.number).unwrap();
            let first = Some(lines[0].clone());
            assert_eq!(first, step.phase.reason(), "{step:?}");
            let against = lines[1..].iter();
            let guards = match step.phase {
                JobPhase::MakeSafe => step.hazards.len(),
                _ => 0,
            };
            assert_eq!(against.count(), guards, "{step:?}");
        }
        visit.do_all();
    }
    let mains = visit
        .job()
        .done
        .into_iter()
        .find(|done| done.step.hazards.iter().any(|id| id.as_str() == "mains"));
    let lines = why(&visit, &visit.job(), mains.unwrap().step.number).unwrap();
    assert_eq!(lines[0], "Replacing “Speaker” needs “Mains” isolated.");
    let laptop = sorrel();
    let visit = Visit::begin(&laptop, &[replace("fan")]);
    let lines = why(&visit, &visit.job(), 1).unwrap();
    assert!(
        lines[1].starts_with("It protects against this hazard: The customer's data"),
        "{lines:?}"
    );
}

#[test]
fn the_service_door_is_opened_for_the_board_and_the_screen_is_the_other_way() {
    let catalog = perch();
    let visit = Visit::begin(&catalog, &[replace("main-board")]);
    let job = visit.job();
    let door = Some(OpRef::Ease("service-door".into()));
    let first = job.remaining.iter().find(|step| step.op == door).unwrap();
    let lines = why(&visit, &job, first.number).unwrap();
    assert!(lines[0].contains("needs “Service door” eased"), "{lines:?}");
    let last = lines.last().unwrap();
    assert!(
        last.starts_with("Without it the job takes 3 min 22 s longer"),
        "{last}"
    );
    assert!(last.contains("easing “Screen frame”"), "{last}");
}

#[test]
fn a_started_operation_is_finished_and_a_dropped_route_is_refitted() {
    let catalog = perch();
    let mut visit = Visit::begin(&catalog, &[replace("main-board")]);
    visit.do_up_to("service-door-ease-out-4");
    let job = visit.job();
    let step = job.next().unwrap();
    let lines = why(&visit, &job, step.number).unwrap();
    assert_eq!(lines, ["It was already started, so it is finished first."]);
    let way = blocked_operation(step).unwrap();
    assert_eq!(way.fastening, Some("service-door-turns".into()));
    visit.note(EventKind::Blocked(way));
    visit.plan(visit.job().replan_due.unwrap());
    let job = visit.job();
    let step = job.next().unwrap();
    let lines = why(&visit, &job, step.number).unwrap();
    let undone = "It was opened for a route that was dropped, so it is refitted first.";
    assert_eq!(lines, [undone]);
    assert_eq!(blocked_operation(step), None, "a way back is not blocked");
    visit.do_one();
    let job = visit.job();
    let lines = why(&visit, &job, begins(&job)[0]).unwrap();
    assert!(lines[0].contains("needs"), "{lines:?}");
}

#[test]
fn a_broken_part_is_offered_for_replacement_only_once_and_only_where_the_catalog_says_how() {
    let catalog = perch();
    let mut visit = Visit::begin(&catalog, &[replace("main-board")]);
    visit.do_up_to("service-door-ease-out-4");
    let job = visit.job();
    let door: NamedTask = replacement_task(job.next().unwrap()).unwrap();
    assert_eq!(door.task, replace("service-door"));
    assert!(can_add_task(&catalog, &job, &door));
    visit.add(&door.task);
    assert!(!can_add_task(&catalog, &visit.job(), &door));
    let no_swap = catalog.parts().find(|(_, part)| part.swap.is_none());
    let (_, part) = no_swap.unwrap();
    let task = NamedTask {
        task: replace(part.id.as_str()),
        name: part.name.clone(),
    };
    assert!(!can_add_task(&catalog, &visit.job(), &task));
}
