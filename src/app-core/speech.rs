//! The text of a step for reading aloud: hazards first, then what to do. Pure.

use super::display::{capitalize, signal_word};
use lidoff_catalog::format::{Demand, Hazard, HazardClass};
use lidoff_i18n::{localize, localize_static, strip_soft_hyphens, tr, tr_noop};
use lidoff_job::planned::Fasteners;
use lidoff_job::{Job, PlannedStep, tally};

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
    words.extend(step.describe_settings());
    if step.people > 1 {
        words.push(demand_words(&Demand::People(step.people)));
    }
    words.extend(step.undo.iter().map(|set| fastener_words(set, true)));
    let tally = tally(job);
    for set in &step.redo {
        words.push(fastener_words(set, false));
        let missing = tally.set(&set.fastening);
        words.extend(missing.and_then(|found| found.describe_refit(set.count)));
    }
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

/// The control of a hazard while it holds, in a few words: "Wrist strap". Without a short name
/// in the catalog it is what is worn, unless that is long, else the kind of hazard.
pub fn standing_words(hazard: &Hazard) -> String {
    if let Some(short) = &hazard.short {
        return localize(short).into_owned();
    }
    let worn = hazard.demands.iter().find_map(|demand| match demand {
        Demand::Wear(what) => first_clause(&localize(what)),
        _ => None,
    });
    let class = || localize_static(class_name(hazard.class)).to_owned();
    capitalize(&worn.unwrap_or_else(class))
}

/// The first clause, if a badge has room for it.
fn first_clause(words: &str) -> Option<String> {
    let clause = words.split([',', ';', ':', '.', '(']).next()?.trim();
    (clause.chars().count() <= Hazard::SHORT_NAME_LENGTH).then(|| clause.to_owned())
}

const fn class_name(class: HazardClass) -> &'static str {
    match class {
        HazardClass::Electricity => tr_noop!("electricity"),
        HazardClass::StoredCharge => tr_noop!("stored charge"),
        HazardClass::Cell => tr_noop!("battery"),
        HazardClass::Glass => tr_noop!("glass"),
        HazardClass::Sharp => tr_noop!("sharp edges"),
        HazardClass::Moving => tr_noop!("moving parts"),
        HazardClass::Heat => tr_noop!("heat"),
        HazardClass::Weight => tr_noop!("weight"),
        HazardClass::Height => tr_noop!("height"),
        HazardClass::Light => tr_noop!("light"),
        HazardClass::Substance => tr_noop!("substance"),
        HazardClass::Static => tr_noop!("static charge"),
        HazardClass::Property => tr_noop!("damage"),
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

#[cfg(test)]
mod tests {
    use super::*;
    use lidoff_catalog::format::{Scope, SignalWord};

    fn hazard(demands: Vec<Demand>) -> Hazard {
        Hazard {
            id: "one".into(),
            class: HazardClass::Static,
            signal: SignalWord::Notice,
            text: "Charge kills chips.".to_owned(),
            demands,
            kit: Vec::new(),
            lasts: Scope::Job,
            ended_by: Vec::new(),
            replaces: Vec::new(),
            short: None,
            when: None,
        }
    }

    #[test]
    fn a_standing_control_is_named_in_a_few_words() {
        let wear = Demand::Wear("wrist strap, clipped to the mat".to_owned());
        let check = Demand::Do("Check the strap with the tester on the bench first".to_owned());
        let both = hazard(vec![check.clone(), wear]);
        assert_eq!(standing_words(&both), "Wrist strap");
        assert_eq!(standing_words(&hazard(vec![check])), "Static charge");
        assert_eq!(standing_words(&hazard(Vec::new())), "Static charge");
    }

    #[test]
    fn a_standing_control_is_never_cut_in_the_middle_of_a_sentence() {
        let long = Demand::Wear("heat-resistant gloves and goggles".to_owned());
        let mut worn = hazard(vec![long]);
        assert_eq!(standing_words(&worn), "Static charge");
        worn.short = Some("Gloves and goggles".to_owned());
        assert_eq!(standing_words(&worn), "Gloves and goggles");
    }
}
