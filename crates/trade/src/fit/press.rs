//! A part that is held by being pressed in: a row of `data/press_fits.toml`.

use knockon_engine::press_fit::{Material, PressFit, interference};
use knockon_engine::requirement::Outcome;
use serde::Deserialize;

use super::{Fitting, Judged};
use crate::verdict::Verdict;
use crate::words::plain;

/// One press fit; what the fields mean stands at the head of the table.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Press {
    /// Snake-case name.
    pub id: String,
    /// Name in a table.
    pub label: String,
    /// Keys of the record: diameter of what is pressed in, and of its bore. Always two; a list, since a verdict names what touches it
    /// by one.
    pub keys: Vec<String>,
    /// Least and most interference, mm on the diameter.
    least: f64,
    most: f64,
    walls: [f64; 2],
    length: f64,
    moduli: [f64; 2],
    friction: [f64; 2],
    loose: String,
    tight: String,
    /// Source.
    pub source: String,
}

/// Poisson's ratio of the metals that shells, cups and races are made of. Common practice, no source.
const POISSON: f64 = 0.32;

impl Press {
    /// Whether the interference is within its limits, where both diameters are known; and what it does.
    ///
    /// Worst first: a fit that may be loose and may be too tight by what the tools get wrong is to be measured.
    pub(super) fn judge(&'static self, fitting: &Fitting<'_>) -> Option<Judged> {
        let (inner, outer) = (fitting.figure(&self.keys[0])?, fitting.figure(&self.keys[1])?);
        let more = interference(inner.value, outer.value);
        let pm = 2.0 * inner.uncertainty.hypot(outer.uncertainty);
        let outcome = Outcome::judge(more - self.least, pm).max(Outcome::judge(self.most - more, pm));
        let size = |value: f64| plain(value.abs());
        let found = if more < 0.0 {
            format!("What is pressed in is {} mm smaller than its bore", size(more))
        } else {
            format!("What is pressed in is {} mm larger than its bore", size(more))
        };
        let wanted = format!("{} to {} mm larger is right", plain(self.least), plain(self.most));
        let sentence = match outcome {
            Outcome::Fits => format!("{found}; {wanted}. {}", self.effect(outer.value, more)),
            Outcome::DoesNotFit if more < self.least => {
                format!("{found}; {wanted}: {}. Glue does not mend what the makers do not allow.", self.loose)
            }
            Outcome::DoesNotFit => {
                format!("{found}; {wanted}: {}. {}", self.tight, self.effect(outer.value, more))
            }
            _ => format!(
                "{found} (±{} mm); {wanted}: too close to call. Measure both with a micrometer, twice at a right angle.",
                plain(pm)
            ),
        };
        let verdict = Verdict { outcome, sentence, ..Verdict::on(&self.id, &self.label, &self.keys) };
        Some(Judged { verdict, source: &self.source })
    }

    /// What an interference does: pressure, stress in the wall, force. Two metal rings of ordinary walls are taken for the parts, so
    /// the figures are told roughly.
    fn effect(&self, diameter: f64, more: f64) -> String {
        let [cup, tube] =
            self.moduli.map(|youngs_modulus| Material { youngs_modulus, poissons_ratio: POISSON });
        let contact = diameter / 2.0;
        let rings = PressFit {
            cup_inner: contact - self.walls[0],
            contact,
            tube_outer: contact + self.walls[1],
            cup,
            tube,
        };
        let pressure = rings.pressure(more);
        let [least, most] =
            self.friction.map(|friction| rings.force(pressure, friction, self.length) / 1000.0);
        let rough =
            |value: f64| plain(if value < 10.0 { (value * 10.0).round() / 10.0 } else { value.round() });
        format!(
            "In metal of ordinary walls that presses with about {} N/mm², strains the wall with about {} N/mm² and takes {} to {} kN to \
             press in. Carbon has no such figures: its maker's word counts.",
            rough(pressure),
            rough(rings.tube_hoop_stress(pressure)),
            rough(least),
            rough(most)
        )
    }
}
