//! The text of a step for reading aloud: hazards first, then what to do. Pure.

use super::display::signal_word;
use lidoff_catalog::format::{Demand, Hazard};
use lidoff_i18n::localize;
use lidoff_i18n::{strip_soft_hyphens, tr};
use lidoff_job::planned::Fasteners;
use lidoff_job::{Job, PlannedStep};

/// The text of the current step for reading aloud; acknowledged hazards are not repeated.
pub fn spoken_text(job: &Job, step: &PlannedStep) -> String {
    let open = job.demands().heed;
    let hazards = open.iter().filter_map(|id| job.hazard(id));
    let mut words: Vec<String> = hazards.map(hazard_words).collect();
    if let Some(face) = step.face.as_ref().filter(|_| step.turn) {
        words.push(tr!("Turn: {face}", face = localize(face)));
    }
    words.extend(
        step.about
            .as_deref()
            .map(|about| localize(about).into_owned()),
    );
    words.push(localize(&step.action).into_owned());
    words.extend(step.how.as_deref().map(|how| localize(how).into_owned()));
    if let Some(tool) = &step.tool {
        words.push(tr!("Tool: {tool}", tool = localize(tool)));
    }
    words.extend(step.undo.iter().map(|set| fastener_words(set, true)));
    words.extend(step.redo.iter().map(|set| fastener_words(set, false)));
    for cable in step.unplug.iter().chain(&step.plug) {
        words.push(tr!(
            "{cable} at {port}",
            cable = localize(&cable.cable),
            port = localize(&cable.port)
        ));
    }
    let ended = words.iter().map(|one| {
        let one = one.trim();
        // The voice pauses at the end of a sentence.
        if one.ends_with(['.', '!', '?']) {
            one.to_owned()
        } else {
            format!("{one}.")
        }
    });
    strip_soft_hyphens(&ended.collect::<Vec<_>>().join(" ")).into_owned()
}

fn hazard_words(hazard: &Hazard) -> String {
    let demands = hazard.demands.iter().map(demand_words);
    let demands: Vec<String> = demands.collect();
    // Voices spell out words in capitals.
    let word = signal_word(hazard.signal).to_lowercase();
    format!("{word}. {} {}", localize(&hazard.text), demands.join(". "))
}

/// The demand of a hazard as text.
pub fn demand_words(demand: &Demand) -> String {
    match demand {
        Demand::Isolate(how) => tr!("Isolate: {how}", how = localize(how)),
        Demand::WaitMinutes(minutes) => tr!("Wait {minutes} min", minutes = minutes),
        Demand::People(people) => tr!("One person" | "{n} people" % *people),
        Demand::Wear(what) => tr!("Wear: {what}", what = localize(what)),
        Demand::Do(what) => localize(what).into_owned(),
    }
}

/// A set of fasteners that come out, or go back in.
fn fastener_words(set: &Fasteners, out: bool) -> String {
    let (count, fastener) = (set.count, set.describe_kind());
    match set.well {
        Some(well) if out => {
            tr!(
                "{count} times {fastener}, into well {well}",
                count,
                fastener,
                well
            )
        }
        Some(well) => {
            tr!(
                "{count} times {fastener}, from well {well}",
                count,
                fastener,
                well
            )
        }
        None => tr!("{count} times {fastener}", count, fastener),
    }
}
