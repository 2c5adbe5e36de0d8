//! A planning case as a few lines that a person can read when a test fails.

use std::fmt::{self, Formatter};

use lidoff_catalog::format::{Condition, Formula};
use lidoff_catalog::model::{Catalog, Leg, OpIx, ResolvedCondition, ResolvedFormula, StepIx};
use lidoff_planner::Prices;

use crate::planning_case::PlanningCase;

impl fmt::Debug for PlanningCase {
    fn fmt(&self, f: &mut Formatter<'_>) -> fmt::Result {
        write_case(self, f)
    }
}

fn write_case(case: &PlanningCase, f: &mut Formatter<'_>) -> fmt::Result {
    let catalog = &case.catalog;
    let there: Vec<&str> = catalog
        .options()
        .filter(|(at, _)| case.setup.is_fitted(*at))
        .map(|(_, option)| option.id.as_str())
        .collect();
    writeln!(f, "\nfitted: {there:?}")?;
    for (at, question) in catalog.questions() {
        let answer = case.setup.answer(at);
        writeln!(
            f,
            "{}: {}",
            question.id,
            question.answers[answer.index()].id
        )?;
    }
    for (_, part) in catalog.parts() {
        let there = if case.setup.holds(&part.when) {
            ""
        } else {
            " (not there)"
        };
        write!(f, "{}{there}", part.id)?;
        if part.when != Condition::All(Vec::new()) {
            write!(f, " when {}", condition(catalog, &part.when))?;
        }
        if let Some(carrier) = part.rides_on {
            write!(f, " rides on {}", catalog.part(carrier).id)?;
        }
        writeln!(f)?;
        leg(case, "ease", part.ease.as_ref(), f)?;
        leg(case, "take off", part.take_off.as_ref(), f)?;
        for other in &part.other_ways {
            leg(case, "take off another way", Some(other), f)?;
        }
        leg(case, "take off on the bench", part.bench_off.as_ref(), f)?;
        if let Some(swap) = &part.swap {
            let moved: Vec<&str> = swap
                .moves_over
                .iter()
                .map(|at| catalog.part(*at).id.as_str())
                .collect();
            write!(f, "  swap, moving {moved:?}: ")?;
            steps(case, &swap.steps, f)?;
            for piece in &swap.hand_backs {
                write!(f, "; piece when {}: ", condition(catalog, &piece.when))?;
                steps(case, &piece.steps, f)?;
            }
            writeln!(f)?;
        }
        if let Some(how) = &part.reseat {
            write!(f, "  reseat at {:?}: ", how.at)?;
            steps(case, &how.steps, f)?;
            writeln!(f)?;
        }
        if let Some(how) = &part.inspect {
            write!(f, "  inspect, needs {}: ", needs(catalog, &how.needs))?;
            steps(case, &how.steps, f)?;
            writeln!(f)?;
        }
    }
    for (_, service) in catalog.services() {
        let ops = |ops: &[OpIx]| {
            let said = ops.iter().map(|op| format!("{:?}", op.anchor(catalog)));
            said.collect::<Vec<_>>().join(", ")
        };
        write!(
            f,
            "service {} when {}, needs {}, before [{}], after [{}]: ",
            service.entry.id,
            condition(catalog, &service.when),
            needs(catalog, &service.needs),
            ops(&service.before),
            ops(&service.after)
        )?;
        steps(case, &service.steps, f)?;
        writeln!(f)?;
    }
    let Prices {
        tool_change,
        face_change,
        ..
    } = case.prices;
    writeln!(f, "tool change {tool_change}, face change {face_change}")?;
    writeln!(f, "from {:?}", case.from)?;
    writeln!(f, "tasks {:?}", case.tasks)
}

fn leg(case: &PlanningCase, name: &str, leg: Option<&Leg>, f: &mut Formatter<'_>) -> fmt::Result {
    let Some(leg) = leg else { return Ok(()) };
    write!(f, "  {name}, needs {}", needs(&case.catalog, &leg.needs))?;
    if leg.refit_needs != Formula::nothing() {
        write!(f, ", for refit {}", needs(&case.catalog, &leg.refit_needs))?;
    }
    write!(f, ": ")?;
    steps(case, &leg.out, f)?;
    write!(f, " / ")?;
    steps(case, &leg.back, f)?;
    writeln!(f)
}

fn steps(case: &PlanningCase, steps: &[StepIx], f: &mut Formatter<'_>) -> fmt::Result {
    let catalog = &case.catalog;
    for at in steps {
        let step = catalog.step(*at);
        if !case.setup.holds(&step.when) {
            continue;
        }
        write!(f, "{}", case.prices.of(*at))?;
        if let Some(tool) = step.tool {
            write!(f, " {}", catalog.tool(tool).id)?;
        }
        if let Some(face) = step.face {
            write!(f, " {}", catalog.face(face).id)?;
        }
        if let Some(wait) = step.after_wait {
            write!(f, " after w{}", wait.index())?;
        }
        if let Some(wait) = step.starts_wait {
            let length = catalog.wait(wait).seconds * 10;
            write!(f, " starts w{} of {length}", wait.index())?;
        }
        write!(f, "; ")?;
    }
    Ok(())
}

fn needs(catalog: &Catalog, asked: &ResolvedFormula) -> String {
    let list = |all: &[ResolvedFormula]| {
        let words = all.iter().map(|one| needs(catalog, one));
        words.collect::<Vec<_>>().join(", ")
    };
    match asked {
        Formula::All(all) => format!("all({})", list(all)),
        Formula::Any(any) => format!("any({})", list(any)),
        Formula::Eased(at) => format!("eased {}", catalog.part(*at).id),
        Formula::Off(at) => format!("off {}", catalog.part(*at).id),
        Formula::Clear(at) => format!("clear {}", catalog.part(*at).id),
        Formula::InPlace(at) => format!("in-place {}", catalog.part(*at).id),
        Formula::Closed => "closed".to_owned(),
        Formula::When { condition: c, then } => {
            format!(
                "when {} then {}",
                condition(catalog, c),
                needs(catalog, then)
            )
        }
    }
}

fn condition(catalog: &Catalog, said: &ResolvedCondition) -> String {
    let list = |all: &[ResolvedCondition]| {
        let words = all.iter().map(|one| condition(catalog, one));
        words.collect::<Vec<_>>().join(", ")
    };
    match said {
        Condition::All(all) => format!("all({})", list(all)),
        Condition::Any(any) => format!("any({})", list(any)),
        Condition::Not(one) => format!("not {}", condition(catalog, one)),
        Condition::Fitted(at) => catalog.option(*at).id.to_string(),
        Condition::Replaced(at) => format!("{} replaced", catalog.part(*at).id),
        Condition::Answer { question, is } => {
            let question = catalog.question(*question);
            format!("{}={}", question.id, question.answers[is.index()].id)
        }
    }
}
