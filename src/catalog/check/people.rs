//! People: a step takes at least one, and as many as its hazards demand.

use super::draft::Draft;
use super::fault::{FaultKind, Report};
use lidoff_i18n::tr;

pub(super) fn check(draft: &Draft, report: &mut Report) {
    let catalog = &draft.catalog;
    for (step, place) in catalog.steps.iter().zip(&draft.steps) {
        let Some(people) = step.entry.people else {
            continue;
        };
        let at = place.path.field("people");
        if people == 0 {
            report.add(
                FaultKind::BadNumber,
                &at,
                tr!("A step takes at least one person."),
                tr!("Give the number, or leave the field out."),
            );
        }
        let hazards = catalog.hazards.iter();
        let of_step = hazards.filter(|hazard| step.entry.hazards.contains(&hazard.entry.id));
        for hazard in of_step {
            let demanded = hazard.entry.people();
            if people > 0 && demanded > people {
                report.add(
                    FaultKind::TooFewPeople,
                    &at,
                    tr!(
                        "The hazard “{hazard}” demands {demanded} people, but the step takes \
                         {people}.",
                        hazard = hazard.entry.id,
                        demanded,
                        people
                    ),
                    tr!("Give the larger number, or leave the field out."),
                );
            }
        }
    }
}
