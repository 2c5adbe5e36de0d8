//! The profile as text, for people who cannot see the picture.

use lidoff_i18n::tr;

use lidoff_app_core::depth::Profile;
use lidoff_app_core::display::format_duration;

/// The full text equivalent of the picture.
pub fn describe_profile(
    profile: &Profile,
    leave_at_s: Option<f64>,
    turn_at_s: Option<f64>,
) -> String {
    let mut sentences = vec![
        tr!("Depth profile."),
        tr!(
            "One step in {time}." | "{n} steps in {time}." % profile.spans.len(),
            time = format_duration(profile.total_s)
        ),
        tr!("One part open at the deepest point."
            | "{n} parts open at the deepest point." % profile.deepest),
    ];
    let done = profile.spans.iter().filter(|span| span.done).count();
    if done > 0 {
        sentences.push(tr!("One step done." | "{n} steps done." % done));
        sentences.push(tr!(
            "They took {time}; the estimate was {planned}.",
            time = format_duration(profile.done_s()),
            planned = format_duration(profile.planned_done_s())
        ));
        sentences.push(tr!(
            "One part open now." | "{n} parts open now." % profile.depth_now()
        ));
    }
    let waiting: f64 = profile.spans.iter().map(|span| span.wait_s).sum();
    if waiting > 0.0 {
        sentences.push(tr!(
            "{time} of waiting ahead.",
            time = format_duration(waiting)
        ));
    }
    match leave_at_s {
        Some(at) if at > profile.total_s => {
            sentences.push(tr!(
                "{time} to spare before you must leave.",
                time = format_duration(at - profile.total_s)
            ));
        }
        Some(at) => {
            sentences.push(tr!(
                "It ends {time} after you must leave.",
                time = format_duration(profile.total_s - at)
            ));
        }
        None => {}
    }
    if let Some(at) = turn_at_s {
        let left_s = at - profile.done_s();
        sentences.push(if left_s > 0.0 {
            tr!(
                "The turn-back time is in {time}.",
                time = format_duration(left_s)
            )
        } else {
            tr!("The turn-back time has passed.")
        });
    }
    sentences.join(" ")
}
