//! Small random vehicles: sense and nonsense alike, for nothing in a record keeps a wire from being
//! on the wrong stud.

use std::fmt::Write;

/// A generator of numbers that never changes: x' = 6364136223846793005 x + 1442695040888963407
/// modulo 2^64, upper bits used (Knuth's constants, from memory).
pub(crate) struct Dice(u64);

impl Dice {
    pub(crate) fn new(seed: u64) -> Dice {
        Dice(seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) ^ 0x5851_f42d_4c95_7f2d)
    }

    fn below(&mut self, bound: usize) -> usize {
        self.0 =
            self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        ((self.0 >> 33) as usize) % bound
    }

    fn chance(&mut self, percent: usize) -> bool {
        self.below(100) < percent
    }

    fn pick<'t, T>(&mut self, from: &'t [T]) -> &'t T {
        &from[self.below(from.len())]
    }
}

/// Kind, terminals on the feed, terminals on the return, terminals on the mains side.
type Sort =
    (&'static str, &'static [&'static str], &'static [&'static str], &'static [&'static str]);

const SORTS: [Sort; 25] = [
    ("lfp battery", &[".+"], &[".-"], &[]),
    ("agm battery", &[".+"], &[".-"], &[]),
    ("starter battery", &[".+"], &[".-"], &[]),
    ("alternator", &[".+"], &[".-"], &[]),
    ("isolator", &[".in", ".out"], &[], &[]),
    ("isolator", &[".in", ".out"], &[], &[]),
    ("strip fuse", &[".in", ".out"], &[], &[]),
    ("shunt", &[], &[".battery", ".system"], &[]),
    ("busbar", &[""], &[""], &[""]),
    ("chassis point", &[], &[""], &[]),
    ("chassis point", &[], &[""], &[]),
    ("diode", &[".in", ".out"], &[], &[]),
    ("compressor fridge", &[".+"], &[".-"], &[]),
    ("filament lamp", &[".+"], &[".-"], &[]),
    ("motor", &[".+"], &[".-"], &[]),
    ("combiner relay", &[".a", ".b"], &[".-"], &[]),
    ("dc-dc charger", &[".in+", ".out+", ".run"], &[".-"], &[]),
    ("isolated dc-dc charger", &[".in+", ".out+"], &[".in-", ".out-"], &[]),
    ("solar module", &[".+"], &[".-"], &[]),
    ("solar controller", &[".pv+", ".+"], &[".pv-", ".-"], &[]),
    ("mains charger", &[".+"], &[".-"], &[".ac.L", ".ac.N", ".ac.PE"]),
    ("other", &[".+"], &[".-"], &[]),
    ("inverter", &[".+"], &[".-"], &[".out.L", ".out.N", ".out.PE"]),
    (
        "inverter charger",
        &[".+"],
        &[".-"],
        &[".in.L", ".in.N", ".in.PE", ".out.L", ".out.N", ".out.PE"],
    ),
    ("monitor", &[".+", ".shunt"], &[], &[]),
];

const MAINS: [Sort; 4] = [
    ("shore inlet", &[], &[], &[".L", ".N", ".PE"]),
    ("consumer unit", &[], &[], &[".in.L", ".in.N", ".in.PE", ".out.L", ".out.N", ".out.PE"]),
    ("mains socket", &[], &[], &[".L", ".N", ".PE"]),
    ("earth stud", &[], &[], &[""]),
];

/// Devices, wires and state of a random vehicle, as [`crate::see`] wants them.
pub(crate) fn vehicle(dice: &mut Dice) -> (String, String, String) {
    let with_mains = dice.chance(40);
    let mut sorts: Vec<Sort> = vec![*dice.pick(&SORTS[..3])];
    for _ in 0..2 + dice.below(5) {
        let from: &[Sort] = if with_mains && dice.chance(40) { &MAINS } else { &SORTS };
        sorts.push(*dice.pick(from));
    }
    let mut devices = String::new();
    let mut names: [Vec<String>; 3] = Default::default();
    for (index, (kind, plus, minus, mains)) in sorts.iter().enumerate() {
        writeln!(devices, "d{index} = {{ kind = \"{kind}\" }}").expect("text takes all");
        for (group, terminals) in names.iter_mut().zip([plus, minus, mains]) {
            group.extend(terminals.iter().map(|terminal| format!("d{index}{terminal}")));
        }
    }
    let wires = wires(dice, &names);
    (devices, wires, state(dice, &sorts))
}

fn wires(dice: &mut Dice, names: &[Vec<String>; 3]) -> String {
    let all: Vec<&String> = names.iter().flatten().collect();
    let mut wires = String::new();
    for index in 0..3 + dice.below(8) {
        let group: Vec<&String> =
            if dice.chance(15) { all.clone() } else { dice.pick(names).iter().collect() };
        if group.is_empty() {
            continue;
        }
        let (from, to) = (*dice.pick(&group), *dice.pick(&group));
        if dice.chance(8) || from == to {
            writeln!(wires, "w{index} = \"{from} to unknown\"").expect("text takes all");
        } else {
            writeln!(wires, "w{index} = \"{from} to {to}\"").expect("text takes all");
        }
    }
    wires
}

fn state(dice: &mut Dice, sorts: &[Sort]) -> String {
    let can_open = ["isolator", "strip fuse", "shunt", "consumer unit"];
    let mut list = |fits: &dyn Fn(&str) -> bool, percent: usize| {
        let mut chosen = Vec::new();
        for (index, sort) in sorts.iter().enumerate() {
            if fits(sort.0) && dice.chance(percent) {
                chosen.push(format!("\"d{index}\""));
            }
        }
        chosen.join(", ")
    };
    let open = list(&|kind| can_open.contains(&kind), 40);
    let on = list(&|kind| kind.starts_with("inverter"), 60);
    let engine = if dice.chance(50) { "running" } else { "off" };
    let shore = if dice.chance(50) { "plugged" } else { "unplugged" };
    let sun = if dice.chance(50) { 600 } else { 0 };
    format!(
        "open = [{open}], on = [{on}], engine = \"{engine}\", shore = \"{shore}\", sun = \"{sun} W/m2\""
    )
}
