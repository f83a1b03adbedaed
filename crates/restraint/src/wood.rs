//! A screw in wood or a board: how much of it is in, what it carries at least and at most.

use catalog::WoodRow;
use model::FixingSort;

use crate::fastener::{Fastener, Group, GroupSort, SCATTER_CEILING, figure};
use crate::lateral::{AcrossScrew, Grain, across_design_n, yield_load_n};
use crate::screw::{
    lag_screw_design_n, lag_screw_withdrawal_n, wood_screw_design_n, wood_screw_withdrawal_n,
};
use crate::strength::{Figure, Footing, Mode, Strength};

/// Thickness of steel that no bracket here exceeds, mm: only in the thing's favour.
const THICKEST_BRACKET_MM: f64 = 6.0;
/// Part of its withdrawal that a screw pulled across may gain as it tilts and acts as a rope: EN 1995-1-1
/// 8.2.2, from memory; only in the thing's favour.
const ROPE: f64 = 0.25;
/// From this diameter on the bending strengths behind the published side-plate table hold, mm.
const TABLED_FROM_MM: f64 = 6.0;

pub(crate) fn screw(fastener: &Fastener<'_>) -> Group {
    let wood = &fastener.figures.wood[fastener.material];
    let Some(d_mm) = Fastener::said(&fastener.held.diameter_mm) else {
        return crate::fastener::both(Strength::unknown("the diameter of the screws"));
    };
    let screw = Screw { fastener, wood, d_mm, is_lag: fastener.held.sort == FixingSort::LagScrew };
    Group { along: screw.along(), across: screw.across(), sort: GroupSort::Wood }
}

struct Screw<'a> {
    fastener: &'a Fastener<'a>,
    wood: &'a WoodRow,
    d_mm: f64,
    is_lag: bool,
}

impl Screw<'_> {
    /// The most of it that can be in the wood, mm.
    fn depth_at_most_mm(&self) -> Option<f64> {
        let length_mm = Fastener::said(&self.fastener.held.length_mm);
        match (length_mm, self.fastener.thick_mm()) {
            (Some(length), Some(thick)) => Some(length.min(thick)),
            (length, thick) => length.or(thick),
        }
    }

    /// What of it is in the wood for sure, mm.
    fn depth_at_least_mm(&self) -> Result<f64, &'static str> {
        let length_mm =
            Fastener::sure(&self.fastener.held.length_mm).ok_or("how long the screws are")?;
        let bracket_mm = Fastener::sure(&self.fastener.way.bracket_mm)
            .ok_or("how thick the bracket is that they go through")?;
        let thick = self.fastener.way.into.as_ref().and_then(|into| Fastener::sure(&into.thick_mm));
        let thick_mm = thick.ok_or("how thick it is where they go in")?;
        Ok((length_mm - bracket_mm).clamp(0.0, thick_mm))
    }

    /// What keeps a design value from being relied on, or the depth that counts.
    fn relied_on_mm(&self) -> Result<f64, String> {
        if !self.wood.solid {
            return Err(format!(
                "no law for {} may be relied on: have one of them pulled, or use bolts with plates",
                self.fastener.material
            ));
        }
        if self.fastener.is_in_edge() {
            return Err("screws into an edge or end are not counted".to_owned());
        }
        if self.wood.least <= 0.0 {
            return Err("which wood it is".to_owned());
        }
        let least_mm = self.fastener.figures.screws.edge_diameters * self.d_mm;
        match Fastener::sure(&self.fastener.way.edge_mm) {
            None => Err(format!("how far they are from the edge; {least_mm:.0} mm is wanted")),
            Some(edge_mm) if edge_mm < least_mm => {
                Err(format!("nearer to the edge than {least_mm:.0} mm: not counted"))
            }
            Some(_) => self.depth_at_least_mm().map_err(str::to_owned),
        }
    }

    fn along(&self) -> Strength {
        let at_most =
            self.depth_at_most_mm().and_then(|depth_mm| self.withdrawal_at_most(depth_mm));
        let mut find_out = Vec::new();
        if self.depth_at_most_mm().is_none() {
            find_out.push("how deep they bite".to_owned());
        }
        let working = match self.relied_on_mm() {
            Ok(depth_mm) => self.design_along(depth_mm),
            Err(why) => {
                find_out.push(why);
                None
            }
        };
        Strength { breaks_from: working.clone(), working, at_most, find_out }
    }

    fn withdrawal_at_most(&self, depth_mm: f64) -> Option<Figure> {
        let law = if self.is_lag { lag_screw_withdrawal_n } else { wood_screw_withdrawal_n };
        let average_n = law(self.wood.most, self.d_mm, depth_mm).ok()?;
        let n = if self.wood.solid { average_n * SCATTER_CEILING } else { average_n };
        let basis = format!(
            "withdrawal law of the Wood Handbook, specific gravity {}, {depth_mm:.0} mm in",
            self.wood.most
        );
        Some(figure(n, Mode::OutOfWood, &basis, Footing::Recalled))
    }

    fn design_along(&self, depth_mm: f64) -> Option<Figure> {
        let law = if self.is_lag { lag_screw_design_n } else { wood_screw_design_n };
        let n = law(self.wood.least, self.d_mm, depth_mm).ok().filter(|n| *n > 0.0)?;
        let basis = format!("NDS 12.2, specific gravity {}, {depth_mm:.0} mm in", self.wood.least);
        Some(figure(n, Mode::OutOfWood, &basis, Footing::Firm))
    }

    fn across(&self) -> Strength {
        let at_most = self.depth_at_most_mm().and_then(|depth_mm| self.across_at_most(depth_mm));
        let mut find_out = Vec::new();
        let working = match self.relied_on_mm().and_then(|depth_mm| self.deep_enough(depth_mm)) {
            Ok(depth_mm) => self.design_across(depth_mm),
            Err(why) => {
                find_out.push(why);
                None
            }
        };
        Strength { breaks_from: working.clone(), working, at_most, find_out }
    }

    fn deep_enough(&self, depth_mm: f64) -> Result<f64, String> {
        let rules = &self.fastener.figures.screws;
        let diameters =
            if self.is_lag { rules.lag_least_depth_diameters } else { rules.least_depth_diameters };
        let wanted_mm = diameters * self.d_mm;
        if depth_mm < wanted_mm {
            return Err(format!(
                "{depth_mm:.0} mm in the wood where a design value across wants {wanted_mm:.0} mm: not counted"
            ));
        }
        Ok(depth_mm)
    }

    fn across_at_most(&self, depth_mm: f64) -> Option<Figure> {
        let screw = AcrossScrew {
            diameter_mm: self.d_mm,
            root_mm: self.d_mm,
            depth_mm,
            side_mm: Fastener::said(&self.fastener.way.bracket_mm).unwrap_or(THICKEST_BRACKET_MM),
            specific_gravity: self.wood.most,
            bending_mpa: self.bending_mpa(),
            grain: Grain::Along,
        };
        let (yield_n, _) = yield_load_n(&screw).ok()?;
        let rope_n = ROPE * self.withdrawal_at_most(depth_mm)?.n;
        let basis =
            format!("yield limit equations of NDS 12.3 without reduction, {depth_mm:.0} mm in");
        let n = SCATTER_CEILING * yield_n + rope_n;
        Some(figure(n, Mode::AcrossInWood, &basis, Footing::Recalled))
    }

    fn design_across(&self, depth_mm: f64) -> Option<Figure> {
        let screw = AcrossScrew {
            diameter_mm: self.d_mm,
            root_mm: self.d_mm * self.fastener.figures.screws.root_share,
            depth_mm,
            side_mm: Fastener::sure(&self.fastener.way.bracket_mm)?,
            specific_gravity: self.wood.least,
            bending_mpa: self.bending_mpa(),
            grain: Grain::Across,
        };
        let (n, _) = across_design_n(&screw).ok()?;
        let basis = format!("NDS 12.3, specific gravity {}, {depth_mm:.0} mm in", self.wood.least);
        let tabled = self.is_lag && self.d_mm >= TABLED_FROM_MM;
        let footing = if tabled { Footing::Firm } else { Footing::Recalled };
        Some(figure(n, Mode::AcrossInWood, &basis, footing))
    }

    fn bending_mpa(&self) -> f64 {
        let rules = &self.fastener.figures.screws;
        if self.is_lag {
            return rules.lag_bending_mpa;
        }
        let row = rules.bending.iter().find(|row| self.d_mm <= row.up_to_mm);
        row.or(rules.bending.last()).map_or(rules.lag_bending_mpa, |row| row.mpa)
    }
}
