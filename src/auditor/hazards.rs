//! Signal words, and what a hazard says.

use std::collections::BTreeSet;

use lidoff_catalog::format::{Demand, Hazard, Scope, SignalWord};
use lidoff_i18n::{localize, tr};

use super::rule::Rule;
use super::runs::{Report, Run, name_step};
use super::unit::Unit;

/// Beginnings of English words for death. Catalogs are written in English.
const DEATH: &[&str] = &["kill", "fatal", "death", "deadly", "die", "dies", "lethal"];
/// Beginnings of words for a serious injury.
const SERIOUS: &[&str] = &[
    "serious",
    "severe",
    "crush",
    "electrocut",
    "amputat",
    "blind",
    "burns",
    "explode",
];
/// Beginnings of words for what happens.
const CONSEQUENCE: &[&str] = &[
    "shock", "burn", "cut", "crush", "pinch", "bruise", "injur", "hurt", "harm", "blind", "dazzle",
    "fire", "burst", "explo", "poison", "irritat", "splinter", "break", "damage", "destroy",
    "lost", "lose", "loss", "tear", "torn", "erase", "fall", "fell", "snap", "swing", "tip",
    "scald", "toxic", "swallow", "spoil", "scratch", "trap", "dries", "must be", "hot", "sharp",
    "bite", "spark", "belongs", "cannot", "ruin", "void", "wipe", "delete", "fail",
];

fn names(text: &str, beginnings: &[&str]) -> bool {
    let text = text.to_lowercase();
    let mut words = text.split(|letter: char| !letter.is_alphanumeric());
    let begins = |word: &str| beginnings.iter().any(|one| word.starts_with(one));
    words.any(begins)
        || beginnings
            .iter()
            .any(|one| one.contains(' ') && text.contains(one))
}

fn names_death(text: &str) -> bool {
    let text = text.to_lowercase();
    let mut words = text.split(|letter: char| !letter.is_alphanumeric());
    words.any(|word| match word {
        "die" | "dies" => true,
        _ => {
            DEATH
                .iter()
                .any(|one| one.len() > 4 && word.starts_with(one))
                || word.starts_with("kill")
        }
    })
}

pub(crate) fn check<'f>(unit: &Unit<'f>, runs: &[Run<'f>], report: &mut Report) {
    let mut seen = BTreeSet::new();
    for run in runs {
        for (nr, step) in (run.first..).zip(&run.steps) {
            for hazard in unit.hazards_of(step) {
                if let Scope::Until(end) = &hazard.lasts
                    && !unit.case.steps[nr..].contains(end)
                    && unit.step(end).is_none_or(|(_, end)| unit.applies(end))
                {
                    report.add(Rule::ControlNeverEnds, nr, || {
                        tr!(
                            "Step {step} has a hazard whose control holds until step “{end}”, \
                             which does not come after it.",
                            step = name_step(nr, step),
                            end = end
                        )
                    });
                }
                if seen.insert(&hazard.id) {
                    check_words(hazard, nr, &name_step(nr, step), report);
                }
            }
        }
    }
}

fn check_words(hazard: &Hazard, nr: usize, step: &str, report: &mut Report) {
    let text = localize(&hazard.text);
    let deadly = names_death(&hazard.text);
    let mut add = |rule, sentence: &dyn Fn() -> String| report.add(rule, nr, sentence);
    if hazard.signal == SignalWord::Danger && !deadly && !names(&hazard.text, SERIOUS) {
        add(Rule::DangerUndeserved, &|| {
            tr!(
                "The hazard of step {step} says DANGER but names neither death nor a serious \
                 injury: “{text}”",
                step = step,
                text = text
            )
        });
    }
    if hazard.signal == SignalWord::Caution && deadly {
        add(Rule::CautionPlaysDown, &|| {
            tr!(
                "The hazard of step {step} says CAUTION but names death: “{text}”",
                step = step,
                text = text
            )
        });
    }
    if (hazard.signal == SignalWord::Notice) == hazard.class.hurts_people() {
        add(Rule::NoticeForThings, &|| {
            tr!(
                "The signal word of the hazard of step {step} does not fit: NOTICE is for damage \
                 to things, and only that: “{text}”",
                step = step,
                text = text
            )
        });
    }
    if !deadly && !names(&hazard.text, CONSEQUENCE) && !names(&hazard.text, SERIOUS) {
        add(Rule::NoConsequence, &|| {
            tr!(
                "The hazard of step {step} does not say what happens if it is ignored: “{text}”",
                step = step,
                text = text
            )
        });
    }
    let avoids = |demand: &Demand| match demand {
        Demand::Isolate(words) | Demand::Wear(words) | Demand::Do(words) => {
            !words.trim().is_empty()
        }
        Demand::WaitMinutes(_) | Demand::People(_) => true,
    };
    let is_avoided_by_isolation = matches!(hazard.lasts, Scope::WhileIsolated(_));
    if !is_avoided_by_isolation && !hazard.demands.iter().any(avoids) {
        add(Rule::NoAvoidance, &|| {
            tr!(
                "The hazard of step {step} does not say how to avoid it: “{text}”",
                step = step,
                text = text
            )
        });
    }
}
