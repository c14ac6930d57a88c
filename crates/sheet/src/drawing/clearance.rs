//! Whether boxes and lines meet, one by one and among many.

use std::ops::RangeInclusive;

use kurbo::{Point, Rect};

/// The part of a line that lies inside `rect`, as shares of its length; none when it stays outside.
pub fn inside(from: Point, to: Point, rect: Rect) -> Option<(f64, f64)> {
    let (mut enter, mut leave) = (0.0_f64, 1.0_f64);
    let run = to - from;
    for (start, step, low, high) in [(from.x, run.x, rect.x0, rect.x1), (from.y, run.y, rect.y0, rect.y1)] {
        if step.abs() < 1e-12 {
            if start < low || start > high {
                return None;
            }
            continue;
        }
        let (a, b) = ((low - start) / step, (high - start) / step);
        enter = enter.max(a.min(b));
        leave = leave.min(a.max(b));
    }
    (enter <= leave).then_some((enter, leave))
}

/// True when a line touches a box.
pub fn touches(line: &(Point, Point), rect: Rect) -> bool {
    inside(line.0, line.1, rect).is_some()
}

/// True when two boxes share more than an edge.
pub fn overlap(a: Rect, b: Rect) -> bool {
    a.x0 < b.x1 && b.x0 < a.x1 && a.y0 < b.y1 && b.y0 < a.y1
}

/// True when two lines cross or touch.
pub fn cross(a: &(Point, Point), b: &(Point, Point)) -> bool {
    let side = |from: Point, to: Point, point: Point| (to - from).cross(point - from);
    let (d1, d2) = (side(b.0, b.1, a.0), side(b.0, b.1, a.1));
    let (d3, d4) = (side(a.0, a.1, b.0), side(a.0, a.1, b.1));
    d1 * d2 <= 0.0 && d3 * d4 <= 0.0 && (d1 != 0.0 || d2 != 0.0 || d3 != 0.0 || d4 != 0.0)
}

/// Side of a grid's squares: about a flag with the room around it.
const SQUARE: f64 = 32.0;

/// Many lines, sorted into the squares of a grid: a question about a place looks only at what is near it.
///
/// What lies outside the grid belongs to the square nearest to it, so every answer is exact everywhere.
pub struct Lines {
    origin: Point,
    columns: usize,
    rows: usize,
    /// For each square, row by row, the lines whose box reaches into it.
    squares: Vec<Vec<u32>>,
    entered: Vec<Entered>,
}

/// A line and the column and row at which its squares start.
struct Entered {
    line: (Point, Point),
    start: (usize, usize),
}

impl Lines {
    /// No lines yet, and a grid over `area`.
    pub fn over(area: Rect) -> Self {
        let count = |length: f64| (length / SQUARE).ceil().max(1.0) as usize;
        let (columns, rows) = (count(area.width()), count(area.height()));
        let squares = vec![Vec::new(); columns * rows];
        Self { origin: area.origin(), columns, rows, squares, entered: Vec::new() }
    }

    /// Adds a line.
    pub fn push(&mut self, line: (Point, Point)) {
        let (columns, rows) = self.span(Rect::from_points(line.0, line.1));
        let index = self.entered.len() as u32;
        self.entered.push(Entered { line, start: (*columns.start(), *rows.start()) });
        for row in rows {
            for square in &mut self.squares[row * self.columns..][columns.clone()] {
                square.push(index);
            }
        }
    }

    /// Adds lines.
    pub fn extend(&mut self, lines: impl IntoIterator<Item = (Point, Point)>) {
        for line in lines {
            self.push(line);
        }
    }

    /// True when any line touches a box.
    pub fn any_touches(&self, rect: Rect) -> bool {
        self.near(rect).any(|line| touches(line, rect))
    }

    /// How many lines touch a box.
    pub fn touching(&self, rect: Rect) -> usize {
        self.near(rect).filter(|line| touches(line, rect)).count()
    }

    /// How many lines cross or touch `line`.
    pub fn crossing(&self, line: &(Point, Point)) -> usize {
        self.near(Rect::from_points(line.0, line.1)).filter(|other| cross(other, line)).count()
    }

    /// The columns and rows of squares that a box reaches into.
    fn span(&self, rect: Rect) -> (RangeInclusive<usize>, RangeInclusive<usize>) {
        // Below zero the cast gives zero.
        let place = |along: f64, count: usize| ((along / SQUARE) as usize).min(count - 1);
        let Point { x, y } = self.origin;
        let columns = place(rect.x0 - x, self.columns)..=place(rect.x1 - x, self.columns);
        (columns, place(rect.y0 - y, self.rows)..=place(rect.y1 - y, self.rows))
    }

    /// Each line once that shares a square with the box.
    fn near(&self, rect: Rect) -> impl Iterator<Item = &(Point, Point)> {
        let (columns, rows) = self.span(rect);
        let (left, top) = (*columns.start(), *rows.start());
        let squares = rows.flat_map(move |row| columns.clone().map(move |column| (column, row)));
        squares.flat_map(move |(column, row)| {
            let here = self.squares[row * self.columns + column].iter();
            here.map(|index| &self.entered[*index as usize]).filter_map(move |entered| {
                // Of all squares that line and box share, the first speaks for them.
                let first = (entered.start.0.max(left), entered.start.1.max(top));
                (first == (column, row)).then_some(&entered.line)
            })
        })
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    #[test]
    fn a_line_through_a_box_is_inside_between_its_edges() {
        let rect = Rect::new(2.0, -1.0, 4.0, 1.0);
        let (enter, leave) = inside(Point::ZERO, Point::new(10.0, 0.0), rect).unwrap();
        assert!((enter - 0.2).abs() < 1e-12 && (leave - 0.4).abs() < 1e-12);
        assert!(inside(Point::new(0.0, 2.0), Point::new(10.0, 2.0), rect).is_none());
    }

    #[test]
    fn crossing_lines_are_told_from_passing_ones() {
        let a = (Point::ZERO, Point::new(2.0, 2.0));
        assert!(cross(&a, &(Point::new(0.0, 2.0), Point::new(2.0, 0.0))));
        assert!(!cross(&a, &(Point::new(3.0, 0.0), Point::new(5.0, 0.0))));
    }

    fn points() -> impl Strategy<Value = (Point, Point)> {
        let place = || (-40.0..240.0, -40.0..140.0).prop_map(Point::from);
        (place(), place())
    }

    proptest! {
        #[test]
        fn the_grid_finds_what_looking_at_every_line_finds(
            lines in proptest::collection::vec(points(), 0..40),
            (a, b) in points(),
        ) {
            let mut grid = Lines::over(Rect::new(0.0, 0.0, 200.0, 100.0));
            grid.extend(lines.iter().copied());
            let rect = Rect::from_points(a, b);
            let touching = lines.iter().filter(|line| touches(line, rect)).count();
            prop_assert_eq!(grid.touching(rect), touching);
            prop_assert_eq!(grid.any_touches(rect), touching > 0);
            let crossing = lines.iter().filter(|line| cross(line, &(a, b))).count();
            prop_assert_eq!(grid.crossing(&(a, b)), crossing);
        }
    }
}
