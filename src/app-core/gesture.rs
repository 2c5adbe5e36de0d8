//! Looking closer at a drawing: zooming and panning as geometry. Pure: places of
//! fingers in, the part of the drawing that is seen out.

/// The closest that one can look.
pub const CLOSEST: f64 = 8.0;
/// What one tap on a button, or one press of a key, changes.
const STEP: f64 = 1.5;

/// The part of a drawing that is seen; all lengths in the drawing's own units.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Look {
    /// How many times larger than when all is seen, 1 to [`CLOSEST`].
    pub zoom: f64,
    /// Middle of what is seen, to the right.
    pub x: f64,
    /// Middle of what is seen, downward.
    pub y: f64,
}

/// The whole drawing: its upper left corner and its size.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sheet {
    /// Left edge.
    pub x: f64,
    /// Upper edge.
    pub y: f64,
    /// Width, above 0.
    pub w: f64,
    /// Height, above 0.
    pub h: f64,
}

/// A direction to look in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Way {
    /// To the left.
    Left,
    /// To the right.
    Right,
    /// Upward.
    Up,
    /// Downward.
    Down,
}

impl Sheet {
    /// All of it.
    pub fn whole(&self) -> Look {
        Look {
            zoom: 1.0,
            x: self.x + self.w / 2.0,
            y: self.y + self.h / 2.0,
        }
    }

    /// What is seen: left, top, width, height.
    pub fn window(&self, look: &Look) -> (f64, f64, f64, f64) {
        let (w, h) = (self.w / look.zoom, self.h / look.zoom);
        (look.x - w / 2.0, look.y - h / 2.0, w, h)
    }

    /// So many times closer, or farther, with the middle where it is.
    pub fn closer(&self, look: &Look, times: f64) -> Look {
        self.kept(Look {
            zoom: look.zoom * times,
            ..*look
        })
    }

    /// One step closer.
    pub fn nearer(&self, look: &Look) -> Look {
        self.closer(look, STEP)
    }

    /// One step away.
    pub fn farther(&self, look: &Look) -> Look {
        self.closer(look, 1.0 / STEP)
    }

    /// A quarter of what is seen to one side.
    pub fn moved(&self, look: &Look, way: Way) -> Look {
        let (_, _, w, h) = self.window(look);
        let (dx, dy) = match way {
            Way::Left => (-w, 0.0),
            Way::Right => (w, 0.0),
            Way::Up => (0.0, -h),
            Way::Down => (0.0, h),
        };
        self.kept(Look {
            x: look.x + dx / 4.0,
            y: look.y + dy / 4.0,
            ..*look
        })
    }

    /// With this place in the middle, as far as the drawing reaches.
    pub fn centred(&self, look: &Look, (x, y): (f64, f64)) -> Look {
        self.kept(Look { x, y, ..*look })
    }

    /// After one finger (or the mouse) was drawn from one place to another, both
    /// as parts of the picture, 0 to 1: what was under it stays under it.
    pub fn dragged(&self, look: &Look, from: (f64, f64), to: (f64, f64)) -> Look {
        let (_, _, w, h) = self.window(look);
        self.kept(Look {
            x: look.x - (to.0 - from.0) * w,
            y: look.y - (to.1 - from.1) * h,
            ..*look
        })
    }

    /// After two fingers went from two places to two others, all as parts of the
    /// picture, 0 to 1: the drawing grows as they part, and what was between them
    /// stays between them.
    pub fn pinched(&self, look: &Look, from: [(f64, f64); 2], to: [(f64, f64); 2]) -> Look {
        // The picture is not square: distances are of the drawing.
        let apart = |[a, b]: [(f64, f64); 2]| ((b.0 - a.0) * self.w).hypot((b.1 - a.1) * self.h);
        let between = |[a, b]: [(f64, f64); 2]| (f64::midpoint(a.0, b.0), f64::midpoint(a.1, b.1));
        if apart(from) <= 0.0 || apart(to) <= 0.0 {
            return *look;
        }
        let zoom = (look.zoom * apart(to) / apart(from)).clamp(1.0, CLOSEST);
        let (left, top, w, h) = self.window(look);
        let (was, is) = (between(from), between(to));
        let held = (left + was.0 * w, top + was.1 * h);
        let (w, h) = (self.w / zoom, self.h / zoom);
        self.kept(Look {
            zoom,
            x: held.0 + (0.5 - is.0) * w,
            y: held.1 + (0.5 - is.1) * h,
        })
    }

    /// Never beyond the edges of the drawing, and never farther away than all of
    /// it.
    fn kept(&self, look: Look) -> Look {
        let zoom = look.zoom.clamp(1.0, CLOSEST);
        let within = |at: f64, from: f64, size: f64| {
            let half = size / zoom / 2.0;
            at.clamp(from + half, (from + size - half).max(from + half))
        };
        Look {
            zoom,
            x: within(look.x, self.x, self.w),
            y: within(look.y, self.y, self.h),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const SHEET: Sheet = Sheet {
        x: -10.0,
        y: -10.0,
        w: 200.0,
        h: 100.0,
    };

    fn near(one: Look, other: Look) {
        let close = |a: f64, b: f64| (a - b).abs() < 1e-9;
        assert!(
            close(one.zoom, other.zoom) && close(one.x, other.x) && close(one.y, other.y),
            "{one:?} is not {other:?}"
        );
    }

    #[test]
    fn at_first_all_is_seen() {
        assert_eq!(SHEET.window(&SHEET.whole()), (-10.0, -10.0, 200.0, 100.0));
    }

    #[test]
    fn fingers_that_part_to_twice_the_distance_show_it_twice_as_large() {
        let pinched = SHEET.pinched(
            &SHEET.whole(),
            [(0.4, 0.5), (0.6, 0.5)],
            [(0.3, 0.5), (0.7, 0.5)],
        );
        near(pinched, SHEET.closer(&SHEET.whole(), 2.0));
    }

    #[test]
    fn what_was_between_the_fingers_stays_between_them() {
        let look = SHEET.closer(&SHEET.whole(), 3.0);
        let (from, to) = ([(0.2, 0.4), (0.5, 0.6)], [(0.3, 0.35), (0.7, 0.65)]);
        let under = |look: &Look, (x, y): (f64, f64)| {
            let (left, top, w, h) = SHEET.window(look);
            (left + x * w, top + y * h)
        };
        let pinched = SHEET.pinched(&look, from, to);
        let (was, is) = (under(&look, (0.35, 0.5)), under(&pinched, (0.5, 0.5)));
        assert!((was.0 - is.0).abs() < 1e-9 && (was.1 - is.1).abs() < 1e-9);
        assert!(pinched.zoom > look.zoom);
    }

    #[test]
    fn a_pinch_and_the_same_pinch_backwards_change_nothing() {
        let look = SHEET.closer(&SHEET.whole(), 3.0);
        let (one, other) = ([(0.4, 0.4), (0.6, 0.6)], [(0.35, 0.45), (0.6, 0.65)]);
        near(
            SHEET.pinched(&SHEET.pinched(&look, one, other), other, one),
            look,
        );
    }

    #[test]
    fn two_fingers_on_one_place_change_nothing() {
        let look = SHEET.whole();
        near(
            SHEET.pinched(&look, [(0.5, 0.5); 2], [(0.1, 0.1), (0.9, 0.9)]),
            look,
        );
    }

    #[test]
    fn what_is_dragged_stays_under_the_finger() {
        let look = SHEET.closer(&SHEET.whole(), 4.0);
        let dragged = SHEET.dragged(&look, (0.5, 0.5), (0.25, 0.5));
        near(
            dragged,
            Look {
                x: look.x + 12.5,
                ..look
            },
        );
    }

    #[test]
    fn one_never_looks_beyond_the_edges_nor_from_too_far_nor_too_near() {
        near(SHEET.farther(&SHEET.whole()), SHEET.whole());
        near(SHEET.moved(&SHEET.whole(), Way::Left), SHEET.whole());
        let mut look = SHEET.whole();
        for _ in 0..20 {
            look = SHEET.nearer(&look);
        }
        assert_eq!(look.zoom, CLOSEST);
        for _ in 0..100 {
            look = SHEET.moved(&SHEET.moved(&look, Way::Right), Way::Down);
        }
        let (left, top, w, h) = SHEET.window(&look);
        assert!((left + w - 190.0).abs() < 1e-9 && (top + h - 90.0).abs() < 1e-9);
        let corner = SHEET.centred(&look, (-1e6, -1e6));
        let (left, top, ..) = SHEET.window(&corner);
        assert!((left + 10.0).abs() < 1e-9 && (top + 10.0).abs() < 1e-9);
    }

    #[test]
    fn a_step_closer_and_a_step_away_come_back() {
        let look = SHEET.centred(&SHEET.closer(&SHEET.whole(), 2.0), (70.0, 40.0));
        near(SHEET.farther(&SHEET.nearer(&look)), look);
    }
}
