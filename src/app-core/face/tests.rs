use super::*;
use lidoff_catalog::check::read;
use lidoff_catalog::format::{Face, Flip, Opposite, Shape};
use lidoff_catalog::setup::{Configuration, Setup};

fn demo() -> impl Iterator<Item = Catalog> {
    lidoff_testkit::demo::CATALOGS
        .into_iter()
        .map(|(name, json)| read(name, json).expect("a good catalog"))
}

fn step_drawing(catalog: &Catalog, id: &str, about: &str) -> Drawing {
    let step = catalog.step(catalog.find_step(id).expect("a step"));
    drawing(catalog, step, Some(&about.into()), None).expect("a drawing")
}

fn face(id: &str, opposite: Option<Opposite>) -> Face {
    Face {
        needs: lidoff_catalog::format::FormulaEntry::nothing(),
        id: id.into(),
        name: id.to_owned(),
        turn: id.to_owned(),
        motion: None,
        opposite,
        width_mm: 100.0,
        height_mm: 40.0,
        outline: Vec::new(),
        features: Vec::new(),
    }
}

fn lies_on(face: &str, flip: Flip, x: f64, y: f64) -> Option<Opposite> {
    Some(Opposite {
        face: face.into(),
        flip,
        x,
        y,
    })
}

const fn at(x: f64, y: f64) -> Point {
    Point { x, y }
}

#[test]
fn flipped_like_a_page_left_is_right_and_the_top_stays() {
    let front = face("front", None);
    let back = face("back", lies_on("front", Flip::LeftRight, 0.0, 0.0));
    let over = across(&front, &back).expect("opposite");
    assert_eq!(over.point(at(10.0, 5.0)), at(90.0, 5.0));
    // A line that runs down to the right runs down to the left.
    let line = Shape::Line(vec![at(0.0, 0.0), at(30.0, 10.0)]);
    assert_eq!(
        over.shape(&line),
        Shape::Line(vec![at(100.0, 0.0), at(70.0, 10.0)])
    );
}

#[test]
fn flipped_like_a_wall_calendar_the_top_is_at_the_bottom_and_left_stays() {
    let front = face("front", None);
    let back = face("back", lies_on("front", Flip::TopBottom, 0.0, 0.0));
    let over = across(&front, &back).expect("opposite");
    assert_eq!(over.point(at(10.0, 5.0)), at(10.0, 35.0));
}

#[test]
fn a_face_that_is_a_part_of_the_other_side_begins_at_its_corner() {
    let front = face("front", None);
    let door = face("door", lies_on("front", Flip::LeftRight, 20.0, 300.0));
    let over = across(&front, &door).expect("opposite");
    assert_eq!(over.point(at(20.0, 300.0)), at(100.0, 0.0));
}

#[test]
fn mirroring_twice_leads_back() {
    let front = face("front", None);
    for flip in [Flip::LeftRight, Flip::TopBottom] {
        let back = face("back", lies_on("front", flip, 7.0, 11.0));
        let (over, home) = (across(&front, &back), across(&back, &front));
        let (over, home) = (over.expect("opposite"), home.expect("opposite"));
        assert_eq!(home.point(over.point(at(33.0, 21.0))), at(33.0, 21.0));
        let shape = Shape::Rect {
            x: 10.0,
            y: 12.0,
            w: 30.0,
            h: 5.0,
            r: 1.0,
        };
        assert_eq!(home.shape(&over.shape(&shape)), shape);
    }
}

#[test]
fn faces_that_are_not_said_to_be_opposite_have_no_way_across() {
    assert_eq!(across(&face("one", None), &face("other", None)), None);
}

/// The acceptor hangs in the lower cover. In the unit its screws are reached from
/// the front; on the mat the cover shows its inner side, and left is right.
#[test]
fn screws_that_are_given_from_the_front_are_marked_mirrored_on_the_part_on_the_mat() {
    let catalog = demo().next().expect("the kiosk");
    let steps = catalog.steps().map(|(_, step)| step);
    let undone: Vec<&Step> = steps
        .filter(|step| {
            let mut sets = step.undo.iter();
            sets.any(|at| catalog.fastening(*at).entry.id.as_str() == "coin-acceptor-screws")
        })
        .collect();
    let spots = |on: &str| {
        let step = undone.iter().find(|step| {
            step.face
                .is_some_and(|face| catalog.face(face).id.as_str() == on)
        });
        let drawn =
            drawing(&catalog, step.expect("a step on that face"), None, None).expect("drawn");
        assert_eq!(catalog.face(drawn.face).id.as_str(), on);
        drawn.spots
    };
    assert_eq!(spots("front"), [at(178.0, 774.0), at(222.0, 774.0)]);
    assert_eq!(
        spots("lower-cover-bench"),
        [at(222.0, 134.0), at(178.0, 134.0)]
    );
}

#[test]
fn the_tightening_order_is_the_order_of_the_numbers() {
    for catalog in demo() {
        for (_, step) in catalog.steps() {
            let [set] = step.redo.as_slice() else {
                continue;
            };
            let entry = &catalog.fastening(*set).entry;
            let Some(drawn) = drawing(&catalog, step, None, None) else {
                continue;
            };
            if entry.tighten.is_empty() || Some(drawn.face) != catalog.fastening(*set).face {
                continue;
            }
            for (number, place) in entry.tighten.iter().enumerate() {
                assert_eq!(drawn.spots[number], entry.points[usize::from(*place) - 1]);
            }
        }
    }
}

#[test]
fn every_fastener_of_the_demo_units_has_its_number_in_the_step_that_works_it() {
    for catalog in demo() {
        for (_, step) in catalog.steps() {
            let sets = step.undo.iter().chain(&step.redo);
            let many: u16 = sets.map(|at| catalog.fastening(*at).entry.count).sum();
            if many == 0 {
                continue;
            }
            let drawn = drawing(&catalog, step, None, None).expect("a drawing");
            assert_eq!(drawn.spots.len(), usize::from(many), "{}", step.entry.id);
            assert_eq!(
                drawn.legend.last().map(|line| line.to),
                Some(drawn.spots.len())
            );
        }
    }
}

fn parts(face: &Face) -> std::collections::BTreeSet<&PartId> {
    let named = face.features.iter();
    named.filter_map(|feature| feature.part.as_ref()).collect()
}

/// The box around all that a face shows of a part.
fn area(face: &Face, part: &PartId) -> Option<(Point, Point)> {
    let shown = face
        .features
        .iter()
        .filter(|one| one.part.as_ref() == Some(part));
    let boxes = shown.map(|one| corners(&one.shape));
    boxes.reduce(|(a, b), (c, d)| {
        (
            at(a.x.min(c.x), a.y.min(c.y)),
            at(b.x.max(d.x), b.y.max(d.y)),
        )
    })
}

/// Seen from below, a part lies mirrored to where it lies from above.
#[test]
fn what_both_sides_of_a_demo_unit_show_lies_in_one_place() {
    let mut compared = 0;
    for catalog in demo() {
        for (_, here) in catalog.faces() {
            for (_, there) in catalog.faces() {
                let Some(over) = across(here, there) else {
                    continue;
                };
                for part in parts(here) {
                    let (Some(one), Some(other)) = (area(here, part), area(there, part)) else {
                        continue;
                    };
                    let (a, b) = (over.point(one.0), over.point(one.1));
                    let (c, d) = other;
                    let meets = a.x.min(b.x) <= d.x
                        && c.x <= a.x.max(b.x)
                        && a.y.min(b.y) <= d.y
                        && c.y <= a.y.max(b.y);
                    assert!(
                        meets,
                        "{part:?} on “{}” and on “{}” are two places",
                        here.id, there.id
                    );
                    compared += 1;
                }
            }
        }
    }
    assert!(compared >= 20, "only {compared} were compared");
}

/// "Left" and "right" are those of the unit as it is used: on a face that is the
/// mirrored side of another they change over.
#[test]
fn a_feature_that_is_called_left_is_on_the_left_of_the_unit() {
    let mut seen = 0;
    for catalog in demo() {
        for (_, face) in catalog.faces() {
            for feature in &face.features {
                let label = feature.label.as_deref().unwrap_or_default();
                let left = label.starts_with("left ") || label.ends_with(" L");
                if !left && !label.starts_with("right ") && !label.ends_with(" R") {
                    continue;
                }
                let mirrored = matches!(face.id.as_str(), "under" | "rear");
                let on_left = middle(&feature.shape).x < face.width_mm / 2.0;
                assert_eq!(on_left, left != mirrored, "{label} on {}", face.id);
                seen += 1;
            }
        }
    }
    assert!(seen >= 8, "only {seen} were seen");
}

#[test]
fn a_fastener_of_a_demo_unit_lies_by_its_part() {
    // A bracket may reach this far beyond the part that it holds.
    const REACH_MM: f64 = 20.0;
    for catalog in demo() {
        for (_, fastening) in catalog.fastenings() {
            let Some(face) = fastening.face else { continue };
            let part = &catalog.part(fastening.part).id;
            let shown: Vec<_> = catalog
                .face(face)
                .features
                .iter()
                .filter(|feature| feature.part.as_ref() == Some(part))
                .map(|feature| corners(&feature.shape))
                .collect();
            assert!(
                !shown.is_empty(),
                "{part} is not drawn on {}",
                catalog.face(face).id
            );
            for point in &fastening.entry.points {
                let by = shown.iter().any(|(a, b)| {
                    point.x >= a.x - REACH_MM
                        && point.x <= b.x + REACH_MM
                        && point.y >= a.y - REACH_MM
                        && point.y <= b.y + REACH_MM
                });
                assert!(
                    by,
                    "{}: {point:?} is nowhere near {part}",
                    fastening.entry.id
                );
            }
        }
    }
}

#[test]
fn a_part_that_only_the_other_side_shows_is_drawn_through_mirrored() {
    let catalog = demo().nth(1).expect("the laptop");
    let under = catalog
        .faces()
        .find(|(_, face)| face.id.as_str() == "under");
    let (under, face) = under.expect("an underside");
    // The keyboard is drawn from above alone.
    let drawn = features(&catalog, under, &[&"keyboard".into()], None);
    let behind: Vec<_> = drawn.iter().filter(|one| one.behind).collect();
    assert_eq!(behind.len(), 1);
    let Shape::Rect { x, y, w, .. } = behind[0].feature.shape else {
        panic!("a keyboard is a rectangle");
    };
    assert_eq!((face.width_mm - (x + w), y), (20.0, 34.0));
}

#[test]
fn the_legend_says_numbers_drive_thread_and_length() {
    let catalog = demo().next().expect("the kiosk");
    let steps = catalog.steps().map(|(_, step)| step);
    let mut lines = steps
        .filter_map(|step| drawing(&catalog, step, None, None))
        .flat_map(|drawn| drawn.legend)
        .map(|line| line.words())
        .collect::<Vec<_>>();
    lines.sort();
    lines.dedup();
    for line in [
        "1–4 · T10 · M3 × 6",
        "1 · cam lock",
        "1 · hexagon 7 mm · M4",
        "1–8 · T10 · M3 × 6",
    ] {
        assert!(
            lines.iter().any(|known| known == line),
            "{line} is not in {lines:#?}"
        );
    }
}

#[test]
fn numbers_that_lie_close_are_pushed_apart_and_those_that_do_not_stay() {
    let size = at(324.0, 226.0);
    let far = badges(&[at(20.0, 20.0), at(300.0, 200.0)], 14.0, size);
    assert!(far.iter().all(|badge| badge.at == badge.spot));
    let close: Vec<Point> = vec![
        at(281.0, 41.0),
        at(301.0, 41.0),
        at(291.0, 50.0),
        at(291.0, 50.0),
    ];
    let placed = badges(&close, 14.0, size);
    for (nth, one) in placed.iter().enumerate() {
        assert_eq!(one.spot, close[nth]);
        assert!((0.0..=size.x).contains(&one.at.x) && (0.0..=size.y).contains(&one.at.y));
        for other in &placed[nth + 1..] {
            let apart = (one.at.x - other.at.x).hypot(one.at.y - other.at.y);
            assert!(apart >= 28.0, "{one:?} and {other:?} overlap");
        }
    }
}

#[test]
fn the_numbers_of_every_demo_step_can_be_read() {
    for catalog in demo() {
        for (_, step) in catalog.steps() {
            let Some(drawn) = drawing(&catalog, step, None, None) else {
                continue;
            };
            let face = catalog.face(drawn.face);
            let radius = 4.4 * face.width_mm.max(face.height_mm) / 100.0;
            let placed = badges(&drawn.spots, radius, at(face.width_mm, face.height_mm));
            for (nth, one) in placed.iter().enumerate() {
                for other in &placed[nth + 1..] {
                    let apart = (one.at.x - other.at.x).hypot(one.at.y - other.at.y);
                    assert!(apart > 1.9 * radius, "{} on {}", step.entry.id, face.id);
                }
            }
        }
    }
}

#[test]
fn a_step_whose_fasteners_its_face_cannot_show_is_drawn_on_theirs() {
    let catalog = demo().next().expect("the kiosk");
    let step = catalog
        .steps()
        .find(|(_, step)| step.entry.action == "Remove the two print head screws from the front");
    let (_, step) = step.expect("the step");
    let drawn = step_drawing(&catalog, step.entry.id.as_str(), "print-head");
    assert_eq!(catalog.face(drawn.face).id.as_str(), "printer-bench");
    assert_eq!(drawn.spots.len(), 2);
}

#[test]
fn no_word_lies_over_another_or_over_a_number_or_beyond_the_edge() {
    let sizes = Sizes {
        letter: 9.0,
        line: 18.0,
        radius: 14.0,
    };
    let rect = |x, y, label: &str, lit| Drawn {
        feature: Feature {
            shape: Shape::Rect {
                x,
                y,
                w: 60.0,
                h: 30.0,
                r: 0.0,
            },
            label: Some(label.to_owned()),
            part: Some(label.into()),
        },
        lit,
        behind: false,
    };
    let badge = |x, y| Badge {
        spot: at(x, y),
        at: at(x, y),
    };
    let sheet = (at(-20.0, -20.0), at(220.0, 120.0));
    // The later one is lit and has the room; the earlier one, under it, is not named.
    let shown = labels(
        &[
            rect(0.0, 0.0, "a", false),
            rect(0.0, 0.0, "shield", true),
            rect(100.0, 0.0, "pad", false),
        ],
        &[],
        sizes,
        sheet,
    );
    let texts: Vec<_> = shown.iter().map(|label| label.text.as_str()).collect();
    assert_eq!(texts, ["shield", "pad"]);
    // A number in the middle: the word goes above.
    let shown = labels(
        &[rect(0.0, 50.0, "fan", true)],
        &[badge(30.0, 65.0)],
        sizes,
        sheet,
    );
    assert_eq!(shown[0].at, at(30.0, 41.0));
    // A long word at the edge is moved in; a bold one is a quarter longer.
    let shown = labels(&[rect(160.0, 50.0, "card reader", true)], &[], sizes, sheet);
    assert_eq!(shown[0].at.x, 220.0 - 1.25 * 11.0 * 9.0 / 2.0);
    // One that has no room in its own part is left out.
    assert!(labels(&[rect(0.0, 0.0, "card reader", false)], &[], sizes, sheet).is_empty());
}

/// The laptop has the long battery pack or the short one, never both.
#[test]
fn what_the_unit_is_not_fitted_with_is_not_drawn() {
    let catalog = demo().nth(1).expect("the laptop");
    let setup = Setup::new(&catalog, &Configuration::usual(&catalog)).expect("a setup");
    let step = catalog.steps().find(|(_, step)| {
        let face = step.face.map(|face| catalog.face(face).id.as_str());
        face == Some("under") && !step.undo.is_empty()
    });
    let (_, step) = step.expect("a step on the underside");
    let packs = |setup| {
        let drawn = drawing(&catalog, step, None, setup).expect("a drawing");
        let parts = drawn
            .features
            .into_iter()
            .filter_map(|one| one.feature.part);
        parts
            .filter(|part| part.as_str().ends_with("-battery-pack"))
            .count()
    };
    assert_eq!(packs(None), 2);
    assert_eq!(packs(Some(&setup)), 1);
}
