//! Nominal metric conductor sizes and the largest resistance each may have. The rows are data of
//! the standard; what to do between the sizes is decided in `conductor`.
//!
//! Source of every row: IEC 60228:2004 (= EN 60228), Tables 1 to 4, maximum resistance at 20 C,
//! ohm/km, read in a reproduction, not in the standard itself; rows above 120 mm2 were not seen
//! and are left out.

use crate::quantity::SquareMillimetre;

/// How close an area must be to a nominal one to count as that size, as a part of it.
const SAME_SIZE: f64 = 1e-6;

/// One nominal size with its four resistance limits.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct NominalSize {
    area_mm2: f64,
    limits_ohm_per_km: [f64; 4],
}

/// How the conductor is built.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Build {
    /// Class 1 (solid) and class 2 (stranded).
    Class1And2,
    /// Class 5 (flexible) and class 6 (extra flexible).
    Class5And6,
}

/// What covers the copper.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Finish {
    /// Plain copper.
    Plain,
    /// Metal-coated (tinned) copper.
    Tinned,
}

impl NominalSize {
    /// The nominal area.
    #[must_use]
    pub const fn area(self) -> SquareMillimetre {
        SquareMillimetre::new(self.area_mm2)
    }

    /// The largest resistance allowed at 20 C, in ohm per metre.
    #[must_use]
    pub const fn max_ohm_per_metre_20c(self, build: Build, finish: Finish) -> f64 {
        let column = match (build, finish) {
            (Build::Class1And2, Finish::Plain) => 0,
            (Build::Class5And6, Finish::Plain) => 1,
            (Build::Class1And2, Finish::Tinned) => 2,
            (Build::Class5And6, Finish::Tinned) => 3,
        };
        self.limits_ohm_per_km[column] / 1000.0
    }
}

/// All sizes held, smallest first.
#[must_use]
pub const fn sizes() -> &'static [NominalSize] {
    &SIZES
}

/// The size whose nominal area this is; none when the area is not a nominal one.
#[must_use]
pub fn nominal(area: SquareMillimetre) -> Option<NominalSize> {
    let area_mm2 = area.square_millimetres();
    SIZES.into_iter().find(|size| (area_mm2 - size.area_mm2).abs() <= SAME_SIZE * size.area_mm2)
}

/// The smallest nominal size not below `area`: what to buy when `area` is the least that will do.
/// None above the largest size held, or for no number.
#[must_use]
pub fn size_at_least(area: SquareMillimetre) -> Option<NominalSize> {
    SIZES.into_iter().find(|size| size.area_mm2 * (1.0 + SAME_SIZE) >= area.square_millimetres())
}

/// The smallest nominal size truly above `area`: one step up from what is there. None from the
/// largest size held on, or for no number.
#[must_use]
pub fn next_size_up(area: SquareMillimetre) -> Option<NominalSize> {
    SIZES.into_iter().find(|size| size.area_mm2 > area.square_millimetres() * (1.0 + SAME_SIZE))
}

const fn size(area_mm2: f64, limits_ohm_per_km: [f64; 4]) -> NominalSize {
    NominalSize { area_mm2, limits_ohm_per_km }
}

/// mm2; then ohm/km: class 1 and 2 plain, class 5 and 6 plain, class 1 and 2 tinned, class 5 and 6
/// tinned. Each row: IEC 60228:2004 Tables 1 to 4, as reproduced. At 50 mm2 class 5 (0.386) lies
/// below class 2 (0.387): so it stands in the standard.
const SIZES: [NominalSize; 15] = [
    size(0.5, [36.0, 39.0, 36.7, 40.1]),
    size(0.75, [24.5, 26.0, 24.8, 26.7]),
    size(1.0, [18.1, 19.5, 18.2, 20.0]),
    size(1.5, [12.1, 13.3, 12.2, 13.7]),
    size(2.5, [7.41, 7.98, 7.56, 8.21]),
    size(4.0, [4.61, 4.95, 4.7, 5.09]),
    size(6.0, [3.08, 3.3, 3.11, 3.39]),
    size(10.0, [1.83, 1.91, 1.84, 1.95]),
    size(16.0, [1.15, 1.21, 1.16, 1.24]),
    size(25.0, [0.727, 0.78, 0.734, 0.795]),
    size(35.0, [0.524, 0.554, 0.529, 0.565]),
    size(50.0, [0.387, 0.386, 0.391, 0.393]),
    size(70.0, [0.268, 0.272, 0.27, 0.277]),
    size(95.0, [0.193, 0.206, 0.195, 0.21]),
    size(120.0, [0.153, 0.161, 0.154, 0.164]),
];

#[cfg(test)]
mod tests;
