//! Is a forecast of 80 % right in 80 cases of 100? The whole simulation is in the
//! bench; this is a smaller one with a fixed seed.

use lidoff_testkit::forecast_trial::{ASKED, TURNED, simulate, simulated_jobs};

const JOBS: u32 = 3000;
/// Four standard errors of a share of 0.8 among so many jobs.
const BY_CHANCE: f64 = 4.0 * 0.4 / 54.77;

#[test]
fn jobs_finish_within_their_p80_in_eight_cases_of_ten() {
    let outcome = simulate(&simulated_jobs(), JOBS, 1, 0);
    for (held, share) in outcome.finish.iter().zip(ASKED) {
        assert!(
            held.asked > JOBS * 9 / 10,
            "asked at {share}: {}",
            held.asked
        );
        let done = held.share(0.8);
        let low = 0.78 - BY_CHANCE;
        let high = 0.82 + BY_CHANCE;
        assert!((low..high).contains(&done), "asked at {share}: {done}");
    }
    let widths = outcome
        .finish
        .each_ref()
        .map(lidoff_testkit::forecast_trial::Held::mean_width);
    assert!(
        widths.is_sorted_by(|one, next| one > next),
        "surer as it goes: {widths:?}"
    );
    for ((turned, left), share) in outcome.turned.into_iter().zip(TURNED) {
        let on_time = f64::from(left) / f64::from(turned);
        let (low, high) = (0.78 - BY_CHANCE, 0.85 + BY_CHANCE);
        assert!(
            (low..high).contains(&on_time),
            "turned back at {share}: {on_time}"
        );
    }
}

#[test]
fn occasional_outliers_leave_the_forecast_calibrated() {
    // One step in fifty takes ten times as long: in a job of seventy, one or two,
    // which no band of 80 % can hold. The pace must not run off with them.
    let calm = simulate(&simulated_jobs(), JOBS / 3, 2, 0);
    let wild = simulate(&simulated_jobs(), JOBS / 3, 2, 50);
    for (calm, wild) in calm.finish.iter().zip(&wild.finish) {
        let ratio = wild.mean_width() / calm.mean_width();
        assert!((0.9..1.3).contains(&ratio), "{ratio}");
    }
}
