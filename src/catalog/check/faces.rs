//! Faces: everything drawn on a face lies within it.

use super::draft::Draft;
use super::entry_kind::EntryKind;
use super::fault::{FaultKind, Report};
use super::path::Path;
use crate::format::{Face, Point, Shape};
use lidoff_i18n::{plain, tr};

/// How far outside its face a point may be, mm: the rounding of drawn figures.
const SLACK_MM: f64 = 0.05;

pub(super) fn check(draft: &Draft, report: &mut Report) {
    for (nth, face) in draft.catalog.faces.iter().enumerate() {
        let at = Path::root().field("faces").nth(nth);
        let at = at.about(EntryKind::Face, face.id.as_str());
        for (field, size) in [("width_mm", face.width_mm), ("height_mm", face.height_mm)] {
            if !(size.is_finite() && size > 0.0) {
                let what = tr!(
                    "The size of a face must be above 0 mm, not {}.",
                    plain(size)
                );
                report.add(
                    FaultKind::BadNumber,
                    &at.field(field),
                    what,
                    tr!("Measure the face and give its size."),
                );
            }
        }
        opposite(face, &at.field("opposite"), report);
        outline(face, &at.field("outline"), report);
        for (nth, feature) in face.features.iter().enumerate() {
            let at = at.field("features").nth(nth).field("shape");
            shape(&feature.shape, face, &at, report);
        }
    }
}

fn opposite(face: &Face, at: &Path, report: &mut Report) {
    let Some(entry) = &face.opposite else { return };
    if entry.face == face.id || !(entry.x.is_finite() && entry.y.is_finite()) {
        report.add(
            FaultKind::BadOpposite,
            at,
            tr!("“opposite” must name another face and a position on it."),
            tr!(
                "Name the face on the other side, and give x and y where this face begins \
                 on it."
            ),
        );
    }
}

fn outline(face: &Face, at: &Path, report: &mut Report) {
    if matches!(face.outline.len(), 1 | 2) {
        report.add(
            FaultKind::BadNumber,
            at,
            tr!("An outline needs at least three corners."),
            tr!("Add corners, or leave the outline out for a plain rectangle."),
        );
    }
    for (nth, corner) in face.outline.iter().enumerate() {
        on_the_sheet(*corner, face, &at.nth(nth), report);
    }
}

fn shape(shape: &Shape, face: &Face, at: &Path, report: &mut Report) {
    let far = |x, y| Point { x, y };
    match shape {
        Shape::Rect { x, y, w, h, r } => {
            let at = at.field("rect");
            let sized = [*w, *h].iter().all(|side| side.is_finite() && *side > 0.0);
            let rounded = (0.0..=w.min(*h) / 2.0).contains(r);
            if !(sized && rounded) {
                report.add(
                    FaultKind::BadNumber,
                    &at,
                    tr!(
                        "A rectangle of {} × {} mm with a corner radius of {} mm is not \
                         possible.",
                        plain(*w),
                        plain(*h),
                        plain(*r)
                    ),
                    tr!(
                        "Give sides above 0 and a corner radius of at most half the shorter \
                         side."
                    ),
                );
                return;
            }
            on_the_sheet(far(*x, *y), face, &at, report);
            on_the_sheet(far(x + w, y + h), face, &at, report);
        }
        Shape::Circle { x, y, r } => {
            let at = at.field("circle");
            if !(r.is_finite() && *r > 0.0) {
                let what = tr!(
                    "A circle with a radius of {} mm is not possible.",
                    plain(*r)
                );
                report.add(
                    FaultKind::BadNumber,
                    &at,
                    what,
                    tr!("Give a radius above 0."),
                );
                return;
            }
            on_the_sheet(far(x - r, y - r), face, &at, report);
            on_the_sheet(far(x + r, y + r), face, &at, report);
        }
        Shape::Line(points) => {
            let at = at.field("line");
            if points.len() < 2 {
                let what = tr!("A line needs at least two points.");
                report.add(FaultKind::BadNumber, &at, what, tr!("Give both ends."));
            }
            for (nth, point) in points.iter().enumerate() {
                on_the_sheet(*point, face, &at.nth(nth), report);
            }
        }
    }
}

fn on_the_sheet(point: Point, face: &Face, at: &Path, report: &mut Report) {
    if !within(point, face) {
        outside(point, face, at, report);
    }
}

/// Reports a fastener position that is not on its face.
pub(super) fn holds_fastener(point: Point, face: &Face, at: &Path, report: &mut Report) {
    if !within(point, face) || !in_outline(point, &face.outline) {
        outside(point, face, at, report);
    }
}

fn outside(Point { x, y }: Point, face: &Face, at: &Path, report: &mut Report) {
    report.add(
        FaultKind::OffTheFace,
        at,
        tr!(
            "({x}, {y}) is outside the face “{}”.",
            face.id,
            x = plain(x),
            y = plain(y)
        ),
        tr!(
            "The face is {} × {} mm; x runs right and y runs down from its upper left \
             corner.",
            plain(face.width_mm),
            plain(face.height_mm)
        ),
    );
}

fn within(Point { x, y }: Point, face: &Face) -> bool {
    let on = |at: f64, size: f64| at >= -SLACK_MM && at <= size + SLACK_MM;
    on(x, face.width_mm) && on(y, face.height_mm)
}

/// Whether a point is inside a polygon: a ray from it crosses the outline an odd number of
/// times. On the outline itself, the result may be either.
fn in_outline(point: Point, outline: &[Point]) -> bool {
    if outline.len() < 3 {
        return true;
    }
    let before = outline.iter().cycle().skip(outline.len() - 1);
    let mut inside = false;
    for (a, b) in outline.iter().zip(before) {
        if (a.y > point.y) != (b.y > point.y) {
            let cross = a.x + (point.y - a.y) / (b.y - a.y) * (b.x - a.x);
            inside ^= point.x < cross;
        }
    }
    inside
}
