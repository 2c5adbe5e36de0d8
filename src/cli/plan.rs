//! `lidoff plan`: the plan for tasks on a unit, as a technician would get it: from a
//! closed unit, or from the state that a job or the command line gives.

use std::error::Error;
use std::fmt::Write as _;
use std::path::{Path, PathBuf};

use lidoff_app_core::display::format_duration;
use lidoff_app_core::planning::{Preview, opened, proof_words, summarize_plan};
use lidoff_app_core::reasons::phase_reasons;
use lidoff_catalog::format::{AnswerId, OptionId, QuestionId};
use lidoff_catalog::model::{Catalog, PartIx};
use lidoff_catalog::read;
use lidoff_catalog::setup::Configuration;
use lidoff_estimate::LearnedTimes;
use lidoff_job::log::json as event_json;
use lidoff_job::{
    BlockedOperation, EventKind, Log, NamedTask, OpRef, PlanSnapshot, PlannedStep, Position,
    TaskProgress, TaskRef, fold, position,
};
use lidoff_limits::{CATALOG, LEARNED_TIMES};
use lidoff_planner::progress::block_on;
use lidoff_planner::{
    Limits, Op, PartState, Plan, Request, Task, Way, explain, find_alternative, plan,
};
use serde_json::{Value, json};

use crate::input::{read_text, unreadable};
use crate::print::print;
use crate::{compare, marginal_cost};

/// What to plan for.
#[derive(clap::Args)]
pub struct Args {
    /// Catalog file of the unit
    catalog: PathBuf,
    /// Id of a part to replace; can be repeated
    #[arg(long, value_name = "PART")]
    replace: Vec<String>,
    /// Id of a part to reseat; can be repeated
    #[arg(long, value_name = "PART")]
    reseat: Vec<String>,
    /// Id of a part to inspect; can be repeated
    #[arg(long, value_name = "PART")]
    inspect: Vec<String>,
    /// Id of a service operation to run; can be repeated
    #[arg(long, value_name = "SERVICE")]
    serve: Vec<String>,
    /// Id of a part to close the unit without; the unit then goes out of use
    #[arg(long, value_name = "PART")]
    leave_out: Vec<String>,
    /// An option that this unit is fitted with; can be repeated (default: the usual
    /// options)
    #[arg(long, value_name = "OPTION")]
    fitted: Vec<String>,
    /// An answer to a question; can be repeated
    #[arg(long, value_name = "QUESTION=ANSWER", value_parser = answer)]
    answer: Vec<(QuestionId, AnswerId)>,
    /// Plan from the current state of this job (a saved job file)
    #[arg(long, value_name = "JOB")]
    from: Option<PathBuf>,
    /// A part that is off now; can be repeated
    #[arg(long, value_name = "PART")]
    off: Vec<String>,
    /// A part that is eased now; can be repeated
    #[arg(long, value_name = "PART")]
    eased: Vec<String>,
    /// A part that cannot be eased or taken off on this unit; can be repeated
    #[arg(long, value_name = "PART")]
    blocked: Vec<String>,
    /// Only close the unit
    #[arg(long)]
    close: bool,
    /// Explain each operation: why it is in the plan, and how long the job would take
    /// without it
    #[arg(long)]
    why: bool,
    /// Show the extra time for replacing each other part now, compared with a separate
    /// visit
    #[arg(long)]
    also: bool,
    /// Learned times to plan with (a lidoff-times/1 file)
    #[arg(long, value_name = "FILE")]
    times: Option<PathBuf>,
    /// Print the plan as JSON
    #[arg(long)]
    json: bool,
}

fn answer(text: &str) -> Result<(QuestionId, AnswerId), String> {
    let (question, answer) = text.split_once('=').ok_or("use the form QUESTION=ANSWER")?;
    Ok((question.into(), answer.into()))
}

/// Plans, and prints the plan.
///
/// # Errors
/// When a file cannot be read, something is not found in the catalog, or there is
/// no plan.
pub fn run(args: &Args) -> Result<(), Box<dyn Error>> {
    let text = read_text(&args.catalog, CATALOG.bytes)
        .map_err(|error| unreadable(&args.catalog, &error))?;
    let mut catalog = read(&args.catalog.display().to_string(), &text)?;
    if let Some(path) = &args.times {
        let text =
            read_text(path, LEARNED_TIMES.bytes).map_err(|error| unreadable(path, &error))?;
        let corrected = LearnedTimes::from_json(&text)?.apply_to(&mut catalog);
        eprintln!("lidoff: learned times are used for {corrected} steps");
    }
    let requested = requested_tasks(args, &catalog)?;
    let (log, unread) = match &args.from {
        Some(file) => read_job(file)?,
        None => (opened(&catalog, &Configuration::usual(&catalog), &[])?, 0),
    };
    let log = with_arguments(args, &catalog, requested, log)?;
    let job = fold(&log);
    let now = job.head.map(|(_, at)| at).unwrap_or_default();
    let mut place = position(&job, &catalog, &now)?;
    for (ids, state) in [(&args.off, PartState::Off), (&args.eased, PartState::Eased)] {
        for id in ids {
            let part = part(&catalog, id)?;
            place.now.parts[part.index()] = state;
            place.from.parts[part.index()] = state;
        }
    }
    let found = plan(&place.request(&catalog, Limits::default()))
        .map_err(|refusal| refusal.words(&catalog))?;
    let open = job
        .tasks
        .iter()
        .filter(|task| task.state == TaskProgress::Open);
    let tasks: Vec<TaskRef> = open.map(|task| task.task.task.clone()).collect();
    let preview = summarize_plan(&catalog, &tasks, place.snapshot(&catalog, &found));
    let reasons = if args.why {
        reasons(&catalog, &place, &found, &preview.plan)
    } else {
        Vec::new()
    };
    let also = match args.also {
        true => Some(marginal_cost::lines(&catalog, &job.setup, &tasks)?),
        false => None,
    };
    if args.json {
        let mut all = json!(preview.plan);
        if unread > 0 {
            all["events_left_out"] = unread.into();
        }
        if args.why {
            all["why"] = reasons.iter().map(Reasons::json).collect();
        }
        if let Some(also) = &also {
            all["also"] = marginal_cost::json(also);
        }
        print(serde_json::to_string_pretty(&all)? + "\n");
    } else {
        let proof = match unread {
            0 => proof_words(&preview.plan),
            _ => "Nothing is proven: the unit may be in another state than the job says.".into(),
        };
        print(printed(&preview, &proof, &reasons)?);
        if let Some(also) = &also {
            print(format_args!("\n{}", marginal_cost::printed(also)));
        }
    }
    match unread {
        0 => Ok(()),
        1 => Err(format!("1 event of the job was {LEFT_OUT}").into()),
        n => Err(format!("{n} events of the job were {LEFT_OUT}").into()),
    }
}

/// Why the command fails although a plan is printed.
const LEFT_OUT: &str = "left out, so the plan may start from the \
                        wrong state. Compare it with the unit before you use it, or save the \
                        job again from the device it was done on";

/// The job in a file, and how many of its events have no effect on the plan. Each of them
/// is reported with its place.
fn read_job(file: &Path) -> Result<(Log, usize), Box<dyn Error>> {
    let (log, quarantined) = compare::read(file)?;
    let name = file.display().to_string();
    compare::warn(&name, &quarantined);
    for event in log.unknown() {
        let (id, json) = (event.id, event_json(event));
        eprintln!("lidoff: {name}: event {id} is left out: it is of a newer version: {json}");
    }
    let unread = quarantined.iter().map(|one| one.count).sum::<usize>() + log.unknown().count();
    Ok((log, unread))
}

fn part(catalog: &Catalog, id: &str) -> Result<PartIx, String> {
    let found = catalog.find_part(id);
    found.ok_or_else(|| {
        format!(
            "{} has no part “{id}”. Use one of: {}",
            catalog.unit().name,
            ids(catalog.parts().map(|(_, part)| part.id.as_str()))
        )
    })
}

fn ids<'a>(all: impl Iterator<Item = &'a str>) -> String {
    let all: Vec<&str> = all.collect();
    if all.is_empty() {
        return "none (this unit has none)".to_owned();
    }
    all.join(", ")
}

/// The tasks that the command line asks for.
fn requested_tasks(args: &Args, catalog: &Catalog) -> Result<Vec<NamedTask>, String> {
    let found = |ids: &[String]| {
        let parts = ids.iter().map(|id| part(catalog, id));
        parts.collect::<Result<Vec<_>, _>>()
    };
    let mut tasks = Vec::new();
    tasks.extend(found(&args.replace)?.into_iter().map(Task::Replace));
    tasks.extend(found(&args.reseat)?.into_iter().map(Task::Reseat));
    tasks.extend(found(&args.inspect)?.into_iter().map(Task::Inspect));
    tasks.extend(found(&args.leave_out)?.into_iter().map(Task::LeaveOut));
    for id in &args.serve {
        let found = catalog.find_service(id);
        let found = found.ok_or_else(|| {
            format!(
                "{} has no service operation “{id}”. Use one of: {}",
                catalog.unit().name,
                ids(catalog
                    .services()
                    .map(|(_, service)| service.entry.id.as_str()))
            )
        })?;
        tasks.push(Task::Serve(found));
    }
    let named = tasks.into_iter().map(|task| NamedTask::new(catalog, task));
    Ok(named.collect())
}

/// The log, with the events that the command line adds.
fn with_arguments(
    args: &Args,
    catalog: &Catalog,
    requested: Vec<NamedTask>,
    mut log: Log,
) -> Result<Log, Box<dyn Error>> {
    let mut kinds = Vec::new();
    if !args.fitted.is_empty() {
        let fitted = args.fitted.iter().map(|id| OptionId(id.clone())).collect();
        kinds.push(EventKind::FittedWith { fitted });
    }
    let answers = args.answer.iter().cloned();
    kinds.extend(answers.map(|(question, answer)| EventKind::Answered { question, answer }));
    kinds.extend(requested.into_iter().map(EventKind::TaskAdded));
    for id in &args.blocked {
        kinds.extend(blocked_operations(catalog, part(catalog, id)?).map(EventKind::Blocked));
    }
    if args.close {
        kinds.push(EventKind::TurnedBack);
    }
    let at = log.head().map(|head| head.at).unwrap_or_default();
    for kind in kinds {
        let event = log.draft(at, kind);
        log.append(event)?;
    }
    Ok(log)
}

/// Every operation that eases the part or takes it off, as blocked.
fn blocked_operations(catalog: &Catalog, at: PartIx) -> impl Iterator<Item = BlockedOperation> {
    let known = catalog.part(at);
    let (id, name) = (known.id.clone(), known.name.clone());
    let ease = known.ease.iter().map(|_| OpRef::Ease(id.clone()));
    let off = Way::all_of(known).map(|way| OpRef::from_op(catalog, Op::TakeOff(at, way)));
    let ways: Vec<OpRef> = ease.chain(off).collect();
    ways.into_iter().map(move |op| BlockedOperation {
        op,
        name: name.clone(),
        fastening: None,
    })
}

/// Why an operation is there or, before and after all operations, a step.
struct Reasons {
    /// Number of the step; of an operation's, the first.
    step: u32,
    op: Option<OpRef>,
    lines: Vec<String>,
}

impl Reasons {
    fn json(&self) -> Value {
        json!({ "step": self.step, "op": self.op, "why": self.lines })
    }
}

/// Why each step of a plan is there, and what the job would take without its operation.
fn reasons(catalog: &Catalog, place: &Position, found: &Plan, plan: &PlanSnapshot) -> Vec<Reasons> {
    let mut of_ops = reasons_of_ops(catalog, place, found).into_iter();
    let mut before: Option<&PlannedStep> = None;
    let each = plan.steps.iter().filter_map(|step| {
        let has_reason = step.has_own_reason(before.replace(step));
        let lines = match &step.op {
            _ if !has_reason => return None,
            None => phase_reasons(step, |id| plan.hazard(id)),
            // An operation without a step of its own is shown nowhere.
            Some(op) => of_ops.find(|(of, _)| of == op)?.1,
        };
        Some(Reasons {
            step: step.number,
            op: step.op.clone(),
            lines,
        })
    });
    each.collect()
}

fn reasons_of_ops(catalog: &Catalog, place: &Position, found: &Plan) -> Vec<(OpRef, Vec<String>)> {
    let request = place.request(catalog, Limits::default());
    let ops: Vec<Op> = found.ops.iter().map(|planned| planned.op).collect();
    let each = ops.iter().enumerate().filter_map(|(at, op)| {
        let mut lines = explain(&request, &ops, at)?.words(catalog);
        let planner = async |request: &Request| plan(request);
        let other = block_on(find_alternative(&request, &ops, *op, planner));
        lines.extend(other.map(|other| other.words(catalog)));
        Some((OpRef::from_op(catalog, *op), lines))
    });
    each.collect()
}

fn printed(preview: &Preview, proof: &str, reasons: &[Reasons]) -> Result<String, std::fmt::Error> {
    let mut out = String::new();
    let mut phase = None;
    for step in &preview.plan.steps {
        let begins_phase = phase != Some(step.phase);
        if begins_phase {
            writeln!(out, "\n{}", step.phase.name().to_uppercase())?;
            phase = Some(step.phase);
        }
        let reasons = reasons.iter().find(|reasons| reasons.step == step.number);
        let lines = reasons.map_or(&[][..], |reasons| &reasons.lines);
        for line in lines {
            // The reason of a whole phase is shown where it begins.
            if step.op.is_some() || begins_phase || step.phase.reason().as_ref() != Some(line) {
                writeln!(out, "      | {line}")?;
            }
        }
        if step.turn
            && let Some(face) = &step.face
        {
            writeln!(out, "        turn to: {face}")?;
        }
        if step.tool_change
            && let Some(tool) = &step.tool
        {
            writeln!(out, "        tool: {tool}")?;
        }
        writeln!(out, "{:>6.0} s  {}", step.expected_s(), step.action)?;
    }
    let band = preview.plan.band;
    writeln!(
        out,
        "\n{} steps, {} (8 in 10 jobs: {}; 19 in 20: {}), at most {} parts open at once",
        preview.plan.steps.len(),
        format_duration(band.p50_s),
        format_duration(band.p80_s),
        format_duration(band.p95_s),
        preview.deepest
    )?;
    writeln!(out, "{proof}")?;
    for (title, lines) in [
        ("Tools", &preview.tools),
        ("Spares", &preview.spares),
        ("Consumables", &preview.consumables),
        ("Kit", &preview.kit),
        ("People", &preview.people),
        ("Hazards", &preview.hazards),
    ] {
        if !lines.is_empty() {
            writeln!(out, "{title}: {}", lines.join("; "))?;
        }
    }
    Ok(out)
}
