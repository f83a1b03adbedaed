//! Networks with printed answers from open textbooks. Every check names its source; where a
//! source misprints, the correction and its reason stand beside the check.
//!
//! Kuphaldt: Lessons in Electric Circuits vol. I (repository FauxFaux/lessons-in-electric-circuits,
//! commit 594fe93d). UP: OpenStax University Physics vol. 2 (osbooks-university-physics-bundle,
//! commit d0ed34a5). CP: OpenStax College Physics (osbooks-college-physics-bundle, commit fd1b25df).
//! All seen unless marked. A printed value is matched to half a unit of its last digit.

use solve::{OperatingPoint, Options, operating_point};

use crate::support::{Named, assert_close, known};

struct Textbook {
    named: Named,
    point: OperatingPoint,
}

impl Textbook {
    fn new(lines: &[&str]) -> Textbook {
        let named = Named::from_lines(lines.iter().copied());
        let point = operating_point(&named.circuit, &Options::default()).unwrap();
        Textbook { named, point }
    }

    /// Checks node voltages, each to half a unit of its last printed digit.
    #[track_caller]
    fn volt(&self, node: &str, printed: &str) -> &Textbook {
        printed_close(node, known(&self.point, self.named.nodes[node]), printed);
        self
    }

    /// Checks a branch current in ampere.
    #[track_caller]
    fn ampere(&self, branch: &str, printed: &str) -> &Textbook {
        printed_close(branch, self.point.current(self.named.branch(branch)), printed);
        self
    }

    /// Checks the power a branch takes in watt.
    #[track_caller]
    fn watt(&self, branch: &str, printed: &str) -> &Textbook {
        printed_close(branch, self.point.power(self.named.branch(branch)), printed);
        self
    }

    #[track_caller]
    fn delivered(&self, printed: &str) -> &Textbook {
        printed_close("delivered", self.point.delivered_w, printed);
        self
    }
}

/// Half a unit of the last printed digit (a printed exponent such as `42.3e-3` is understood).
#[track_caller]
fn printed_close(what: &str, ours: f64, printed: &str) {
    let (digits, exponent) = printed.split_once('e').unwrap_or((printed, "0"));
    let decimals = digits.split_once('.').map_or(0, |(_, d)| d.len()) as i32;
    let half = 0.5 * 10_f64.powi(exponent.parse::<i32>().unwrap() - decimals);
    // Exactly half-way cases may be printed either way.
    assert_close(what, ours, printed.parse().unwrap(), 1e-12, half * (1.0 + 1e-9));
}

#[test]
fn two_batteries_feeding_one_load_charge_the_weaker_one() {
    // Kuphaldt, DC network analysis (branch currents), src/dcnet.sml.
    let net =
        Textbook::new(&["V B1 1 0 28", "R R1 1 2 4", "R R2 2 0 2", "R R3 2 3 1", "V B2 3 0 7"]);
    net.volt("2", "8").ampere("R1", "5").ampere("R2", "4").ampere("R3", "1");
    assert!(net.point.power(net.named.branch("B2")) > 0.0, "B2 is being charged");
}

#[test]
fn thevenin_and_norton_equivalents_of_the_two_batteries() {
    // Kuphaldt, same network at R2: 11.2 V open, 14 A short, so 0.8 ohm.
    let open = Textbook::new(&["V B1 1 0 28", "R R1 1 2 4", "R R3 2 3 1", "V B2 3 0 7"]);
    open.volt("2", "11.2");
    let lines = ["V B1 1 0 28", "R R1 1 2 4", "R R3 2 3 1", "V B2 3 0 7", "V short 2 0 0"];
    Textbook::new(&lines).ampere("short", "14");
}

#[test]
fn an_unbalanced_bridge_on_24_volts() {
    // Kuphaldt, mesh current and node voltage methods, src/dcnet.sml.
    let net = Textbook::new(&[
        "V V1 1 0 24",
        "R R1 1 2 150",
        "R R2 1 3 50",
        "R R3 3 2 100",
        "R R4 2 0 300",
        "R R5 3 0 250",
    ]);
    net.volt("2", "17.655").volt("3", "19.310");
    net.ampere("R1", "42.299e-3").ampere("R2", "93.793e-3").ampere("R3", "16.552e-3");
    net.ampere("R4", "58.851e-3").ampere("R5", "77.241e-3").ampere("V1", "-136.092e-3");
}

#[test]
fn an_unbalanced_bridge_on_10_volts() {
    // Kuphaldt, delta-Y conversion, src/dcnet.sml, images 00251 and 10209.
    let net = Textbook::new(&[
        "V V1 1 0 10",
        "R R1 1 2 12",
        "R R2 1 3 18",
        "R R3 2 3 6",
        "R R4 2 0 18",
        "R R5 3 0 12",
    ]);
    net.volt("2", "5.294").volt("3", "4.706").ampere("V1", "-0.68627");
    let between = net.point.between(net.named.nodes["2"], net.named.nodes["3"]).unwrap();
    printed_close("2-3", between, "0.5882");
}

#[test]
fn two_nodes_with_two_sources() {
    // Kuphaldt, node voltage method, src/dcnet.sml.
    let net = Textbook::new(&[
        "V V1 11 0 10",
        "V V2 22 0 -4",
        "R r1 11 1 2",
        "R r2 1 0 4",
        "R r3 1 2 2.5",
        "R r4 2 0 5",
        "R r5 2 22 1",
    ]);
    net.volt("1", "3.809524").volt("2", "-1.547619");
}

#[test]
fn a_series_parallel_combination_on_24_volts() {
    // Kuphaldt, series-parallel circuits, src/s_p.sml.
    let lines = ["V V1 1 0 24", "R R1 1 2 100", "R R2 1 2 250", "R R3 2 0 350", "R R4 2 0 200"];
    let net = Textbook::new(&lines);
    net.volt("2", "15.37").ampere("R1", "86.27e-3").ampere("R2", "34.51e-3");
    net.ampere("R3", "43.92e-3").ampere("R4", "76.86e-3").ampere("V1", "-120.78e-3");
}

#[test]
fn most_power_arrives_when_load_and_source_resistance_match() {
    // Kuphaldt, maximum power transfer, images 10204 to 10206.
    let rows = [
        ("0.8", "7", "5.6", "39.2", "78.4"),
        ("0.5", "8.615", "4.308", "37.11", "96.49"),
        ("1.1", "5.895", "6.484", "38.22", "66.02"),
    ];
    for (ohm, ampere, volt, load_w, total_w) in rows {
        let load = format!("R RL 2 0 {ohm}");
        let net = Textbook::new(&["V Vth 1 0 11.2", "R Rth 1 2 0.8", &load]);
        net.ampere("RL", ampere).volt("2", volt).watt("RL", load_w).delivered(total_w);
    }
}

#[test]
fn an_ammeter_shunt_drops_less_than_a_millivolt() {
    // Kuphaldt, ammeter shunt, src/dcmeter.sml. Printed 0.7999 mV; 12/15001 V is 0.79995 mV, so
    // the print is cut off, not rounded: compared to one unit of its last digit.
    let net = Textbook::new(&["V V 1 0 12", "R load 1 2 15000", "R shunt 2 0 1"]);
    let volt = known(&net.point, net.named.nodes["2"]);
    assert_close("shunt", volt, 0.7999e-3, 0.0, 1e-7);
    assert_close("shunt", volt, 12.0 / 15001.0, 1e-12, 0.0);
}

#[test]
fn two_sources_and_three_branches() {
    // UP 10.3, walk-through (modules/m58455): I1 = 3, I2 = 5, I3 = -2 A, 130 W in and out.
    let net = Textbook::new(&[
        "V V1 a 0 24",
        "R R1 a b 3",
        "R R2 b 0 3",
        "R R3 b c 3",
        "R R4 c d 4",
        "V V2 d 0 29",
    ]);
    // The printed equation 3 I2 - 7 I3 = 29 puts V2's plus at d, so I3 comes back from it.
    net.ampere("R1", "3.00").ampere("R2", "5.00").ampere("R3", "-2.00").delivered("130");
}

#[test]
fn three_sources_with_the_figure_corrected() {
    // UP 10.3, first numbered example: I1 + I2 = I3, 3 I1 - 8 I2 = 0.5 - 2.3, 8 I2 + I3 =
    // 0.6 + 2.3. R1 is 1 ohm (the figure's text says 3, which contradicts the equations and the
    // printed 0.04 W); R1 and R4 share a branch, so do R2, R5 and R6, and R3 stands alone.
    let net = Textbook::new(&[
        "V V1 p 0 0.5",
        "R R1 p q 1",
        "R R4 q j 2",
        "V V3 s 0 2.3",
        "R R2 s t 5",
        "R R5 t u 1",
        "R R6 u j 2",
        "R R3 j k 1",
        "V V2 0 k 0.6",
    ]);
    net.ampere("R1", "0.20").ampere("R2", "0.30").ampere("R3", "0.50").delivered("1.09");
    net.watt("R1", "0.04");
}

#[test]
fn two_opposed_batteries_in_one_loop_with_the_misprint_corrected() {
    // UP 10.3, second example. The printed quotient shows 10 + 30 + 10 ohm, which would give
    // 0.24 A; figure text and printed powers need R3 = 20 ohm and 0.20 A.
    let net =
        Textbook::new(&["V V2 a 0 24", "R R1 a b 10", "R R2 b c 30", "V V1 c d 12", "R R3 d 0 20"]);
    net.ampere("R1", "0.20").watt("R1", "0.40").watt("R2", "1.20").watt("R3", "0.80");
    net.watt("V1", "2.40").delivered("4.80");
}

#[test]
fn a_ladder_with_two_sources() {
    // UP 10.3, problem answer: 1.5, 2, 0.5, 2.5 and 2 A, 34 W.
    let net = Textbook::new(&[
        "V V1 T a 12",
        "R R1 T b 4",
        "R R2 b a 3",
        "R R3 c b 2",
        "V V2 T c 5",
        "R R4 T c 2",
    ]);
    net.ampere("R1", "1.5").ampere("R2", "2").ampere("R3", "0.5").ampere("R4", "2.5");
    net.ampere("V2", "-2").delivered("34");
}

#[test]
fn two_batteries_with_internal_resistance_on_one_load() {
    // CP, Kirchhoff's rules example (modules/m42359): 4.75 A, -3.50 A (charged), 8.25 A, 28.5 V.
    let net = Textbook::new(&[
        "V E1 a 0 18",
        "R s1 a load 3",
        "V E2 b 0 45",
        "R s2 b load 2",
        "R R1 load 0 6",
    ]);
    net.ampere("R1", "4.75").ampere("s1", "-3.50").ampere("s2", "8.25").volt("load", "28.5");
}

#[test]
fn a_battery_sags_under_load_by_its_internal_resistance() {
    // UP 10.1 example (modules/m58453). The first terminal voltage is 11.881 V; the print says
    // 11.90, rounded a digit too far, and is not used.
    let rows = [
        ("0.1", "10", "1.188", "11.881"),
        ("0.1", "0.5", "20.00", "10.00"),
        ("0.5", "0.5", "12.00", "6.00"),
    ];
    for (inner, outer, ampere, volt) in rows {
        let (r, load) = (format!("R r 1 2 {inner}"), format!("R load 2 0 {outer}"));
        let net = Textbook::new(&["V E 1 0 12", &r, &load]);
        net.ampere("load", ampere).volt("2", volt);
    }
    Textbook::new(&["V E 1 0 12", "R r 1 2 0.1", "R load 2 0 0.5"]).watt("load", "200");
    Textbook::new(&["V E 1 0 12", "R r 1 2 0.5", "R load 2 0 0.5"]).watt("load", "72.0");
}

#[test]
fn wire_resistance_feeds_two_parallel_loads() {
    // UP 10.2 example (modules/m58454): 2.35 A, 2.35 V lost, 1.61 A and 15.5 W in R2.
    let net = Textbook::new(&["V V 1 0 12", "R R1 1 2 1", "R R2 2 0 6", "R R3 2 0 13"]);
    net.ampere("R1", "2.35").ampere("R2", "1.61").watt("R2", "15.5");
    let lost_v = net.point.between(net.named.nodes["1"], net.named.nodes["2"]).unwrap();
    printed_close("V1", lost_v, "2.35");
}

#[test]
fn one_tired_cell_among_four() {
    // UP 10.3, problem answer: 0.617 A, 3.81 W.
    let net = Textbook::new(&[
        "V c1 a 0 1.58",
        "R r1 a b 0.02",
        "V c2 c b 1.58",
        "R r2 c d 0.02",
        "V c3 e d 1.58",
        "R r3 e f 0.02",
        "V c4 g f 1.53",
        "R r4 g h 0.1",
        "R load h 0 10",
    ]);
    net.ampere("load", "0.617").watt("load", "3.81");
}

#[test]
fn a_diode_on_five_volts_through_a_kilohm() {
    // ANU ENGN2211 notes 2002, diode node 10 (seen): Is 0.07 pA, n VT = 0.026 V: 0.6461929 V,
    // 4.35 mA. The voltage is cut off, not rounded (an independent Newton iteration gives
    // 0.6461929893 V, 4.353807 mA), so it is compared to one unit of its last digit. Here
    // VT = kT/q at 27 degrees Celsius, so n = 0.026 q/(kT).
    let emission = 0.026 * 1.602_176_634e-19 / (1.380_649e-23 * 300.15);
    let diode = format!("D d 2 0 0.07e-12 {emission:?}");
    let net = Textbook::new(&["V V 1 0 5", "R R 1 2 1000", &diode]);
    assert_close("printed", known(&net.point, net.named.nodes["2"]), 0.646_192_9, 0.0, 1e-7);
    net.volt("2", "0.6461929893").ampere("R", "4.35e-3").ampere("R", "4.353807e-3");
}

#[test]
fn a_diode_with_a_tenth_of_a_volt_per_decade() {
    // Exercise in the style of Sedra and Smith (statement seen, answer from memory): 0.7 V at
    // 1 mA, 0.1 V per decade, 5 V through 1 kohm: 4.237 mA, 0.762 V. The current there is
    // i = 1 mA 10^((v - 0.7)/0.1), an exponential without the -1, below notice at 0.7 V. The
    // voltage recomputes to 0.762709 V: the remembered one is cut off, not rounded.
    let scale_v = 0.1 / std::f64::consts::LN_10;
    let saturation_a = 1e-3 * (-0.7 / scale_v).exp();
    let emission = scale_v * 1.602_176_634e-19 / (1.380_649e-23 * 300.15);
    let diode = format!("D d 2 0 {saturation_a:e} {emission:?}");
    let net = Textbook::new(&["V V 1 0 5", "R R 1 2 1000", &diode]);
    net.volt("2", "0.762709").ampere("R", "4.237e-3");
}
