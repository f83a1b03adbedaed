//! Generates circuits like those of a camper van, the same for the same seed. Shared by the
//! speed example and the tests; the values are invented and claim nothing.

use circuit::{Circuit, Element, Guard, GuardId, NodeId, REFERENCE, SingleDiode, Trip};

/// A van with a house battery behind a shunt, a starter battery with alternator, a guarded DC-DC
/// charger, a solar controller, an unregulated module, an inverter and `circuits` consumers.
pub(crate) fn van(circuits: u32, seed: u64) -> Circuit {
    let mut van = Builder {
        circuit: Circuit::new("chassis"),
        draw: Draw(seed.wrapping_mul(2).wrapping_add(1)),
    };
    let bars = van.house_battery();
    let starter = van.starter_side();
    van.charger(starter, bars);
    van.solar(bars);
    van.inverter(bars);
    for k in 0..circuits {
        van.consumer(k, bars);
    }
    van.circuit
}

/// Positive and negative busbar.
#[derive(Clone, Copy)]
struct Bars {
    plus: NodeId,
    minus: NodeId,
}

/// Numbers that look drawn at random and never change (a 64-bit linear congruence, Knuth's MMIX
/// constants, from memory).
struct Draw(u64);

impl Draw {
    fn part(&mut self) -> f64 {
        self.0 =
            self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1_u64 << 53) as f64
    }

    fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.part()
    }

    fn one_in(&mut self, count: u32) -> bool {
        self.part() * f64::from(count) < 1.0
    }
}

struct Builder {
    circuit: Circuit,
    draw: Draw,
}

impl Builder {
    fn node(&mut self, name: &str) -> NodeId {
        self.circuit.add_node(name)
    }

    fn wire(&mut self, name: &str, a: NodeId, b: NodeId, low_ohm: f64, high_ohm: f64) {
        let ohm = self.draw.between(low_ohm, high_ohm);
        self.circuit.add(name, Element::Resistor { a, b, ohm });
    }

    fn battery(&mut self, name: &str, plus: NodeId, minus: NodeId, low_v: f64, high_v: f64) {
        let rest_v = self.draw.between(low_v, high_v);
        let discharge_ohm = self.draw.between(0.003, 0.015);
        let charge_ohm = discharge_ohm * self.draw.between(1.0, 6.0);
        let element = Element::Battery { plus, minus, rest_v, discharge_ohm, charge_ohm };
        self.circuit.add(name, element);
    }

    fn house_battery(&mut self) -> Bars {
        let [post, post_minus, fused, shunt, plus, minus] =
            ["House +", "House -", "main fuse", "shunt B-", "Bus bar +", "Bus bar -"]
                .map(|n| self.node(n));
        self.battery("house", post, post_minus, 12.9, 13.4);
        self.wire("house cable", post, fused, 2e-4, 1e-3);
        self.wire("isolator", fused, plus, 1e-4, 5e-4);
        self.wire("house return", post_minus, shunt, 1e-4, 5e-4);
        self.wire("shunt", shunt, minus, 1e-4, 1.0001e-4);
        self.wire("bond", minus, REFERENCE, 3e-4, 2e-3);
        Bars { plus, minus }
    }

    fn starter_side(&mut self) -> NodeId {
        let [post, alternator] = ["Starter +", "Alternator B+"].map(|n| self.node(n));
        self.battery("starter", post, REFERENCE, 12.3, 12.8);
        let (set_v, limit_a) = (self.draw.between(13.9, 14.6), self.draw.between(60.0, 150.0));
        if !self.draw.one_in(3) {
            let source = Element::LimitedSource {
                plus: alternator,
                minus: REFERENCE,
                set_v,
                droop_ohm: 0.02,
                limit_a,
            };
            self.circuit.add("alternator", source);
        }
        self.wire("alternator cable", alternator, post, 5e-4, 2e-3);
        self.wire("engine load", post, REFERENCE, 0.35, 1.0);
        post
    }

    fn charger(&mut self, starter: NodeId, bars: Bars) {
        let [input, output] = ["charger IN", "charger OUT"].map(|n| self.node(n));
        let lock_out = self.lock_out(input);
        self.wire("charger feed", starter, input, 0.004, 0.03);
        let element = Element::Converter {
            in_plus: input,
            in_minus: REFERENCE,
            out_plus: output,
            out_minus: bars.minus,
            set_v: 14.4,
            droop_ohm: 0.01,
            limit_a: self.draw.between(10.0, 40.0),
            power_w: f64::INFINITY,
            efficiency: self.draw.between(0.85, 0.93),
            idle_w: 3.0,
        };
        self.circuit.add_while("DC-DC charger", element, Some(lock_out));
        self.wire("charger output", output, bars.plus, 0.002, 0.01);
    }

    fn lock_out(&mut self, sense: NodeId) -> GuardId {
        self.circuit.add_guard(Guard {
            name: "charger lock-out".into(),
            sense: circuit::Sense::Between(sense, REFERENCE),
            trip: Trip::LowVoltage { off_below_v: 12.0, on_from_v: 13.2 },
            starts_on: true,
        })
    }

    fn solar(&mut self, bars: Bars) {
        let [controller, module, blocked] =
            ["controller BAT+", "module +", "module blocked"].map(|n| self.node(n));
        let element = Element::PowerSource {
            plus: controller,
            minus: bars.minus,
            watt: self.draw.between(5.0, 200.0),
            set_v: self.draw.between(13.6, 14.4),
            droop_ohm: 0.02,
            limit_a: 15.0,
        };
        self.circuit.add("solar controller", element);
        self.wire("controller cable", controller, bars.plus, 0.004, 0.02);
        let diode = SingleDiode {
            light_a: self.draw.between(0.0, 8.0),
            saturation_a: 2.5e-10,
            series_ohm: 0.25,
            shunt_ohm: 82.0,
            modified_ideality_v: 0.917,
        };
        let panel = Element::SolarModule { plus: module, minus: REFERENCE, diode };
        self.circuit.add("unregulated module", panel);
        self.wire("module cable", module, blocked, 0.02, 0.1);
        let blocking = Element::Diode {
            anode: blocked,
            cathode: bars.plus,
            saturation_a: 1e-6,
            emission: 1.1,
        };
        self.circuit.add("blocking diode", blocking);
    }

    fn inverter(&mut self, bars: Bars) {
        let [plus, minus] = ["inverter +", "inverter -"].map(|n| self.node(n));
        self.wire("inverter feed", bars.plus, plus, 5e-4, 2e-3);
        let watt = self.draw.between(12.0, 600.0);
        let input = Element::ConstantPower { plus, minus, watt, cut_out_v: 10.5 };
        self.circuit.add("inverter", input);
        self.wire("inverter return", minus, bars.minus, 4e-4, 1e-3);
    }

    fn consumer(&mut self, k: u32, bars: Bars) {
        let stud = |part: &str| format!("circuit {k} {part}");
        let [fused, switched, joint, far, plus, minus, back] =
            ["fused", "switched", "joint", "far", "load +", "load -", "return joint"]
                .map(|part| self.node(&stud(part)));
        let end = if k.is_multiple_of(4) { REFERENCE } else { bars.minus };
        let is_corroded = self.draw.one_in(12);
        let worst_ohm = if is_corroded { 0.6 } else { 0.002 };
        self.wire(&stud("fuse"), bars.plus, fused, 0.003, 0.018);
        self.wire(&stud("switch"), fused, switched, 0.005, 0.02);
        self.wire(&stud("wire out"), switched, joint, 0.01, 0.08);
        self.wire(&stud("crimp"), joint, far, 0.0005, worst_ohm);
        self.wire(&stud("wire on"), far, plus, 0.01, 0.08);
        let load = self.load(k, plus, minus);
        self.circuit.add(stud("load"), load);
        self.wire(&stud("wire back"), minus, back, 0.01, 0.08);
        self.wire(&stud("lug"), back, end, 0.0005, 0.002);
    }

    fn load(&mut self, k: u32, plus: NodeId, minus: NodeId) -> Element {
        match k % 5 {
            0 => self.power(plus, minus, 5.0, 30.0, 9.0),
            1 => Element::Resistor { a: plus, b: minus, ohm: self.draw.between(3.0, 40.0) },
            2 => self.power(plus, minus, 20.0, 70.0, 10.0),
            3 => Element::Lamp {
                a: plus,
                b: minus,
                rated_a: self.draw.between(0.4, 2.0),
                rated_v: 12.0,
                exponent: 0.55,
            },
            _ => Element::Motor {
                plus,
                minus,
                armature_ohm: self.draw.between(0.4, 2.0),
                back_emf_v: self.draw.between(7.0, 11.0),
            },
        }
    }

    fn power(
        &mut self,
        plus: NodeId,
        minus: NodeId,
        low_w: f64,
        high_w: f64,
        cut_v: f64,
    ) -> Element {
        let watt = self.draw.between(low_w, high_w);
        Element::ConstantPower { plus, minus, watt, cut_out_v: cut_v }
    }
}
