//! Screws and bolts in sheet, ribs and plates.

use std::f64::consts::PI;

use catalog::MetalRow;

use crate::fastener::{Fastener, Group, GroupSort, SCATTER_CEILING, both, figure};
use crate::sheet::{SCREW_WORKING_FACTOR, SheetScrew, pull_out_n, pull_over_n, shear_n};
use crate::strength::{Figure, Footing, Mode, Strength};

/// Share of its tension load at which a bolt gives way across: 1/√3 (von Mises).
const SHEAR_SHARE: f64 = 0.577;
/// Bearing of a bolt in sheet, in thickness times diameter times strength: AISI S100 J3.3 with washers,
/// from memory; only in the thing's favour.
const BOLT_BEARING: f64 = 3.0;
const STRONGEST_CLASS: &str = "12.9";
const WHAT_STRENGTH: &str = "the tensile strength of the sheet";

/// A screw whose thread is in metal.
pub(crate) fn screw(fastener: &Fastener<'_>) -> Group {
    let Some(in_sheet) = InSheet::of(fastener) else {
        return both(Strength::unknown("diameter of the screws and thickness of the metal"));
    };
    Group {
        along: in_sheet.strength(InSheet::out_n, Mode::OutOfSheet),
        across: in_sheet.strength(InSheet::across_n, Mode::AcrossInSheet),
        sort: GroupSort::Sheet,
    }
}

/// A bolt with nut through metal: the bolt and the metal around its washer.
pub(crate) fn bolt_in_sheet(fastener: &Fastener<'_>) -> Group {
    let bolt = bolt(fastener);
    let Some(in_sheet) = InSheet::of(fastener) else { return bolt };
    let head_mm = Fastener::said(&fastener.way.head_mm);
    let through = head_mm.map(|head_mm| {
        let n = PI * head_mm * in_sheet.t_mm * in_sheet.most_mpa() * SHEAR_SHARE;
        figure(n, Mode::ThroughSheet, "shear of the metal around the washer", Footing::Recalled)
    });
    let (working, mut find_out) = in_sheet.working(InSheet::over_n, Mode::ThroughSheet);
    if head_mm.is_none() {
        find_out.push("the diameter of the washers or plates".to_owned());
    }
    let along = Strength { breaks_from: working.clone(), working, at_most: through, find_out };
    let bearing = BOLT_BEARING * in_sheet.t_mm * in_sheet.d_mm * in_sheet.most_mpa();
    let (working, find_out) = in_sheet.working(InSheet::across_n, Mode::AcrossInSheet);
    let across = Strength {
        breaks_from: working.clone(),
        working,
        at_most: Some(figure(
            bearing,
            Mode::AcrossInSheet,
            "bearing of a bolt in sheet",
            Footing::Recalled,
        )),
        find_out,
    };
    Group {
        along: bolt.along.and(&along),
        across: bolt.across.and(&across),
        sort: GroupSort::Sheet,
    }
}

/// A bolt through something without a law of its own: only the bolt limits.
pub(crate) fn bolt_in(fastener: &Fastener<'_>) -> Group {
    let bolt = bolt(fastener);
    let through = Strength::unknown(format!(
        "what carries the bolt heads in `{}`: plates or washers, how large, on what",
        fastener.material
    ));
    Group {
        along: bolt.along.and(&through),
        across: bolt.across.and(&through),
        sort: GroupSort::None,
    }
}

/// The bolt by itself.
fn bolt(fastener: &Fastener<'_>) -> Group {
    let Some(d_mm) = Fastener::said(&fastener.held.diameter_mm) else {
        return both(Strength::unknown("the size of the bolts"));
    };
    let bolts = &fastener.figures.bolts;
    let thread = format!("M{d_mm}");
    let most = bolts.loads_n(&thread, STRONGEST_CLASS).map(|(breaks_n, _)| breaks_n);
    let stated = fastener.held.class.evidence().and_then(|class| bolts.loads_n(&thread, class));
    let find_out: Vec<String> = if stated.is_none() {
        vec!["the class stamped on the bolts' heads".to_owned()]
    } else {
        Vec::new()
    };
    let strength = |share: f64, mode| Strength {
        working: stated
            .map(|(_, n)| figure(share * n, mode, "ISO 898-1, proof load", Footing::Firm)),
        breaks_from: stated
            .map(|(_, n)| figure(share * n, mode, "ISO 898-1, proof load", Footing::Firm)),
        at_most: stated.map(|(breaks_n, _)| breaks_n).or(most).map(|n| {
            let n = share * n * SCATTER_CEILING;
            figure(n, mode, "ISO 898-1, ultimate load and half as much", Footing::Recalled)
        }),
        find_out: find_out.clone(),
    };
    Group {
        along: strength(1.0, Mode::BoltBreaks),
        across: strength(SHEAR_SHARE, Mode::BoltSheared),
        sort: GroupSort::None,
    }
}

/// A fixing in metal of known thickness.
struct InSheet<'a> {
    fastener: &'a Fastener<'a>,
    metal: &'a MetalRow,
    d_mm: f64,
    t_mm: f64,
}

impl<'a> InSheet<'a> {
    fn of(fastener: &'a Fastener<'a>) -> Option<Self> {
        let metal = &fastener.figures.metal[fastener.material];
        let d_mm = Fastener::said(&fastener.held.diameter_mm)?;
        Some(Self { fastener, metal, d_mm, t_mm: fastener.thick_mm()? })
    }

    fn strength(&self, law: fn(&Self, f64) -> Option<f64>, mode: Mode) -> Strength {
        let (working, find_out) = self.working(law, mode);
        let at_most = law(self, self.most_mpa()).map(|nominal_n| {
            let basis = "AISI S100 J4, nominal and half as much, highest strength of the metal";
            figure(nominal_n * SCATTER_CEILING, mode, basis, Footing::Recalled)
        });
        Strength { breaks_from: working.clone(), working, at_most, find_out }
    }

    fn most_mpa(&self) -> f64 {
        let into = self.fastener.way.into.as_ref();
        into.and_then(|into| Fastener::said(&into.strength_mpa)).unwrap_or(self.metal.most)
    }

    /// A published working value, for facts that are evidence only; else what is missing.
    fn working(
        &self,
        law: fn(&Self, f64) -> Option<f64>,
        mode: Mode,
    ) -> (Option<Figure>, Vec<String>) {
        let into = self.fastener.way.into.as_ref();
        let sure = |fact: fn(&model::HeldIn) -> &model::Fact<f64>| {
            into.and_then(|into| Fastener::sure(fact(into)))
        };
        let Some(mpa) = sure(|into| &into.strength_mpa) else {
            return (None, vec![WHAT_STRENGTH.to_owned()]);
        };
        if sure(|into| &into.thick_mm).is_none()
            || Fastener::sure(&self.fastener.held.diameter_mm).is_none()
        {
            return (None, vec!["measure screws and metal".to_owned()]);
        }
        let edge_mm = self.fastener.figures.screws.sheet_edge_diameters * self.d_mm;
        match Fastener::sure(&self.fastener.way.edge_mm) {
            None => {
                return (
                    None,
                    vec![format!("how far they are from the edge; {edge_mm:.0} mm is wanted")],
                );
            }
            Some(edge) if edge < edge_mm => {
                return (
                    None,
                    vec![format!("nearer to the edge than {edge_mm:.0} mm: not counted")],
                );
            }
            Some(_) => {}
        }
        match law(self, mpa) {
            Some(nominal_n) => {
                let n = nominal_n / SCREW_WORKING_FACTOR;
                (Some(figure(n, mode, "AISI S100 J4, working value", Footing::Firm)), Vec::new())
            }
            None => (None, vec!["sizes are outside the published rule: have it pulled".to_owned()]),
        }
    }

    fn out_n(&self, mpa: f64) -> Option<f64> {
        pull_out_n(self.t_mm, self.d_mm, mpa).ok()
    }

    fn over_n(&self, mpa: f64) -> Option<f64> {
        pull_over_n(self.t_mm, Fastener::said(&self.fastener.way.head_mm)?, mpa).ok()
    }

    /// The bracket at the head is taken as thick and as strong as the sheet: thinner ones have to be said.
    fn across_n(&self, mpa: f64) -> Option<f64> {
        let bracket_mm = Fastener::said(&self.fastener.way.bracket_mm).unwrap_or(self.t_mm);
        shear_n(&SheetScrew {
            diameter_mm: self.d_mm,
            head_mm: self.d_mm,
            at_head_mm: bracket_mm,
            at_head_mpa: mpa,
            in_thread_mm: self.t_mm,
            in_thread_mpa: mpa,
        })
        .ok()
    }
}
