//! Fault variants against one `ngspice` process with `alter` and `op`, and what a solve and a
//! variant cost as the circuit grows.

use std::fmt::Write as _;
use std::fs;
use std::process::{Command, Stdio};
use std::time::Instant;

use anyhow::{Context as _, Result, ensure};
use serde_json::Value;

use super::{Line, Target, built_example, line, peak_mb, spread};
use crate::files::root;
use crate::shell::{printed, target_folder};

/// Rounds; an ngspice round takes seconds.
const ROUNDS: usize = 5;
const TIMES_FASTER_THAN_NGSPICE: f64 = 20.0;
const PAIRS_MS: f64 = 1000.0;
const MOST_MB: f64 = 200.0;
/// The sums of all voltages read agree to this part.
const SUM_PART: f64 = 1e-6;
/// Trees of 201 nodes joined in a row.
const TREES: [usize; 7] = [1, 2, 4, 8, 12, 18, 25];
const FIGURE: &str = "docs/figures/cost-against-size.svg";

/// Singles and pairs of the 200-node tree.
pub(super) fn variants() -> Result<Vec<Line>> {
    let example = built_example("solve", "variants")?;
    let deck = target_folder().join("bench-variants.cir");
    fs::write(&deck, printed(Command::new(&example).arg("--deck"))?)
        .with_context(|| format!("cannot write {}", deck.display()))?;
    let (mut singles, mut pairs, mut ratios, mut peaks) = (vec![], vec![], vec![], vec![]);
    for _ in 0..ROUNDS {
        let answer = answer(Command::new(&example))?;
        let singles_ms = number(&answer, "singles_ms")?;
        let start = Instant::now();
        let text = printed(Command::new("ngspice").args(["-b", "-n"]).arg(&deck))?;
        ratios.push(start.elapsed().as_secs_f64() * 1e3 / singles_ms);
        same_sum(number(&answer, "singles_sum_v")?, &text)?;
        singles.push(singles_ms);
        pairs.push(number(&answer, "pairs_ms")?);
        peaks.push(peak_mb(&mut Command::new(&example))?);
    }
    Ok(vec![
        line("2,000 single faults, ms", spread(singles)?, Target::None),
        line(
            "one ngspice with alter / single faults, times",
            spread(ratios)?,
            Target::AtLeast(TIMES_FASTER_THAN_NGSPICE),
        ),
        line("20,000 pairs of faults, ms", spread(pairs)?, Target::AtMost(PAIRS_MS)),
        line("variants, peak resident memory, MB", spread(peaks)?, Target::AtMost(MOST_MB)),
    ])
}

fn answer(mut command: Command) -> Result<Value> {
    let text = printed(command.stdin(Stdio::null()))?;
    serde_json::from_str(&text).context("the example printed no JSON")
}

fn number(answer: &Value, key: &str) -> Result<f64> {
    answer[key].as_f64().with_context(|| format!("no number `{key}` in {answer}"))
}

/// A speed is worth nothing if the answers differ.
fn same_sum(ours_v: f64, text: &str) -> Result<()> {
    let read = |line: &str| line.strip_prefix("v(")?.split_once(" = ")?.1.trim().parse().ok();
    let theirs_v: f64 = text.lines().filter_map(read).collect::<Vec<f64>>().iter().sum();
    let differ_v = (ours_v - theirs_v).abs();
    ensure!(
        differ_v <= SUM_PART * theirs_v.abs(),
        "voltages read sum up to {ours_v} V here and {theirs_v} V in ngspice"
    );
    Ok(())
}

/// One size: nodes, one operating point, what variants share, one variant; microseconds.
struct Size {
    nodes: f64,
    point_us: f64,
    base_us: f64,
    variant_us: f64,
}

/// One of the times of a size.
type Pick = fn(&Size) -> f64;

/// Measures cost against size, prints it and draws the figure.
pub(crate) fn sizes() -> Result<()> {
    let example = built_example("solve", "variants")?;
    println!("{:>6} {:>12} {:>12} {:>12}", "nodes", "solve, us", "base, us", "variant, us");
    let mut sizes = Vec::new();
    for trees in TREES {
        let mut command = Command::new(&example);
        command.args(["--trees", &trees.to_string()]);
        let answer = answer(command)?;
        let size = Size {
            nodes: number(&answer, "nodes")?,
            point_us: number(&answer, "point_us")?,
            base_us: number(&answer, "base_us")?,
            variant_us: number(&answer, "variant_us")?,
        };
        println!(
            "{:>6} {:>12.0} {:>12.0} {:>12.1}",
            size.nodes, size.point_us, size.base_us, size.variant_us
        );
        sizes.push(size);
    }
    let path = root().join(FIGURE);
    fs::write(&path, figure(&sizes)).with_context(|| format!("cannot write {}", path.display()))
}

/// Both axes logarithmic: nodes from 100 to 10,000 over 400 px, 1 us to 1 s over 360 px.
fn figure(sizes: &[Size]) -> String {
    let x = |nodes: f64| 70.0 + 200.0 * (nodes.log10() - 2.0);
    let y = |us: f64| 380.0 - 60.0 * us.max(1.0).log10();
    let mut svg = String::from(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 620 430\" \
         font-family=\"sans-serif\" font-size=\"12\">\n\
         <title>Time of a solve and of a variant against nodes</title>\n\
         <rect width=\"620\" height=\"430\" fill=\"white\"/>\n",
    );
    for (us, label) in [
        (1.0, "1 us"),
        (1e1, "10 us"),
        (1e2, "100 us"),
        (1e3, "1 ms"),
        (1e4, "10 ms"),
        (1e5, "100 ms"),
        (1e6, "1 s"),
    ] {
        let at = y(us);
        let _ = writeln!(
            svg,
            "<path d=\"M70 {at}H470\" stroke=\"#ddd\"/><text x=\"62\" y=\"{}\" text-anchor=\"end\">{label}</text>",
            at + 4.0
        );
    }
    for (nodes, label) in [(1e2, "100"), (1e3, "1,000"), (1e4, "10,000 nodes")] {
        let at = x(nodes);
        let _ = writeln!(
            svg,
            "<path d=\"M{at} 20V380\" stroke=\"#ddd\"/><text x=\"{at}\" y=\"400\" text-anchor=\"middle\">{label}</text>"
        );
    }
    let curves: [(&str, &str, Pick); 3] = [
        ("#b00", "all that variants share", |s| s.base_us),
        ("#06c", "one full solve", |s| s.point_us),
        ("#080", "one variant", |s| s.variant_us),
    ];
    for (colour, label, of) in curves {
        let points: Vec<String> =
            sizes.iter().map(|s| format!("{:.1},{:.1}", x(s.nodes), y(of(s)))).collect();
        let end_y = sizes.last().map_or(0.0, |s| y(of(s)));
        let _ = writeln!(
            svg,
            "<polyline points=\"{}\" fill=\"none\" stroke=\"{colour}\" stroke-width=\"2\"/>\
             <text x=\"476\" y=\"{:.1}\" fill=\"{colour}\">{label}</text>",
            points.join(" "),
            end_y + 4.0
        );
    }
    svg.push_str("</svg>\n");
    svg
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn other_voltages_than_ngspice_are_no_speed() {
        let text = "v(n4_busp) = 1.0e+00\nNo. of Data Rows : 1\nv(n5_e) = 2.5e+00\n";
        assert!(same_sum(3.5, text).is_ok());
        assert!(same_sum(3.6, text).is_err());
        assert!(same_sum(3.5, "").is_err());
    }

    #[test]
    fn a_decade_of_time_is_sixty_pixels_up() {
        let size = |us| Size { nodes: 1000.0, point_us: us, base_us: us, variant_us: us };
        let svg = figure(&[size(10.0), size(100.0)]);
        assert!(svg.contains("points=\"270.0,320.0 270.0,260.0\""), "{svg}");
    }
}
