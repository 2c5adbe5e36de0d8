//! `cargo bench --bench calibration`: over ten thousand simulated jobs, does a
//! forecast hold as often as it says? Prints the figures and draws them into
//! `tests/pictures/calibration.svg`.

mod plot;

use lidoff_testkit::forecast_trial;

fn main() {
    const JOBS: u32 = 10_000;
    const SEED: u64 = 20_261_125;
    let simulated_jobs = forecast_trial::simulated_jobs();
    let calm = forecast_trial::simulate(&simulated_jobs, JOBS, SEED, 0);
    println!("{JOBS} simulated jobs, seed {SEED}: share done by the forecast P50, P80, P95");
    report(&calm);
    println!("the same with one step in 50 ten times as long as it would have been");
    report(&forecast_trial::simulate(&simulated_jobs, JOBS, SEED, 50));
    let picture = concat!(env!("CARGO_MANIFEST_DIR"), "/pictures/calibration.svg");
    match std::fs::write(picture, plot::draw(&calm, JOBS)) {
        Ok(()) => println!("drawn: tests/pictures/calibration.svg"),
        Err(error) => eprintln!("{picture} is not written: {error}"),
    }
}

fn report(outcome: &forecast_trial::TrialOutcome) {
    for (held, share) in outcome.finish.iter().zip(forecast_trial::ASKED) {
        println!(
            "  asked at {:>3.0} % (n = {:>5}): {:.1} %, {:.1} %, {:.1} %; P80 − P50 is {:.1} % of the job",
            share * 100.0,
            held.asked,
            held.share(0.5) * 100.0,
            held.share(0.8) * 100.0,
            held.share(0.95) * 100.0,
            held.mean_width() * 100.0,
        );
    }
    for ((turned, left), share) in outcome.turned.iter().zip(forecast_trial::TURNED) {
        println!(
            "  turned back at {:>2.0} % of the way (n = {turned}): {:.1} % left on time",
            share * 100.0,
            f64::from(*left) / f64::from(*turned) * 100.0
        );
    }
}
