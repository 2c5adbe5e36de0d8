//! Which of the controls that still hold are shown at a step. Pure.

use lidoff_catalog::format::{Demand, Hazard, Scope, SignalWord};
use lidoff_job::Job;

use super::speech::standing_words;

/// The controls to show: what is worn, what the current step names, and what threatens life as
/// long as something is open. The rest would only hide them. Of several with the same words the
/// one with the gravest signal word is shown.
pub fn standing_to_show(job: &Job) -> Vec<&Hazard> {
    let here = job.next();
    let is_shown = |hazard: &&Hazard| {
        let mut demands = hazard.demands.iter();
        let is_grave = hazard.signal >= SignalWord::Warning;
        demands.any(|demand| matches!(demand, Demand::Wear(_)))
            || here.is_some_and(|step| step.hazards.contains(&hazard.id))
            || is_grave && matches!(hazard.lasts, Scope::WhileOpen(_))
    };
    let standing = job.standing.iter().filter_map(|id| job.hazard(id));
    let mut shown: Vec<&Hazard> = Vec::new();
    for hazard in standing.filter(is_shown) {
        let words = standing_words(hazard);
        match shown
            .iter_mut()
            .find(|other| standing_words(other) == words)
        {
            Some(other) if other.signal < hazard.signal => *other = hazard,
            Some(_) => {}
            None => shown.push(hazard),
        }
    }
    shown
}

#[cfg(test)]
mod tests {
    use super::*;
    use lidoff_catalog::model::Catalog;
    use lidoff_job::{EventKind, TaskRef};
    use lidoff_testkit::demo::{perch, sorrel};
    use lidoff_testkit::visit::{Visit, replace};

    /// What is shown at each step of a whole job, once its hazards are confirmed.
    fn badges(catalog: &Catalog, tasks: &[TaskRef], swollen: bool) -> Vec<(String, Vec<String>)> {
        let mut visit = Visit::begin(catalog, tasks);
        let mut shown = Vec::new();
        while let Some(step) = visit.job().next().cloned() {
            if swollen
                && step
                    .asks
                    .as_ref()
                    .is_some_and(|it| it.as_str() == "battery-state")
            {
                visit.note(EventKind::Answered {
                    question: "battery-state".into(),
                    answer: "swollen".into(),
                });
                visit.plan(lidoff_job::Reason::Answered);
            }
            let Some(step) = visit.job().next().cloned() else {
                break;
            };
            for hazard in visit.job().demands().heed {
                let step = step.number;
                visit.note(EventKind::Heeded { hazard, step });
            }
            let job = visit.job();
            let words = standing_to_show(&job).into_iter().map(standing_words);
            shown.push((step.step.to_string(), words.collect()));
            visit.do_one();
        }
        shown
    }

    fn at<'a>(shown: &'a [(String, Vec<String>)], step: &str) -> Vec<&'a str> {
        let found = shown.iter().find(|(id, _)| id == step);
        let (_, words) = found.unwrap_or_else(|| panic!("no step {step} in {shown:?}"));
        words.iter().map(String::as_str).collect()
    }

    #[test]
    fn nobody_wears_a_strap_while_mains_parts_may_be_live() {
        let shown = badges(
            &perch(),
            &[replace("network-switch"), replace("psu")],
            false,
        );
        let strap = |step: &str| at(&shown, step).contains(&"Wrist strap");
        assert!(strap("network-switch-out-1") && strap("psu-out-2"));
        for step in [
            "mains-cover-out-1",
            "mains-cover-out-3",
            "psu-out-1",
            "psu-back-4",
        ] {
            assert!(!strap(step), "at {step}: {shown:?}");
            assert!(at(&shown, step).contains(&"Strap off"), "at {step}");
        }
        assert!(
            strap("psu-back-3"),
            "it is on again for the leads of the boards"
        );
        assert!(!strap("prove-1") && !strap("prove-3") && !strap("over-1"));
        let laptop = badges(&sorrel(), &[replace("memory")], false);
        assert!(at(&laptop, "memory-out-1").contains(&"Wrist strap"));
        assert!(!at(&laptop, "charger-on").contains(&"Wrist strap"));
    }

    #[test]
    fn a_swung_screen_can_tip_the_kiosk_until_it_is_shut() {
        let shown = badges(&perch(), &[replace("speaker")], false);
        assert!(at(&shown, "speaker-out-1").contains(&"Tip-over"));
        assert!(at(&shown, "speaker-back-2").contains(&"Tip-over"));
        assert!(!at(&shown, "lower-cover-back-1").contains(&"Tip-over"));
    }

    #[test]
    fn gloves_end_with_the_work_that_needs_them_and_no_words_are_shown_twice() {
        let laptop = badges(
            &sorrel(),
            &[replace("long-battery-pack"), replace("heatsink")],
            true,
        );
        let hot = "Heat gloves, goggles";
        assert!(at(&laptop, "long-battery-pack-out-5").contains(&hot));
        assert!(!at(&laptop, "long-battery-pack-back-2").contains(&hot));
        let kiosk = badges(&perch(), &[replace("cutter"), replace("display")], false);
        for (step, words) in laptop.iter().chain(&kiosk) {
            let mut once = words.clone();
            once.sort();
            once.dedup();
            assert_eq!(once.len(), words.len(), "at {step}: {words:?}");
            assert!(words.iter().all(|words| !words.contains('…')), "at {step}");
            let gloves = words.iter().filter(|words| words.contains("loves"));
            assert!(gloves.count() <= 1, "at {step}: {words:?}");
        }
        assert!(at(&kiosk, "cutter-out-2").contains(&"Cut gloves"));
        assert!(!at(&kiosk, "lower-cover-back-1").contains(&"Cut gloves"));
    }
}
