//! How stout the drawn parts are: chosen once for both bikes, so that only what moved looks moved.

use crate::picture::Outline;

/// Proportions that the outline does not give.
#[derive(Clone, Copy, Debug)]
pub struct Build {
    /// Thickness of tubes against those of a full-size mountain bike.
    pub stout: f64,
    /// Bottom bracket to the top of the seat tube, along the seat line, mm.
    pub seat_tube: f64,
    /// Length of the saddle against a full-size one.
    pub saddle: f64,
    /// Tyre and rim section, mm, where the rim is not known.
    pub section: f64,
}

impl Build {
    /// Proportions that suit both.
    pub fn of(before: &Outline, after: &Outline) -> Self {
        let drop_bar = before.cockpit.as_ref().is_some_and(|cockpit| cockpit.drop_bar);
        let wheel = f64::midpoint(before.rear_radius, before.front_radius);
        let size = (wheel / 345.0).clamp(0.55, 1.0);
        let height = (before.head_tube_top.y - before.bottom_bracket.y).max(60.0);
        let share = if drop_bar { 0.88 } else { 0.7 };
        let mut seat_tube = height * share;
        for outline in [before, after] {
            if let Some(saddle) = outline.saddle_top {
                let up = (saddle - outline.bottom_bracket).dot(outline.seat_up);
                seat_tube = seat_tube.min(up - 150.0 * size);
            }
        }
        Self {
            stout: if drop_bar { size * 0.82 } else { size },
            seat_tube: seat_tube.max(60.0),
            saddle: size.max(0.75),
            section: if drop_bar { 32.0 } else { 62.0 } * size,
        }
    }
}
