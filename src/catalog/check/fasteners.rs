//! Kinds of fastener: the property class is one of a standard, and the fields fit the kind.

use super::draft::Draft;
use super::entry_kind::EntryKind;
use super::fault::{FaultKind, Report};
use super::path::Path;
use crate::format::FastenerKind;
use lidoff_i18n::tr;

pub(super) fn check(draft: &Draft, report: &mut Report) {
    for (nth, fastener) in draft.catalog.fasteners.iter().enumerate() {
        let at = Path::root().field("fasteners").nth(nth);
        let at = at.about(EntryKind::Fastener, fastener.id.as_str());
        if let Some(class) = &fastener.property_class
            && !is_property_class(class, fastener.kind)
        {
            report.add(
                FaultKind::BadPropertyClass,
                &at.field("property_class"),
                tr!(
                    "“{class}” is not a property class for this kind of fastener.",
                    class
                ),
                tr!(
                    "Write it as marked on the fastener: screw “8.8”, nut “8”, set screw “45H”, \
                     stainless steel “A2-70”."
                ),
            );
        }
        let is_screw = matches!(fastener.kind, FastenerKind::Screw);
        let has_point = is_screw || matches!(fastener.kind, FastenerKind::SetScrew);
        for (field, is_impossible) in [
            ("thread_forming", fastener.thread_forming && !is_screw),
            ("head", fastener.head.is_some() && !is_screw),
            ("point", fastener.point.is_some() && !has_point),
        ] {
            if is_impossible {
                report.add(
                    FaultKind::ImpossibleFastener,
                    &at.field(field),
                    tr!("This kind of fastener cannot have “{field}”.", field),
                    tr!("Remove the field, or correct the kind."),
                );
            }
        }
    }
}

/// Whether a class has the form of its standard. Screws: ISO 898-1, tensile strength and
/// ratio; nuts: ISO 898-2; set screws: ISO 898-5, hardness; stainless steel: ISO 3506.
fn is_property_class(class: &str, kind: FastenerKind) -> bool {
    let is_number = |text: &str, digits: std::ops::RangeInclusive<usize>| {
        digits.contains(&text.len()) && text.bytes().all(|byte| byte.is_ascii_digit())
    };
    if let Some((group, strength)) = class.split_once('-') {
        let group = group.strip_prefix(['A', 'C', 'D', 'F']);
        return is_threaded(kind)
            && group.is_some_and(|group| is_number(group, 1..=1))
            && is_number(strength, 2..=3);
    }
    match kind {
        FastenerKind::Screw => class
            .split_once('.')
            .is_some_and(|(strength, ratio)| is_number(strength, 1..=2) && is_number(ratio, 1..=1)),
        FastenerKind::Nut => is_number(class, 1..=2),
        FastenerKind::SetScrew => class
            .strip_suffix('H')
            .is_some_and(|hardness| is_number(hardness, 2..=2)),
        _ => false,
    }
}

const fn is_threaded(kind: FastenerKind) -> bool {
    matches!(
        kind,
        FastenerKind::Screw | FastenerKind::SetScrew | FastenerKind::Nut | FastenerKind::Pillar
    )
}
