//! Time, memory and gap over the number of parts.

use std::path::Path;

use plotters::prelude::*;

use crate::case::ScaleResult;
use crate::table::{SIZES, TASKS};

/// The ends of the lines tell them apart without colour, too.
const COLOURS: [RGBColor; 3] = [
    RGBColor(0x1B, 0x5E, 0x8C),
    RGBColor(0xB3, 0x5C, 0x00),
    RGBColor(0x4A, 0x4A, 0x4A),
];

pub fn draw(results: &[ScaleResult], into: &Path) {
    let root = SVGBackend::new(into, (960, 320)).into_drawing_area();
    let panels = [
        ("time of a plan, ms", Of::Ms),
        ("most memory, MiB", Of::Mib),
        ("gap to the proven bound, %", Of::Gap),
    ];
    root.fill(&WHITE).expect("a file can be written");
    for (area, (title, of)) in root.split_evenly((1, 3)).iter().zip(panels) {
        panel(area, title, results, of).unwrap_or_else(|error| panic!("{title}: {error}"));
    }
    root.present().expect("a file can be written");
    println!("picture in {}", into.display());
}

#[derive(Clone, Copy, PartialEq)]
enum Of {
    Ms,
    Mib,
    Gap,
}

impl Of {
    fn value(self, result: &ScaleResult) -> Option<f64> {
        match self {
            Self::Ms => Some(result.ms),
            Self::Mib => Some(result.mib),
            Self::Gap => result.gap,
        }
    }
}

/// Sizes stand at equal distances.
fn place(parts: usize) -> Option<f64> {
    let at = SIZES.iter().position(|size| *size == parts)?;
    Some(at as f64)
}

fn size_at(at: f64) -> String {
    let is_one = (at - at.round()).abs() < 0.01 && at > -0.5;
    let size = SIZES.get(at.round() as usize).filter(|_| is_one);
    size.map(usize::to_string).unwrap_or_default()
}

type Failed = Box<dyn std::error::Error>;
type Area<'a> = DrawingArea<SVGBackend<'a>, plotters::coord::Shift>;

/// The two kinds of chart have different types, so these are macros.
macro_rules! mesh {
    ($chart:ident) => {
        $chart
            .configure_mesh()
            .light_line_style(TRANSPARENT)
            .bold_line_style(BLACK.mix(0.12))
            .x_desc("parts")
            .x_labels(SIZES.len())
            .x_label_formatter(&|at| size_at(*at))
            .y_label_formatter(&|value| format!("{value}"))
            .label_style(("sans-serif", 12))
            .draw()?;
    };
}

macro_rules! lines {
    ($chart:ident, $results:ident, $of:ident) => {
        for ((tasks, colour), mark) in TASKS.into_iter().zip(COLOURS).zip(2..) {
            let points: Vec<(f64, f64)> = $results
                .iter()
                .filter(|one| one.tasks == tasks)
                .filter_map(|one| Some((place(one.parts)?, $of.value(one)?)))
                .collect();
            $chart
                .draw_series(LineSeries::new(points.clone(), colour.stroke_width(2)))?
                .label(if tasks == 1 {
                    "1 task".to_owned()
                } else {
                    format!("{tasks} tasks")
                })
                .legend(move |(x, y)| {
                    Rectangle::new([(x, y - mark), (x + 12, y + mark)], colour.filled())
                });
            $chart.draw_series(
                points
                    .into_iter()
                    .map(|at| Circle::new(at, mark + 1, colour.filled())),
            )?;
        }
        $chart
            .configure_series_labels()
            .position(SeriesLabelPosition::UpperLeft)
            .background_style(WHITE.mix(0.8))
            .border_style(BLACK.mix(0.2))
            .label_font(("sans-serif", 12))
            .draw()?;
    };
}

fn panel(area: &Area<'_>, title: &str, results: &[ScaleResult], of: Of) -> Result<(), Failed> {
    let values = || results.iter().filter_map(|one| of.value(one));
    let most = values().fold(1.0, f64::max);
    let least = values().fold(f64::MAX, f64::min).max(0.01) / 1.3;
    // Space for the legend.
    let most = match of {
        Of::Gap => most * 1.6,
        Of::Ms | Of::Mib => most * (most / least).powf(0.5),
    };
    let parts = -0.3..SIZES.len() as f64 - 0.7;
    let mut builder = ChartBuilder::on(area);
    builder
        .caption(title, ("sans-serif", 15))
        .margin(8)
        .x_label_area_size(34)
        .y_label_area_size(48);
    // The gap is 0 where a plan is proven, which a log scale cannot show.
    if of == Of::Gap {
        let mut chart = builder.build_cartesian_2d(parts, 0.0..most)?;
        mesh!(chart);
        lines!(chart, results, of);
    } else {
        let mut chart = builder.build_cartesian_2d(parts, (least..most).log_scale())?;
        mesh!(chart);
        lines!(chart, results, of);
    }
    Ok(())
}
