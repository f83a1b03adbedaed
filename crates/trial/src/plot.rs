//! The figure of the trial as SVG: minutes by policy, and what was stated against what held. Colours
//! follow the reader's light or dark scheme.

use std::fmt::Write as _;

use crate::measures::{BINS, Bin};
use crate::report::Row;

const WIDTH: f64 = 860.0;
const HEIGHT: f64 = 300.0;
/// The left panel: bars.
const NAMES: f64 = 120.0;
const BARS_END: f64 = 500.0;
const TOP: f64 = 52.0;
const ROW: f64 = 36.0;
const BAR: f64 = 16.0;
/// The right panel: a square.
const LEFT: f64 = 610.0;
const SIDE: f64 = 190.0;

const STYLE: &str = "<style>
  svg { color-scheme: light dark; font-family: system-ui, sans-serif; font-size: 12px; }
  text { fill: #222; } .quiet { fill: #666; } .line { stroke: #999; fill: none; }
  .bar { fill: #b7bfc9; } .ours { fill: #1f6f8b; } .mark { stroke: #222; fill: none; stroke-width: 1.5; }
  .dot { fill: #1f6f8b; }
  @media (prefers-color-scheme: dark) {
    text { fill: #e6e6e6; } .quiet { fill: #a3a3a3; } .line { stroke: #777; }
    .bar { fill: #5b6470; } .ours { fill: #58b0cf; } .mark { stroke: #e6e6e6; } .dot { fill: #58b0cf; }
  }
</style>
";

pub(crate) fn draw(rows: &[Row], bins: &[Bin; BINS]) -> String {
    let mut svg = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {WIDTH} {HEIGHT}\" role=\"img\" \
         aria-labelledby=\"title\">\n<title id=\"title\">Minutes to the proven repair by policy, and \
         stated probability against what held</title>\n{STYLE}"
    );
    bars(&mut svg, rows);
    square(&mut svg, bins);
    svg += "</svg>\n";
    svg
}

fn bars(svg: &mut String, rows: &[Row]) {
    let most = rows.iter().map(|row| row.p90).fold(1.0, f64::max);
    let x = |minutes: f64| NAMES + (BARS_END - NAMES) * (minutes / (1.05 * most)).min(1.0);
    let _ = writeln!(
        svg,
        "<text x=\"8\" y=\"20\" font-weight=\"600\">Minutes to the proven repair</text>\
         <text x=\"8\" y=\"38\" class=\"quiet\">bar: mean with its 95 % interval; tick: 90th percentile</text>"
    );
    for (at, row) in rows.iter().enumerate() {
        let y = TOP + ROW * at as f64;
        let middle = y + 0.5 * BAR;
        let class = if at == 0 { "ours" } else { "bar" };
        let (end, p90) = (x(row.mean), x(row.p90));
        let (low, high) = (x(row.mean_within.0), x(row.mean_within.1));
        let _ = writeln!(
            svg,
            "<text x=\"{:.1}\" y=\"{:.1}\" text-anchor=\"end\">{}</text>\
             <rect x=\"{NAMES}\" y=\"{y:.1}\" width=\"{:.1}\" height=\"{BAR}\" class=\"{class}\"/>\
             <path d=\"M{low:.1} {middle:.1}H{high:.1}M{p90:.1} {y:.1}v{BAR}\" class=\"mark\"/>\
             <text x=\"{:.1}\" y=\"{:.1}\">{:.0}</text>",
            NAMES - 8.0,
            middle + 4.0,
            row.policy,
            end - NAMES,
            p90.max(high) + 6.0,
            middle + 4.0,
            row.mean
        );
    }
}

fn square(svg: &mut String, bins: &[Bin; BINS]) {
    let x = |share: f64| LEFT + SIDE * share;
    let y = |share: f64| TOP + SIDE * (1.0 - share);
    let total: usize = bins.iter().map(|bin| bin.count).sum();
    let bottom = TOP + SIDE;
    let _ = writeln!(
        svg,
        "<text x=\"{0:.1}\" y=\"20\" font-weight=\"600\">Stated against what held</text>\
         <text x=\"{0:.1}\" y=\"38\" class=\"quiet\">area of a dot: number of statements</text>\
         <path d=\"M{LEFT} {TOP}V{bottom}H{1:.1}M{LEFT} {bottom}L{1:.1} {TOP}\" class=\"line\"/>",
        LEFT - 40.0,
        LEFT + SIDE
    );
    for tenth in [0, 5, 10] {
        let share = f64::from(tenth) / 10.0;
        let _ = writeln!(
            svg,
            "<text x=\"{:.1}\" y=\"{:.1}\" text-anchor=\"middle\" class=\"quiet\">{2} %</text>\
             <text x=\"{3:.1}\" y=\"{4:.1}\" text-anchor=\"end\" class=\"quiet\">{2} %</text>",
            x(share),
            bottom + 16.0,
            10 * tenth,
            LEFT - 6.0,
            y(share) + 4.0
        );
    }
    let _ = writeln!(
        svg,
        "<text x=\"{:.1}\" y=\"{:.1}\" text-anchor=\"middle\">stated</text>",
        x(0.5),
        bottom + 34.0
    );
    for bin in bins.iter().filter(|bin| bin.count > 0) {
        let radius = 2.0 + 14.0 * (bin.count as f64 / total as f64).sqrt();
        let _ = writeln!(
            svg,
            "<circle cx=\"{:.1}\" cy=\"{:.1}\" r=\"{radius:.1}\" class=\"dot\"/>",
            x(bin.stated),
            y(bin.held)
        );
    }
}
