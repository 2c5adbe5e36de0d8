//! `lidoff plan`: the plan for some tasks on a unit, as a technician would get it.

use std::error::Error;
use std::fmt::Write as _;
use std::path::PathBuf;

use lidoff::app::planning::{Preview, preview, proof_words};
use lidoff::app::words::about;
use lidoff::catalog::format::{AnswerId, OptionId, PartId, QuestionId, ServiceId};
use lidoff::catalog::read;
use lidoff::catalog::setup::SaidSetup;
use lidoff::job::SaidTask;
use lidoff::time::Times;

/// What to plan for.
#[derive(clap::Args)]
pub struct Args {
    /// The unit's catalog
    catalog: PathBuf,
    /// A part to replace (its id); can be given more than once
    #[arg(long, value_name = "PART")]
    replace: Vec<String>,
    /// A part to reseat
    #[arg(long, value_name = "PART")]
    reseat: Vec<String>,
    /// A part to inspect
    #[arg(long, value_name = "PART")]
    inspect: Vec<String>,
    /// A service operation to run
    #[arg(long, value_name = "SERVICE")]
    serve: Vec<String>,
    /// An option that this unit is fitted with; without any, the usual ones
    #[arg(long, value_name = "OPTION")]
    fitted: Vec<String>,
    /// An answer to a question
    #[arg(long, value_name = "QUESTION=ANSWER", value_parser = answer)]
    answer: Vec<(QuestionId, AnswerId)>,
    /// Learned times to plan with, a lidoff-times/1 file
    #[arg(long, value_name = "FILE")]
    times: Option<PathBuf>,
    /// Print the plan as JSON
    #[arg(long)]
    json: bool,
}

fn answer(text: &str) -> Result<(QuestionId, AnswerId), String> {
    let (question, answer) = text.split_once('=').ok_or("write it as QUESTION=ANSWER")?;
    Ok((question.into(), answer.into()))
}

/// Plans, and prints the plan.
///
/// # Errors
/// When the catalog cannot be read, something in it is not found, or there is no
/// plan.
pub fn run(args: &Args) -> Result<(), Box<dyn Error>> {
    let text = std::fs::read_to_string(&args.catalog)
        .map_err(|error| format!("{}: {error}", args.catalog.display()))?;
    let mut catalog = read(&args.catalog.display().to_string(), &text)?;
    if let Some(path) = &args.times {
        let text = std::fs::read_to_string(path)
            .map_err(|error| format!("{}: {error}", path.display()))?;
        let corrected = Times::from_json(&text)?.lay_over(&mut catalog);
        eprintln!("lidoff: {corrected} steps are planned with learned times");
    }
    let mut setup = SaidSetup::usual(&catalog);
    if !args.fitted.is_empty() {
        setup.fitted = args.fitted.iter().map(|id| OptionId(id.clone())).collect();
    }
    setup.answers = args.answer.iter().cloned().collect();
    let part = |make: fn(PartId) -> SaidTask, ids: &[String]| {
        ids.iter()
            .map(|id| make(PartId(id.clone())))
            .collect::<Vec<_>>()
    };
    let mut tasks = part(SaidTask::Replace, &args.replace);
    tasks.extend(part(SaidTask::Reseat, &args.reseat));
    tasks.extend(part(SaidTask::Inspect, &args.inspect));
    tasks.extend(
        args.serve
            .iter()
            .map(|id| SaidTask::Serve(ServiceId(id.clone()))),
    );
    if let Some(task) = tasks.iter().find(|task| task.find(&catalog).is_none()) {
        return Err(format!("{} has nothing by that name: {task:?}", catalog.unit().name).into());
    }
    let preview = preview(&catalog, &setup, &tasks)?;
    if args.json {
        println!("{}", serde_json::to_string_pretty(&preview.plan)?);
    } else {
        print!("{}", printed(&preview)?);
    }
    Ok(())
}

fn printed(preview: &Preview) -> Result<String, std::fmt::Error> {
    let mut out = String::new();
    let mut phase = None;
    for step in &preview.plan.steps {
        if phase != Some(step.phase) {
            writeln!(out, "\n{}", step.phase.name().to_uppercase())?;
            phase = Some(step.phase);
        }
        if step.turn
            && let Some(face) = &step.face
        {
            writeln!(out, "        turn to: {face}")?;
        }
        if step.tool_change
            && let Some(tool) = &step.tool
        {
            writeln!(out, "        take: {tool}")?;
        }
        writeln!(out, "{:>6.0} s  {}", step.expected_s(), step.action)?;
    }
    let band = preview.plan.band;
    writeln!(
        out,
        "\n{} steps, {} (8 of 10 jobs: {}; 19 of 20: {}), {} parts open at the deepest",
        preview.plan.steps.len(),
        about(band.p50_s),
        about(band.p80_s),
        about(band.p95_s),
        preview.deepest
    )?;
    writeln!(out, "{}", proof_words(&preview.plan))?;
    for (title, lines) in [
        ("Tools", &preview.tools),
        ("Spares", &preview.spares),
        ("Used up", &preview.consumables),
        ("Hazards", &preview.hazards),
    ] {
        if !lines.is_empty() {
            writeln!(out, "{title}: {}", lines.join("; "))?;
        }
    }
    Ok(out)
}
