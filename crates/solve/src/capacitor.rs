//! How long input capacitors take to fill and to empty, and how hard they are struck. Closed forms.

/// Voltage of one capacitor or several side by side, filled or emptied through a resistance.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Capacitor {
    /// Capacitance, F.
    pub farad: f64,
    /// Voltage of the source it is filled from, or that it holds, V.
    pub volt: f64,
}

impl Capacitor {
    /// Energy held, `C V^2/2`, J. Checked by: `it/machines.rs`.
    pub fn energy_j(&self) -> f64 {
        0.5 * self.farad * self.volt * self.volt
    }

    /// First current when it is joined empty through a resistance (ohm), `V/R`, A. Upper bound: the
    /// inductance of the cables is left out. Checked by: `it/machines.rs`.
    pub fn inrush_a(&self, ohm: f64) -> f64 {
        self.volt / ohm
    }

    /// First power in the resistor (ohm) it is filled through, `V^2/R`, W. Checked by:
    /// `it/machines.rs`.
    pub fn first_w(&self, ohm: f64) -> f64 {
        self.volt * self.volt / ohm
    }

    /// Time to fill through a resistance (ohm) until `short_v` are missing, `R C ln(V/short)`, s.
    /// Valid: `0 < short_v`; nothing is missing from `short_v >= volt` on: 0. Checked by:
    /// `it/machines.rs`.
    pub fn fills_in_s(&self, ohm: f64, short_v: f64) -> f64 {
        ohm * self.farad * (self.volt / short_v).ln().max(0.0)
    }

    /// Time to empty through a resistance (ohm) down to a voltage, `R C ln(V/v)`, s. Valid and
    /// checked as [`Capacitor::fills_in_s`].
    pub fn empties_in_s(&self, ohm: f64, down_to_v: f64) -> f64 {
        ohm * self.farad * (self.volt / down_to_v).ln().max(0.0)
    }
}
