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
