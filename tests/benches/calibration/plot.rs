//! The calibration as a picture: what was promised to the right, what was kept
//! upward. A forecast that keeps its word lies on the diagonal.

use std::fmt::Write as _;

use lidoff_testkit::forecast_trial::{ASKED, LEVELS, TURNED, TrialOutcome};

const SIDE: f64 = 300.0;
const LEFT: f64 = 64.0;
const TOP: f64 = 40.0;
/// Colour, dash and name of each question.
const SERIES: [(&str, &str, &str); 4] = [
    ("#0d4f4b", "", "at the start"),
    ("#8a4b00", "7 3", "at a quarter"),
    ("#a3140c", "2 3", "at half"),
    ("#0b57d0", "9 3 2 3", "at three quarters"),
];

/// The picture as SVG.
pub fn draw(outcome: &TrialOutcome, jobs: u32) -> String {
    let x = |share: f64| LEFT + SIDE * share;
    let y = |share: f64| TOP + SIDE * (1.0 - share);
    let mut svg = String::from(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 720 400\" width=\"720\" height=\"400\" \
         font-family=\"sans-serif\" font-size=\"14\" role=\"img\" aria-label=\"Calibration of the forecast\">\n\
         <rect width=\"720\" height=\"400\" fill=\"#fffdf6\"/>\n",
    );
    let mut put = |line: String| writeln!(svg, "{line}").expect("a string takes all");
    put(format!(
        "<text x=\"{LEFT}\" y=\"24\" font-size=\"16\" font-weight=\"bold\">Does the forecast keep its word? {jobs} simulated jobs</text>"
    ));
    put(format!(
        "<rect x=\"{LEFT}\" y=\"{TOP}\" width=\"{SIDE}\" height=\"{SIDE}\" fill=\"none\" stroke=\"#14201f\"/>"
    ));
    put(format!(
        "<path d=\"M{} {}L{} {}\" stroke=\"#c9c4b4\" stroke-width=\"6\"/>",
        x(0.0),
        y(0.0),
        x(1.0),
        y(1.0)
    ));
    for tick in [0.0, 0.2, 0.4, 0.6, 0.8, 1.0] {
        put(format!(
            "<text x=\"{}\" y=\"{}\" text-anchor=\"middle\">{:.0}</text>",
            x(tick),
            TOP + SIDE + 18.0,
            tick * 100.0
        ));
        put(format!(
            "<text x=\"{}\" y=\"{}\" text-anchor=\"end\">{:.0}</text>",
            LEFT - 8.0,
            y(tick) + 5.0,
            tick * 100.0
        ));
    }
    put(format!(
        "<text x=\"{}\" y=\"{}\" text-anchor=\"middle\">forecast, % of jobs</text>",
        x(0.5),
        TOP + SIDE + 40.0
    ));
    put(format!(
        "<text transform=\"translate(18 {})rotate(-90)\" text-anchor=\"middle\">done by then, %</text>",
        y(0.5)
    ));
    for (at, (colour, dash, name)) in SERIES.into_iter().enumerate() {
        let held = &outcome.finish[at];
        let points: Vec<String> = LEVELS
            .iter()
            .map(|level| format!("{:.1},{:.1}", x(*level), y(held.share(*level))))
            .collect();
        put(format!(
            "<polyline points=\"{}\" fill=\"none\" stroke=\"{colour}\" stroke-width=\"2\" stroke-dasharray=\"{dash}\"/>",
            points.join(" ")
        ));
        let row = TOP + 34.0 + 22.0 * at as f64;
        put(format!(
            "<path d=\"M392 {row}h30\" stroke=\"{colour}\" stroke-width=\"2\" stroke-dasharray=\"{dash}\"/>"
        ));
        put(format!(
            "<text x=\"430\" y=\"{}\">{name}: P80 kept in {:.1} %</text>",
            row + 5.0,
            held.share(0.8) * 100.0
        ));
    }
    put(format!(
        "<text x=\"392\" y=\"{}\" font-weight=\"bold\">Asked for the finish</text>",
        TOP + 14.0
    ));
    let head = TOP + 150.0;
    put(format!(
        "<text x=\"392\" y=\"{head}\" font-weight=\"bold\">Turned back at 80 %</text>"
    ));
    for (at, (turned, left)) in outcome.turned.iter().enumerate() {
        put(format!(
            "<text x=\"392\" y=\"{}\">{:.0} % of the way: {:.1} % left on time</text>",
            head + 22.0 * (at + 1) as f64,
            TURNED[at] * 100.0,
            f64::from(*left) / f64::from(*turned) * 100.0
        ));
    }
    assert_eq!(SERIES.len(), ASKED.len());
    svg.push_str("</svg>\n");
    svg
}
