//! Formatting of numbers, lengths, torques and fastener sizes.

use super::chosen::{language, measures};
use super::measures::Measures;

/// Millimetres in an inch: exact (international yard and pound agreement, 1959;
/// also ISO 80000-3 and NIST SP 811:2008, B.8; cited from memory).
const MM_PER_INCH: f64 = 25.4;
/// Inch pounds-force in a newton metre, from exact definitions: the pound is
/// 0.453 592 37 kg and the inch 0.0254 m (international yard and pound, 1959),
/// standard gravity 9.806 65 m/s² (3rd CGPM, 1901; cited from memory).
const IN_LBF: f64 = 1.0 / (0.453_592_37 * 9.806_65 * 0.025_4);

/// A number with so many decimals, "1.25" or "1,25".
pub fn number(value: f64, decimals: usize) -> String {
    localized(format!("{value:.decimals$}"))
}

/// A number with the decimals that it has, "1.5" or "1,5".
pub fn plain(value: f64) -> String {
    localized(value.to_string())
}

fn localized(digits: String) -> String {
    match language().decimal() {
        '.' => digits,
        decimal => digits.replacen('.', &decimal.to_string(), 1),
    }
}

/// A length, "8 mm"; where inches come first, "0.31 in (8 mm)".
pub fn length(mm: f64) -> String {
    length_in(measures(), mm)
}

fn length_in(measures: Measures, mm: f64) -> String {
    match measures {
        Measures::Metric => format!("{} mm", plain(mm)),
        Measures::Inch => format!("{} ({} mm)", inches(mm), plain(mm)),
    }
}

/// A metric thread with its length, "M3 × 8"; where inches come first, "M3 × 8
/// (0.31 in)". The designation is a name, printed on bags and in lists of spares: it
/// stays as it is.
pub fn threaded(thread: &str, mm: f64) -> String {
    threaded_in(measures(), thread, mm)
}

fn threaded_in(measures: Measures, thread: &str, mm: f64) -> String {
    let name = format!("{thread} × {}", plain(mm));
    match measures {
        Measures::Metric => name,
        Measures::Inch => format!("{name} ({})", inches(mm)),
    }
}

/// Two decimals of an inch are a quarter of a millimetre: lengths of screws differ by
/// more.
fn inches(mm: f64) -> String {
    format!("{} in", number(mm / MM_PER_INCH, 2))
}

/// The size of a fastener as read behind its name: thread and length where both are
/// known ("M3 × 8"), else whichever is. `None` where neither is known.
pub fn fastener_size(thread: Option<&str>, length_mm: Option<f64>) -> Option<String> {
    fastener_size_in(measures(), thread, length_mm)
}

fn fastener_size_in(
    measures: Measures,
    thread: Option<&str>,
    length_mm: Option<f64>,
) -> Option<String> {
    match (thread, length_mm) {
        (Some(thread), Some(mm)) => Some(threaded_in(measures, thread, mm)),
        (Some(thread), None) => Some(thread.to_owned()),
        (None, Some(mm)) => Some(length_in(measures, mm)),
        (None, None) => None,
    }
}

/// A torque with its tolerance in both units, the chosen one first: "0.60 ± 0.05
/// N·m (5.3 ± 0.4 in·lbf)".
pub fn torque(nm: f64, tolerance_nm: f64) -> String {
    let metric = format!("{} ± {} N·m", number(nm, 2), number(tolerance_nm, 2));
    let inch = format!(
        "{} ± {} in·lbf",
        number(nm * IN_LBF, 1),
        number(tolerance_nm * IN_LBF, 1)
    );
    match measures() {
        Measures::Metric => format!("{metric} ({inch})"),
        Measures::Inch => format!("{inch} ({metric})"),
    }
}

/// The setting of a torque tool in both units, the chosen one first: "0.60 N·m (5.3 in·lbf)".
pub fn torque_setting(nm: f64) -> String {
    let metric = format!("{} N·m", number(nm, 2));
    let inch = format!("{} in·lbf", number(nm * IN_LBF, 1));
    match measures() {
        Measures::Metric => format!("{metric} ({inch})"),
        Measures::Inch => format!("{inch} ({metric})"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// NIST SP 811:2008, B.8: 1 lbf·in = 0.112 984 8 N·m, all digits
    /// given.
    #[test]
    fn an_inch_pound_force_is_as_many_newton_metres_as_the_table_says() {
        assert!((1.0 / IN_LBF - 0.112_984_8).abs() < 0.5e-7);
    }

    /// From 25.4 mm to the inch, worked out by hand: 6 / 25.4 = 0.2362, 8 / 25.4 =
    /// 0.3150, 12.7 / 25.4 = 0.5.
    #[test]
    fn a_length_is_shown_in_millimetres_or_in_inches_first() {
        assert_eq!(length_in(Measures::Metric, 6.0), "6 mm");
        assert_eq!(length_in(Measures::Inch, 6.0), "0.24 in (6 mm)");
        assert_eq!(length_in(Measures::Inch, 12.7), "0.50 in (12.7 mm)");
        assert_eq!(length_in(Measures::Inch, 25.4), "1.00 in (25.4 mm)");
    }

    #[test]
    fn a_thread_keeps_its_name_in_any_units() {
        assert_eq!(threaded_in(Measures::Metric, "M2.5", 8.0), "M2.5 × 8");
        assert_eq!(
            threaded_in(Measures::Inch, "M2.5", 8.0),
            "M2.5 × 8 (0.31 in)"
        );
    }

    #[test]
    fn a_fastener_size_has_thread_and_length_as_far_as_they_are_known() {
        let inch = |thread, mm| fastener_size_in(Measures::Inch, thread, mm);
        assert_eq!(
            inch(Some("M3"), Some(8.0)).as_deref(),
            Some("M3 × 8 (0.31 in)")
        );
        assert_eq!(inch(Some("M3"), None).as_deref(), Some("M3"));
        assert_eq!(inch(None, Some(6.0)).as_deref(), Some("0.24 in (6 mm)"));
        assert_eq!(inch(None, None), None);
        let metric = fastener_size_in(Measures::Metric, Some("M3"), Some(8.0));
        assert_eq!(metric.as_deref(), Some("M3 × 8"));
    }
}
