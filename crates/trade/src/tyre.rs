//! Tyre sizes as ISO 5775 writes them: nominal width, hyphen, bead seat diameter.

use crate::fact::tool_uncertainty;
use crate::tables;
use crate::units::Dimension;

/// A tyre size such as 61-622.
#[derive(Clone, Debug, PartialEq)]
pub struct Tyre {
    /// Nominal section width, mm.
    pub width: f64,
    /// Bead seat diameter, mm.
    pub bead_seat: u32,
}

/// A size that a page offers in a list.
#[derive(Clone, Debug, PartialEq)]
pub struct TyreSize {
    /// The size.
    pub tyre: Tyre,
    /// What its wheel commonly goes by: "29 inch".
    pub names: &'static [String],
}

/// Common sizes, smallest wheel and narrowest tyre first. The bead seats are those of ISO 5775, the widths from memory,
/// unverified; any other size is read as well.
///
/// ```
/// use knockon_trade::tyre::tyre_sizes;
/// assert!(tyre_sizes().iter().any(|size| size.tyre.to_string() == "61-622"));
/// ```
pub fn tyre_sizes() -> Vec<TyreSize> {
    let of = |size: &'static tables::Size| {
        size.widths.iter().map(|width| TyreSize {
            tyre: Tyre { width: *width, bead_seat: size.bead_seat },
            names: &size.names,
        })
    };
    tables::sizes().iter().flat_map(of).collect()
}

impl std::fmt::Display for Tyre {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}-{}", self.width, self.bead_seat)
    }
}

impl Tyre {
    /// Bead seat radius, mm.
    pub fn bead_seat_radius(&self) -> f64 {
        f64::from(self.bead_seat) / 2.0
    }

    /// Standard uncertainty of the inflated width that the marking promises, mm; its figure and source are in the table
    /// of tools.
    pub fn width_uncertainty(&self) -> f64 {
        tool_uncertainty(Some("tyre marking"), Dimension::Length)
    }

    /// Reads `61-622`. The error says what is wrong and what would be right.
    ///
    /// ```
    /// use knockon_trade::tyre::Tyre;
    /// assert_eq!(Tyre::read("61-622").unwrap().width, 61.0);
    /// assert!(Tyre::read("622-61").unwrap_err().contains("61-622"));
    /// ```
    pub fn read(text: &str) -> Result<Tyre, String> {
        let text = text.trim();
        let form =
            || format!("a tyre size is width-bead seat as on the tyre's side, such as 61-622, not `{text}`");
        let (width, bead_seat) = text.split_once(['-', '–', '−']).ok_or_else(form)?;
        let width: f64 = width.trim().parse().map_err(|_| form())?;
        let bead_seat: f64 = bead_seat.trim().parse().map_err(|_| form())?;
        if !width.is_finite() || !bead_seat.is_finite() {
            return Err(form());
        }
        if width > bead_seat {
            return Err(format!("the width comes first: {bead_seat}-{width}"));
        }
        // From memory, unverified.
        if !(12.0..=130.0).contains(&width) {
            return Err(format!("no bicycle tyre is {width} mm wide; 18 to 127 mm are sold"));
        }
        let nearest = tables::sizes()
            .iter()
            .min_by(|a, b| {
                let far = |size: &tables::Size| (f64::from(size.bead_seat) - bead_seat).abs();
                far(a).total_cmp(&far(b))
            })
            .map_or(622, |size| size.bead_seat);
        if f64::from(nearest) != bead_seat {
            return Err(format!(
                "{bead_seat} mm is no bead seat diameter of ISO 5775; the nearest is {nearest}"
            ));
        }
        Ok(Tyre { width, bead_seat: nearest })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_offered_size_can_be_read() {
        let sizes = tyre_sizes();
        assert!(sizes.len() > 50);
        for size in &sizes {
            assert_eq!(Tyre::read(&size.tyre.to_string()).as_ref(), Ok(&size.tyre));
        }
        let order = |size: &TyreSize| (size.tyre.bead_seat, size.tyre.width);
        assert!(sizes.is_sorted_by(|a, b| order(a) < order(b)));
    }
}
