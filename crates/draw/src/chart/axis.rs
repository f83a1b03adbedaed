//! Axes: where a value stands on paper, and which values get a mark.

/// How values are spread along an axis.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Scale {
    /// Equal steps for equal differences.
    Linear,
    /// Equal steps for equal ratios; only values above zero.
    Logarithmic,
}

/// An axis between two points of the paper.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Axis {
    scale: Scale,
    low: f64,
    high: f64,
    step: f64,
    start: f64,
    end: f64,
}

/// A mark on an axis.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Tick {
    pub(crate) value: f64,
    /// Its place on paper, points.
    pub(crate) at: f64,
    /// What is written at it; empty at marks between.
    pub(crate) text: String,
}

impl Axis {
    /// An axis from `start` to `end` (points, either way round) that covers all values, with ends that
    /// are marks. `room` is what a mark with its words needs, points. `None` without a value that the
    /// scale can show.
    ///
    /// Linear: steps of 1, 2 or 5 times a power of ten, as many as there is room for. Logarithmic: from
    /// a power of ten to a power of ten. Checked by `tests::axis`.
    pub(crate) fn covering(
        scale: Scale,
        values: impl IntoIterator<Item = f64>,
        (start, end): (f64, f64),
        room: f64,
    ) -> Option<Axis> {
        let can = |value: &f64| value.is_finite() && (scale == Scale::Linear || *value > 0.0);
        let values: Vec<f64> = values.into_iter().filter(can).collect();
        let least = values.iter().copied().reduce(f64::min)?;
        let most = values.iter().copied().reduce(f64::max)?;
        Some(match scale {
            Scale::Linear => linear(least, most, start, end, room),
            Scale::Logarithmic => {
                let low = 10.0_f64.powf((least.log10() + 1e-9).floor());
                let high = 10.0_f64.powf((most.log10() - 1e-9).ceil());
                let high = if high > low { high } else { 10.0 * low };
                Axis { scale, low, high, step: 0.0, start, end }
            }
        })
    }

    /// A linear axis that begins and ends at these very values, with marks between.
    pub(crate) fn exactly((low, high): (f64, f64), ends: (f64, f64), room: f64) -> Option<Axis> {
        let around = Axis::covering(Scale::Linear, [low, high], ends, room)?;
        (low < high).then_some(Axis { low, high, ..around })
    }

    pub(crate) fn low(&self) -> f64 {
        self.low
    }

    pub(crate) fn high(&self) -> f64 {
        self.high
    }

    /// Where it begins and ends on paper, points.
    pub(crate) fn ends(&self) -> (f64, f64) {
        (self.start, self.end)
    }

    /// From one mark to the next; zero on a logarithmic axis.
    pub(crate) fn step(&self) -> f64 {
        self.step
    }

    /// Where a value stands, points: `start + (end - start) (v - low)/(high - low)`, on a logarithmic
    /// axis with the logarithms of all three. What lies beyond an end is put on it.
    pub(crate) fn at(&self, value: f64) -> f64 {
        let share = match self.scale {
            Scale::Linear => (value - self.low) / (self.high - self.low),
            Scale::Logarithmic => {
                (value.max(self.low) / self.low).ln() / (self.high / self.low).ln()
            }
        };
        self.start + (self.end - self.start) * share.clamp(0.0, 1.0)
    }

    /// Its marks, lowest first.
    pub(crate) fn ticks(&self) -> Vec<Tick> {
        let tick = |value: f64, text: String| Tick { value, at: self.at(value), text };
        match self.scale {
            Scale::Linear => {
                let first = (self.low / self.step - 1e-9).ceil();
                let count = ((self.high / self.step + 1e-9).floor() - first).max(0.0) as u32;
                let value = |k: u32| (first + f64::from(k)) * self.step;
                (0..=count).map(|k| tick(value(k), plain(value(k), self.step))).collect()
            }
            Scale::Logarithmic => {
                let mut ticks = Vec::new();
                let mut decade = self.low;
                while decade <= self.high * (1.0 + 1e-9) {
                    ticks.push(tick(decade, plain(decade, decade)));
                    let between = (2..10).map(|k| decade * f64::from(k));
                    let inside = between.filter(|value| *value < self.high * (1.0 - 1e-9));
                    ticks.extend(inside.map(|value| tick(value, String::new())));
                    decade *= 10.0;
                }
                ticks
            }
        }
    }
}

fn linear(least: f64, most: f64, start: f64, end: f64, room: f64) -> Axis {
    /// Differences smaller than this part of the values themselves are rounding.
    const ROUNDING: f64 = 1e-9;
    let size = most.abs().max(least.abs());
    let is_point = most - least <= ROUNDING * size;
    let span = if is_point { if size > 0.0 { 0.1 * size } else { 1.0 } } else { most - least };
    let steps = ((end - start).abs() / room).floor().clamp(2.0, 10.0);
    let mut step = nice(span / steps);
    loop {
        let low = step * (least / step + 1e-9).floor();
        let high = step * (most / step - 1e-9).ceil();
        let high = if high > low { high } else { low + step };
        if (high - low) / step <= steps + 1e-6 {
            return Axis { scale: Scale::Linear, low, high, step, start, end };
        }
        step = nice(step * 1.5);
    }
}

/// The smallest of 1, 2, 5 times a power of ten that is not less.
fn nice(step: f64) -> f64 {
    let power = 10.0_f64.powf(step.log10().floor());
    let steps = [1.0, 2.0, 5.0, 10.0].map(|k| k * power);
    steps.into_iter().find(|nice| *nice >= step * (1.0 - 1e-9)).unwrap_or(10.0 * power)
}

/// A number as it stands at a mark: as many decimals as the step has, thousands apart; very large and
/// very small ones with a power of ten.
fn plain(value: f64, step: f64) -> String {
    const LARGE: f64 = 1e5;
    const SMALL: f64 = 1e-4;
    if value.abs() >= LARGE || (value != 0.0 && step < SMALL) {
        return with_power(value);
    }
    let decimals = (-step.log10().floor()).clamp(0.0, 9.0) as usize;
    let text = format!("{:.decimals$}", value.abs());
    let (whole, rest) = text.split_at(text.find('.').unwrap_or(text.len()));
    let mut apart = String::new();
    for (k, digit) in whole.chars().enumerate() {
        if k > 0 && (whole.len() - k).is_multiple_of(3) && whole.len() > 4 {
            apart.push('\u{a0}');
        }
        apart.push(digit);
    }
    let is_zero = text.chars().all(|digit| matches!(digit, '0' | '.'));
    let sign = if value < 0.0 && !is_zero { "\u{2212}" } else { "" };
    format!("{sign}{apart}{rest}")
}

/// `2·10⁸`, to two digits.
fn with_power(value: f64) -> String {
    let power = value.abs().log10().floor();
    let digits = format!("{:.1}", value / 10.0_f64.powf(power)).replace('-', "\u{2212}");
    let digits = digits.trim_end_matches(".0");
    let power = format!("{power:.0}");
    let raised = power.chars().map(|digit| match digit {
        '-' => '\u{207b}',
        '1' => '\u{b9}',
        '2' => '\u{b2}',
        '3' => '\u{b3}',
        digit => char::from_u32(0x2070 + digit.to_digit(10).unwrap_or(0)).unwrap_or(digit),
    });
    let raised: String = raised.collect();
    match digits {
        "1" => format!("10{raised}"),
        digits => format!("{digits}·10{raised}"),
    }
}
