//! Sizes that differ between a desk screen, a phone and paper.

use crate::lettering::Type;

/// Where a drawing of the bike is shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Page {
    /// A wide window: 1000 units across, the detail view at the right.
    Desk,
    /// A phone held upright: 390 units across, fewer dimensions, the detail view below.
    Phone,
}

/// Sizes in units of the drawing.
#[derive(Clone, Copy, Debug)]
pub struct Style {
    /// Type size of dimensions and captions.
    pub text: u8,
    /// Half the width of a revision flag.
    pub flag: f64,
    /// Length of an arrowhead.
    pub arrow: f64,
    /// Free space between lanes and around the bike.
    pub gap: f64,
    /// Most dimensions drawn.
    pub dimensions: usize,
    /// Radius of an angle's arc.
    pub arc: f64,
    /// Width of the bike's edges.
    pub edge: f64,
}

impl Style {
    /// For a desk screen.
    pub const DESK: Self =
        Self { text: 13, flag: 10.5, arrow: 9.0, gap: 12.0, dimensions: 6, arc: 46.0, edge: 1.7 };
    /// For a phone.
    pub const PHONE: Self =
        Self { text: 11, flag: 8.5, arrow: 6.5, gap: 7.0, dimensions: 4, arc: 26.0, edge: 1.3 };
    /// For the A3 sheet, in quarter millimetres.
    pub const PAPER: Self =
        Self { text: 14, flag: 12.0, arrow: 11.0, gap: 14.0, dimensions: 7, arc: 56.0, edge: 2.2 };

    /// Type of names and values.
    pub fn regular(&self) -> Type {
        Type::regular(self.text)
    }

    /// Type of what changed.
    pub fn semibold(&self) -> Type {
        Type::semibold(self.text)
    }
}
