//! Zooming and panning of a drawing as geometry. Pure: finger positions in, the visible
//! part of the drawing out.

/// The largest zoom.
pub const MOST_ZOOM: f64 = 8.0;
/// Zoom factor of one tap on a button or one key press.
const STEP: f64 = 1.5;

/// The visible part of a drawing; all lengths are in drawing units.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Viewport {
    /// Zoom relative to the whole drawing, 1 to [`MOST_ZOOM`].
    pub zoom: f64,
    /// x coordinate of the centre.
    pub x: f64,
    /// y coordinate of the centre.
    pub y: f64,
}

/// The whole drawing: its upper left corner and its size.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Canvas {
    /// Left edge.
    pub x: f64,
    /// Upper edge.
    pub y: f64,
    /// Width, above 0.
    pub w: f64,
    /// Height, above 0.
    pub h: f64,
}

/// A panning direction.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Direction {
    /// To the left.
    Left,
    /// To the right.
    Right,
    /// Upward.
    Up,
    /// Downward.
    Down,
}

impl Canvas {
    /// The whole drawing.
    pub fn whole(&self) -> Viewport {
        Viewport {
            zoom: 1.0,
            x: self.x + self.w / 2.0,
            y: self.y + self.h / 2.0,
        }
    }

    /// The view that frames these points, with room around them; at most `most` times as
    /// close as the whole, so that the place is still known.
    pub fn framing(&self, points: &[(f64, f64)], most: f64) -> Viewport {
        let span = |of: fn(&(f64, f64)) -> f64| {
            let low = points.iter().map(of).fold(f64::INFINITY, f64::min);
            let high = points.iter().map(of).fold(f64::NEG_INFINITY, f64::max);
            (low, high)
        };
        let ((left, right), (top, bottom)) = (span(|at| at.0), span(|at| at.1));
        if left > right || top > bottom {
            return self.whole();
        }
        // A third of what is seen is room around the points.
        let zoom = (self.w / ((right - left) * 1.5)).min(self.h / ((bottom - top) * 1.5));
        self.clamp(Viewport {
            zoom: zoom.min(most),
            x: f64::midpoint(left, right),
            y: f64::midpoint(top, bottom),
        })
    }

    /// The visible rectangle: left, top, width, height.
    pub fn window(&self, viewport: &Viewport) -> (f64, f64, f64, f64) {
        let (w, h) = (self.w / viewport.zoom, self.h / viewport.zoom);
        (viewport.x - w / 2.0, viewport.y - h / 2.0, w, h)
    }

    /// Zoomed by this factor around the centre.
    pub fn zoomed(&self, viewport: &Viewport, times: f64) -> Viewport {
        self.clamp(Viewport {
            zoom: viewport.zoom * times,
            ..*viewport
        })
    }

    /// Zoomed in by one step.
    pub fn zoomed_in(&self, viewport: &Viewport) -> Viewport {
        self.zoomed(viewport, STEP)
    }

    /// Zoomed out by one step.
    pub fn zoomed_out(&self, viewport: &Viewport) -> Viewport {
        self.zoomed(viewport, 1.0 / STEP)
    }

    /// Panned by a quarter of the visible part.
    pub fn panned(&self, viewport: &Viewport, direction: Direction) -> Viewport {
        let (_, _, w, h) = self.window(viewport);
        let (dx, dy) = match direction {
            Direction::Left => (-w, 0.0),
            Direction::Right => (w, 0.0),
            Direction::Up => (0.0, -h),
            Direction::Down => (0.0, h),
        };
        self.clamp(Viewport {
            x: viewport.x + dx / 4.0,
            y: viewport.y + dy / 4.0,
            ..*viewport
        })
    }

    /// Centred on this point, within the edges of the drawing.
    pub fn centred(&self, viewport: &Viewport, (x, y): (f64, f64)) -> Viewport {
        self.clamp(Viewport { x, y, ..*viewport })
    }

    /// Dragged by one finger (or the mouse) from one point to another, both as fractions of
    /// the picture, 0 to 1: the point under the finger stays under it.
    pub fn dragged(&self, viewport: &Viewport, from: (f64, f64), to: (f64, f64)) -> Viewport {
        let (_, _, w, h) = self.window(viewport);
        self.clamp(Viewport {
            x: viewport.x - (to.0 - from.0) * w,
            y: viewport.y - (to.1 - from.1) * h,
            ..*viewport
        })
    }

    /// Pinched by two fingers from two points to two others, all as fractions of the
    /// picture, 0 to 1: the drawing grows as they move apart, and the point between them
    /// stays between them.
    pub fn pinched(
        &self,
        viewport: &Viewport,
        from: [(f64, f64); 2],
        to: [(f64, f64); 2],
    ) -> Viewport {
        // The picture is not square, so distances are measured in the drawing.
        let apart = |[a, b]: [(f64, f64); 2]| ((b.0 - a.0) * self.w).hypot((b.1 - a.1) * self.h);
        let between = |[a, b]: [(f64, f64); 2]| (f64::midpoint(a.0, b.0), f64::midpoint(a.1, b.1));
        if apart(from) <= 0.0 || apart(to) <= 0.0 {
            return *viewport;
        }
        let zoom = (viewport.zoom * apart(to) / apart(from)).clamp(1.0, MOST_ZOOM);
        let (left, top, w, h) = self.window(viewport);
        let (was, is) = (between(from), between(to));
        let held = (left + was.0 * w, top + was.1 * h);
        let (w, h) = (self.w / zoom, self.h / zoom);
        self.clamp(Viewport {
            zoom,
            x: held.0 + (0.5 - is.0) * w,
            y: held.1 + (0.5 - is.1) * h,
        })
    }

    /// Kept within the edges of the drawing, and never smaller than the whole drawing.
    fn clamp(&self, viewport: Viewport) -> Viewport {
        let zoom = viewport.zoom.clamp(1.0, MOST_ZOOM);
        let within = |at: f64, from: f64, size: f64| {
            let half = size / zoom / 2.0;
            at.clamp(from + half, (from + size - half).max(from + half))
        };
        Viewport {
            zoom,
            x: within(viewport.x, self.x, self.w),
            y: within(viewport.y, self.y, self.h),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const SHEET: Canvas = Canvas {
        x: -10.0,
        y: -10.0,
        w: 200.0,
        h: 100.0,
    };

    fn near(one: Viewport, other: Viewport) {
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
        near(pinched, SHEET.zoomed(&SHEET.whole(), 2.0));
    }

    #[test]
    fn what_was_between_the_fingers_stays_between_them() {
        let viewport = SHEET.zoomed(&SHEET.whole(), 3.0);
        let (from, to) = ([(0.2, 0.4), (0.5, 0.6)], [(0.3, 0.35), (0.7, 0.65)]);
        let under = |viewport: &Viewport, (x, y): (f64, f64)| {
            let (left, top, w, h) = SHEET.window(viewport);
            (left + x * w, top + y * h)
        };
        let pinched = SHEET.pinched(&viewport, from, to);
        let (was, is) = (under(&viewport, (0.35, 0.5)), under(&pinched, (0.5, 0.5)));
        assert!((was.0 - is.0).abs() < 1e-9 && (was.1 - is.1).abs() < 1e-9);
        assert!(pinched.zoom > viewport.zoom);
    }

    #[test]
    fn a_pinch_and_the_same_pinch_backwards_change_nothing() {
        let viewport = SHEET.zoomed(&SHEET.whole(), 3.0);
        let (one, other) = ([(0.4, 0.4), (0.6, 0.6)], [(0.35, 0.45), (0.6, 0.65)]);
        near(
            SHEET.pinched(&SHEET.pinched(&viewport, one, other), other, one),
            viewport,
        );
    }

    #[test]
    fn two_fingers_on_one_place_change_nothing() {
        let viewport = SHEET.whole();
        near(
            SHEET.pinched(&viewport, [(0.5, 0.5); 2], [(0.1, 0.1), (0.9, 0.9)]),
            viewport,
        );
    }

    #[test]
    fn what_is_dragged_stays_under_the_finger() {
        let viewport = SHEET.zoomed(&SHEET.whole(), 4.0);
        let dragged = SHEET.dragged(&viewport, (0.5, 0.5), (0.25, 0.5));
        near(
            dragged,
            Viewport {
                x: viewport.x + 12.5,
                ..viewport
            },
        );
    }

    #[test]
    fn one_never_looks_beyond_the_edges_nor_from_too_far_nor_too_near() {
        near(SHEET.zoomed_out(&SHEET.whole()), SHEET.whole());
        near(SHEET.panned(&SHEET.whole(), Direction::Left), SHEET.whole());
        let mut viewport = SHEET.whole();
        for _ in 0..20 {
            viewport = SHEET.zoomed_in(&viewport);
        }
        assert_eq!(viewport.zoom, MOST_ZOOM);
        for _ in 0..100 {
            viewport = SHEET.panned(&SHEET.panned(&viewport, Direction::Right), Direction::Down);
        }
        let (left, top, w, h) = SHEET.window(&viewport);
        assert!((left + w - 190.0).abs() < 1e-9 && (top + h - 90.0).abs() < 1e-9);
        let corner = SHEET.centred(&viewport, (-1e6, -1e6));
        let (left, top, ..) = SHEET.window(&corner);
        assert!((left + 10.0).abs() < 1e-9 && (top + 10.0).abs() < 1e-9);
    }

    #[test]
    fn a_step_closer_and_a_step_away_come_back() {
        let viewport = SHEET.centred(&SHEET.zoomed(&SHEET.whole(), 2.0), (70.0, 40.0));
        near(SHEET.zoomed_out(&SHEET.zoomed_in(&viewport)), viewport);
    }
}
