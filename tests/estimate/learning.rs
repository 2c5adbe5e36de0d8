//! Learning from finished jobs, through their logs: what is suggested, what it does
//! to a catalog, and that it can be taken off again.

use lidoff_catalog::format::Element;
use lidoff_catalog::model::Catalog;
use lidoff_estimate::estimate::prices;
use lidoff_estimate::{Basis, Estimate, LearnedTimes};
use lidoff_job::{EventKind, Job, JobId, Log};
use lidoff_report::desk::{gather, learn};

use lidoff_testkit::visit::{Visit, recorder, replace};

/// A job in which every step takes what was planned, but for some.
fn job(catalog: &Catalog, nth: u32, times: &dyn Fn(&str) -> f64) -> Log {
    let mut visit = Visit::begin_as(catalog, nth, &[replace("board")]);
    for step in visit.job().remaining {
        let seconds = step.expected_s() * times(step.step.as_str());
        // The mean is what is estimated: most times lie a little below it.
        let typical = seconds / (1.0 + step.cv * step.cv).sqrt();
        visit.pass_ms((typical * 1000.0).round() as i64);
        visit.note(EventKind::Done { step: step.number });
    }
    visit.log
}

fn jobs(catalog: &Catalog, many: u32, times: &dyn Fn(&str) -> f64) -> Vec<(JobId, Job)> {
    gather((0..many).map(|nth| job(catalog, nth, times))).0
}

fn one_slow(step: &str) -> f64 {
    if step == "w8" { 1.6 } else { 1.0 }
}

#[test]
fn a_slow_step_is_corrected_more_strongly_with_more_jobs() {
    let catalog = recorder();
    let seen = |many| {
        let times = learn(&jobs(&catalog, many, &one_slow), "today".into());
        let step = times.steps.iter().find(|one| one.step.as_str() == "w8");
        step.map(|one| (one.handbook_s, one.actual_s, one.n))
    };
    assert_eq!(seen(2), None, "twice is not enough");
    let (handbook_s, few_s, n) = seen(4).expect("four times is");
    assert_eq!((handbook_s, n), (18.8, 4));
    let (_, many_s, n) = seen(30).expect("so is thirty times");
    assert_eq!(n, 30);
    assert!(
        18.8 < few_s && few_s < many_s && many_s < 18.8 * 1.7,
        "{few_s} {many_s}"
    );
    let right = learn(&jobs(&catalog, 30, &one_slow), "today".into());
    let other = right.steps.iter().find(|one| one.step.as_str() == "w1");
    let other = other.expect("it was seen as often");
    assert!(
        (other.actual_s / other.handbook_s - 1.0).abs() < 0.06,
        "{other:?}"
    );
}

#[test]
fn an_element_that_is_slow_everywhere_is_corrected() {
    let catalog = recorder();
    let has_screws_in = |step: &str| {
        if ["b3", "b5"].contains(&step) {
            1.5
        } else {
            1.0
        }
    };
    let times = learn(&jobs(&catalog, 20, &has_screws_in), "today".into());
    let of = |element| {
        let found = times.elements.iter().find(|one| one.element == element);
        *found.expect("it was seen")
    };
    assert!(of(Element::ScrewIn).actual_s > 1.25 * of(Element::ScrewIn).handbook_s);
    let same = of(Element::TakeAway);
    assert!(
        (same.actual_s / same.handbook_s - 1.0).abs() < 0.1,
        "{same:?}"
    );
    assert_eq!(of(Element::ScrewIn).n, 40, "two steps in twenty jobs");
}

#[test]
fn learned_times_are_applied_shown_and_taken_off_again() {
    let plain = recorder();
    let times = learn(&jobs(&plain, 20, &one_slow), "today".into());
    let text = times.to_json();
    let times = LearnedTimes::from_json(&text).expect("what was written can be read");
    let mut catalog = recorder();
    let corrected = times.apply_to(&mut catalog);
    assert!(corrected >= 18, "{corrected} steps: {text}");
    let at = catalog.find_step("w8").expect("the step");
    let estimate = Estimate::for_step(catalog.step(at));
    assert_eq!(estimate.basis, Basis::Learned);
    assert!(estimate.seconds > 25.0, "{}", estimate.seconds);
    assert!(prices(&catalog).of(at) > prices(&plain).of(at));

    let planned = Visit::begin(&catalog, &[replace("board")]).job();
    let step = planned
        .remaining
        .iter()
        .find(|step| step.step.as_str() == "w8");
    let step = step.expect("it is planned");
    assert_eq!(
        (step.catalog_s, step.seen),
        (18.8, 20),
        "and says what it stands in place of"
    );
    assert!((step.work_s - estimate.seconds).abs() < 0.06);

    // What is learned from a job that was planned so is learned against the
    // catalog all the same.
    let again = learn(&jobs(&catalog, 20, &|_| 1.0), "later".into());
    let same = again.steps.iter().find(|one| one.step.as_str() == "w8");
    let same = same.expect("it was seen");
    assert_eq!(same.handbook_s, 18.8);
    // Against what was laid over, there would be nothing to correct.
    assert!(same.actual_s > 20.0, "{same:?}");

    LearnedTimes::default().apply_to(&mut catalog);
    assert_eq!(catalog, plain, "nothing of it stays");
}

#[test]
fn a_step_that_was_never_seen_is_corrected_by_its_elements() {
    let catalog = recorder();
    let slow_plug = |step: &str| if step == "w7" { 2.0 } else { 1.0 };
    let mut times = learn(&jobs(&catalog, 20, &slow_plug), "today".into());
    times.steps.clear();
    let mut over = recorder();
    times.apply_to(&mut over);
    let estimate = |id| Estimate::for_step(over.step(over.find_step(id).expect("the step")));
    assert!(estimate("w7").seconds > 1.3 * 6.4);
    assert_eq!(estimate("w7").basis, Basis::Learned);
}

#[test]
fn a_measured_step_keeps_its_time_unless_it_was_learned_itself() {
    let mut catalog = lidoff_testkit::visit::perch();
    let measured: Vec<_> = catalog
        .steps()
        .filter(|(_, step)| step.entry.measured.is_some())
        .map(|(at, _)| at)
        .collect();
    assert!(!measured.is_empty());
    let element = lidoff_estimate::learned_times::LearnedElement {
        element: Element::ScrewOut,
        handbook_s: 8.0,
        actual_s: 12.0,
        n: 40,
    };
    let times = LearnedTimes {
        made: "today".into(),
        jobs: 9,
        steps: Vec::new(),
        elements: vec![element],
    };
    assert!(times.apply_to(&mut catalog) > 10);
    for at in measured {
        assert_eq!(Estimate::for_step(catalog.step(at)).basis, Basis::Measured);
    }
}
