//! Plans and power: what is isolated, when, and for how long; and jobs that were begun before
//! their catalog had energy sources.

use lidoff_catalog::check::check;
use lidoff_catalog::format::{
    CatalogFile, FormatTag, Formula, HazardId, PartId, Source, SourceKind,
};
use lidoff_catalog::model::Catalog;
use lidoff_job::{
    EventKind, JobPhase, Mishap, OpRef, PlannedStep, Reason, TaskRef, closing_up, position, tally,
};
use lidoff_planner::{PartState, plan};
use lidoff_testkit::builder::{free, leg, off, plain, step, unit};
use lidoff_testkit::demo;
use lidoff_testkit::visit::{Visit, perch, replace, sorrel};

fn ids(steps: &[PlannedStep]) -> Vec<&str> {
    steps.iter().map(|step| step.step.as_str()).collect()
}

/// Where each of these steps is in the plan; each must be there, and in this order.
fn assert_in_order(steps: &[PlannedStep], wanted: &[&str]) {
    let mut from = 0;
    for id in wanted {
        let at = steps[from..]
            .iter()
            .position(|step| step.step.as_str() == *id);
        let at = at.unwrap_or_else(|| panic!("no {id} after place {from} of {:?}", ids(steps)));
        from += at + 1;
    }
}

/// The order that the trade asks for: the charger outside first, the base cover while the
/// battery may be live, the battery behind it, its charge; at the end the battery before the
/// cover, the charger on the closed unit, and every check that needs power after that.
#[test]
fn a_fan_is_replaced_between_isolating_and_energising() {
    let catalog = sorrel();
    let visit = Visit::begin(&catalog, &[replace("fan")]);
    assert_in_order(
        &visit.job().remaining,
        &[
            "safe-consent",
            "safe-shut-down",
            "safe-isolate",
            "base-out-5",
            "battery-plug-below-out-1",
            "battery-plug-below-out-2",
            "safe-dead",
            "fan-out-1",
            "fan-swap-1",
            "battery-plug-below-back-2",
            "base-back-1",
            "prove-tally",
            "charger-on",
            "prove-start",
            "fan-prove-1",
            "prove-pack",
            "over-sign",
        ],
    );
}

#[test]
fn only_what_the_work_touches_is_isolated() {
    let catalog = perch();
    let printer = Visit::begin(&catalog, &[replace("printer")]);
    let steps = printer.job().remaining;
    assert_in_order(
        &steps,
        &["safe-5", "safe-7", "printer-swap-1", "prove-3", "prove-4"],
    );
    assert_in_order(&steps, &["prove-4", "printer-prove-1"]);
    assert!(
        !ids(&steps).contains(&"safe-11"),
        "nothing near the charge is touched"
    );
    let supply = Visit::begin(&catalog, &[replace("psu")]);
    assert_in_order(
        &supply.job().remaining,
        &[
            "safe-7",
            "safe-11",
            "mains-cover-out-3",
            "psu-out-1",
            "psu-swap-1",
            "prove-3",
        ],
    );
}

/// Every check that needs the unit live comes after the last energising, in every plan with
/// one task; and no step that makes something live demands that it is isolated.
#[test]
fn checks_that_need_power_come_after_power() {
    for catalog in [perch(), sorrel()] {
        for task in lidoff_testkit::visit::replacements(&catalog) {
            let steps = Visit::begin(&catalog, std::slice::from_ref(&task))
                .job()
                .remaining;
            let last = steps
                .iter()
                .rposition(|step| step.phase == JobPhase::Energise);
            let last = last.unwrap_or_else(|| panic!("{task:?} is done on a live unit"));
            for (at, step) in steps.iter().enumerate() {
                if step.phase == JobPhase::Prove {
                    let at_step = catalog.find_step(step.step.as_str()).expect("a step");
                    let before_power = catalog.step(at_step).entry.before_power;
                    assert_eq!(at < last, before_power, "{task:?}: {}", step.step);
                }
            }
        }
    }
}

/// A lid over a fan. The plug is pulled in making safe (first format) or is a source with the
/// same steps (second format).
fn boxed(format: FormatTag) -> CatalogFile {
    let mut file = unit("boxed");
    let mut fan = plain("fan", off("lid"));
    fan.swap = Some(lidoff_catalog::format::Swap {
        steps: vec![step("fan-swap", 5.0)],
        ..Default::default()
    });
    file.parts = vec![plain("lid", free()), fan];
    file.format = format;
    let (pull, plug) = (step("pull-plug", 4.0), step("plug-in", 4.0));
    if format == FormatTag::V1 {
        file.make_safe.push(pull);
        file.prove.insert(0, plug);
    } else {
        let mut isolation = leg("mains", free());
        (isolation.out, isolation.back) = (vec![pull], vec![plug]);
        isolation.refit_needs = Formula::Closed;
        file.start = std::mem::take(&mut file.prove);
        file.sources = vec![Source {
            id: "mains".into(),
            name: "Mains".into(),
            about: None,
            kind: SourceKind::Mains,
            when: None,
            fed_by: Vec::new(),
            reach: None,
            isolated: "Mains off".into(),
            live: "Mains on".into(),
            verify_after_minutes: None,
            condemned: None,
            connections: Vec::new(),
            isolation,
            other_isolations: Vec::new(),
        }];
    }
    file
}

fn checked(file: CatalogFile) -> Catalog {
    check(file).unwrap_or_else(|faults| panic!("{faults}"))
}

/// Common practice, no source: who began a job with the old catalog must not be told that the
/// plug that he pulled is live, nor leave it out at the end.
#[test]
fn a_job_from_before_its_catalog_had_sources_goes_on() {
    let (before, after) = (checked(boxed(FormatTag::V1)), checked(boxed(FormatTag::V2)));
    let mut visit = Visit::begin(&before, &[replace("fan")]);
    visit.do_up_to("fan-swap");
    let mut visit = Visit {
        catalog: &after,
        ..visit
    };
    let mains = after.find_part("mains").expect("a source");
    let place = position(&visit.job(), &after, &visit.now).expect("a position");
    assert_eq!(place.now.of(mains), PartState::Off);
    visit.plan(Reason::Other("new catalog".into()));
    let steps = visit.job().remaining;
    assert!(!ids(&steps).contains(&"pull-plug"), "{:?}", ids(&steps));
    assert_in_order(
        &steps,
        &["fan-swap", "lid-off-back", "plug-in", "switch-on"],
    );
    // Not yet safe: the plug is pulled first.
    let mut early = Visit::begin(&before, &[replace("fan")]);
    early.do_one();
    let mut early = Visit {
        catalog: &after,
        ..early
    };
    early.plan(Reason::Other("new catalog".into()));
    assert_in_order(
        &early.job().remaining,
        &["pull-plug", "lid-off-out", "plug-in"],
    );
}

#[test]
fn a_catalog_of_the_first_format_starts_the_unit_before_its_checks() {
    let catalog = checked(boxed(FormatTag::V1));
    assert_eq!(catalog.start().len(), 2);
    assert!(catalog.prove().is_empty());
}

/// Whatever is open: closing up ends with every source live and nothing else to do.
#[test]
fn the_unit_is_closed_up_and_made_live_from_every_step() {
    for (catalog, task) in [(perch(), "psu"), (sorrel(), "fan")] {
        let mut visit = Visit::begin(&catalog, &[replace(task)]);
        while visit
            .job()
            .next()
            .is_some_and(|step| step.phase != JobPhase::Prove)
        {
            let place = closing_up(&visit.job(), &catalog, &visit.now).expect("a position");
            let request = place.request(&catalog, lidoff_planner::Limits::default());
            let plan = plan(&request).expect("a way to close");
            let steps = place.snapshot(&catalog, &plan).steps;
            let is_isolated = place.now.of(catalog.sources().next().expect("one").0);
            let energises = steps.iter().any(|step| step.phase == JobPhase::Energise);
            assert_eq!(
                is_isolated == PartState::Off || place.in_hand.is_some(),
                energises || place.in_hand.is_some(),
                "{task}: {:?}",
                ids(&steps)
            );
            visit.do_one();
        }
    }
}

#[test]
fn the_demo_units_are_written_in_the_current_format() {
    for (name, text) in demo::CATALOGS {
        assert!(text.contains("\"format\": \"lidoff-catalog/2\""), "{name}");
    }
}

/// A power supply that was drained, and whose mains is still locked off, is not charged again
/// only because the kiosk is closed.
#[test]
fn what_was_drained_is_charged_again_by_the_mains_and_not_before() {
    let catalog = perch();
    let mut visit = Visit::begin(&catalog, &[replace("psu")]);
    let line = |visit: &Visit| visit.job().power_line().collect::<Vec<_>>().join(" · ");
    assert!(line(&visit).contains("Mains on · Power supply may be charged"));
    visit.do_up_to("safe-7");
    assert!(line(&visit).contains("Power supply may be charged"));
    visit.do_up_to("psu-out-2");
    assert!(line(&visit).contains("Mains locked off · Power supply drained"));
    visit.do_up_to("strap-off");
    let job = visit.job();
    assert!(!job.isolated.contains(&"psu-charge".into()));
    assert!(line(&visit).contains("Mains locked off · Power supply drained"));
    visit.do_up_to("prove-4");
    assert!(line(&visit).contains("Mains on · Power supply may be charged"));
}

/// How often something must be acknowledged or confirmed in a whole job, and that every
/// hazard that a step names was.
fn ticks(catalog: &Catalog, tasks: &[TaskRef]) -> usize {
    let mut visit = Visit::begin(catalog, tasks);
    let mut ticks = 0;
    while let Some(step) = visit.job().next().cloned() {
        let demands = visit.job().demands();
        for hazard in demands.heed {
            ticks += 1;
            let step = step.number;
            visit.note(EventKind::Heeded { hazard, step });
        }
        if demands.confirm {
            ticks += 1;
            visit.note(EventKind::Confirmed { step: step.number });
        }
        let job = visit.job();
        let is_seen = |id: &HazardId| job.heeded.iter().any(|(seen, _)| seen == id);
        assert!(
            step.hazards.iter().all(is_seen),
            "{} hides a hazard",
            step.step
        );
        visit.do_one();
    }
    ticks
}

/// Before controls had a scope there were 44 on the kiosk and 43 on the laptop. Gloves and strap
/// are asked for again each time they went off in between.
#[test]
fn a_job_is_not_ticked_to_death() {
    let clean = TaskRef::Serve("clean-paper-path".into());
    let kiosk = ticks(&perch(), &[replace("printer"), replace("psu"), clean]);
    let laptop = ["fan", "memory", "keyboard", "long-battery-pack", "heatsink"].map(replace);
    let laptop = ticks(&sorrel(), &laptop);
    println!("{kiosk} ticks on the kiosk, {laptop} on the laptop");
    assert!(
        kiosk <= 16 && laptop <= 17,
        "{kiosk} on the kiosk, {laptop} on the laptop"
    );
}

/// What looked sound from outside may be swollen inside: each look asks again.
#[test]
fn the_battery_is_asked_about_at_each_look() {
    let catalog = sorrel();
    let mut visit = Visit::begin(&catalog, &[replace("fan")]);
    let mut asked = Vec::new();
    while let Some(step) = visit.job().next().cloned() {
        if let Some(question) = visit.job().demands().answer {
            let sound = visit.job().setup.answers.get(&question).cloned();
            if question.as_str() == "battery-state" {
                asked.push(step.step.to_string());
                let answer = sound.unwrap_or_else(|| "sound".into());
                visit.note(EventKind::Answered { question, answer });
                assert_eq!(visit.job().demands().answer, None);
            }
        }
        visit.do_one();
    }
    assert_eq!(asked, ["safe-look", "battery-plug-below-out-1"]);
}

/// The fan is to be replaced, and the battery is found swollen before it is unplugged.
fn swollen(catalog: &Catalog) -> Visit<'_> {
    let mut visit = Visit::begin(catalog, &[replace("fan")]);
    visit.do_up_to("battery-plug-below-out-2");
    visit.note(EventKind::Answered {
        question: "battery-state".into(),
        answer: "swollen".into(),
    });
    visit
}

/// A swollen pack is never plugged in again: without a new one there is no plan that closes
/// the unit, also not by closing up; with a new one there is.
#[test]
fn a_condemned_battery_is_not_made_live_again() {
    let catalog = sorrel();
    let mut visit = swollen(&catalog);
    let job = visit.job();
    let refused = [
        position(&job, &catalog, &visit.now),
        closing_up(&job, &catalog, &visit.now),
    ];
    for refused in refused {
        let error = refused.expect_err("no plan").to_string();
        assert!(
            error.starts_with("The battery pack is condemned."),
            "{error}"
        );
    }
    visit.add(&replace("long-battery-pack"));
    let steps = visit.job().remaining;
    assert_in_order(
        &steps,
        &[
            "long-battery-pack-out-4",
            "long-battery-pack-swap-1",
            "battery-plug-below-back-2",
        ],
    );
}

/// Without a new pack the unit is closed without one. It is out of use then: nothing is made
/// live, nothing is started, and the job knows what stays out.
#[test]
fn a_unit_with_a_condemned_battery_is_closed_without_it() {
    let catalog = sorrel();
    let mut visit = swollen(&catalog);
    let pack = || PartId::from("long-battery-pack");
    visit.add(&TaskRef::LeaveOut(pack()));
    let steps = visit.job().remaining;
    assert_in_order(
        &steps,
        &[
            "battery-plug-below-out-2",
            "long-battery-pack-out-4",
            "long-battery-pack-left-2",
            "base-back-1",
            "over-record",
        ],
    );
    let live = |step: &&PlannedStep| {
        step.phase == JobPhase::Energise
            || catalog
                .start()
                .iter()
                .any(|at| catalog.step(*at).entry.id == step.step)
    };
    assert_eq!(steps.iter().find(live), None);
    visit.do_all();
    let job = visit.job();
    assert_eq!(job.left_out().collect::<Vec<_>>(), [&pack()]);
    assert_eq!(
        job.left_out_names().collect::<Vec<_>>(),
        ["Battery pack, long"]
    );
    assert_eq!(tally(&job).unaccounted(), []);
    assert!(job.isolated.contains(&PartId::from("battery")));
    // What else turns up is planned without the pack, and still nothing is made live.
    visit.add(&replace("wireless-card"));
    let steps = visit.job().remaining;
    assert_eq!(steps.iter().find(live), None);
    let names = |step: &&PlannedStep| step.op.as_ref().and_then(OpRef::part) == Some(&pack());
    assert_eq!(steps.iter().find(names), None);
}

/// A screw that was lost on the way in is recalled when the battery is about to be made live.
#[test]
fn a_lost_screw_is_recalled_before_power() {
    let catalog = sorrel();
    let mut visit = Visit::begin(&catalog, &[replace("fan")]);
    visit.do_up_to("fan-out-1");
    visit.note(EventKind::FastenerLost(Mishap {
        fastening: "base-short-screws".into(),
        count: 1,
        note: String::new(),
    }));
    assert_eq!(visit.job().lost_before_power(), 0);
    while visit
        .job()
        .next()
        .is_some_and(|step| step.phase != JobPhase::Energise)
    {
        visit.do_one();
    }
    assert_eq!(visit.job().lost_before_power(), 1);
}
