//! Invented ways in, drawn at random in five tempers. Nothing here was chosen by how long the
//! planner takes on it.
//!
//! - "van": zones of a vehicle, five layers each, from loose furniture to what lies on the skin.
//!   Every part is behind one or two of the layer before, now and then of the zone beside. Further
//!   removals are drawn from what a workshop knows: rough and risky, from the other side, quicker
//!   once a neighbour is out, with a special tool past one obstacle, cut open. Eight setups (tools,
//!   positions, a second person), used by four removals in ten.
//! - "tangle": needs anywhere among all parts, so circles are common.
//! - "cover": a quarter of the parts come out at once; each other part is freed by any of several
//!   of them, and all others are wanted. This is set cover, the textbook hard case.
//! - "nest": ten layers, every part behind up to three of the layer before, two ways or more each,
//!   one target at the bottom.
//! - "choice": few parts at the bottom wanted, half the parts with five or more removals that need
//!   pairs of parts one layer up.

use access::{
    Breakage, Damage, Part, PartIdx, Presence, Problem, Removal, Setup, SetupIdx, Spread, Standing,
    Target,
};

/// The tempers, by name.
pub(crate) const KINDS: [&str; 5] = ["van", "tangle", "cover", "nest", "choice"];

/// A problem of so many parts and removals, and what is wanted.
pub(crate) fn draw(kind: &str, size: usize, removals: usize, seed: u64) -> (Problem, Vec<Target>) {
    let mut draw = Draw {
        dice: Dice(seed),
        size,
        removals,
        problem: Problem { parts: (0..size).map(part).collect(), ..Problem::default() },
    };
    let wanted = match kind {
        "van" => draw.van(),
        "tangle" => draw.tangle(),
        "cover" => draw.cover(),
        "nest" => draw.nest(),
        _ => draw.choice(),
    };
    let target =
        |part: usize| Target { name: format!("wanted {part}"), ways: vec![vec![PartIdx(part)]] };
    (draw.problem, wanted.into_iter().map(target).collect())
}

struct Draw {
    dice: Dice,
    size: usize,
    removals: usize,
    problem: Problem,
}

const ZONES: usize = 6;
const LAYERS: usize = 5;

impl Draw {
    fn van(&mut self) -> Vec<usize> {
        for index in 0..8 {
            let minutes = [1, 2, 2, 3, 5, 6, 8, 15][index] as f64;
            self.problem.setups.push(setup(index, minutes));
        }
        for part in 0..self.size {
            let needs = self.in_front(part, part % ZONES);
            self.add(part, needs, 1.0);
        }
        while self.problem.removals.len() < self.removals {
            let part = self.dice.below(self.size);
            let first = self.problem.removals[part].clone();
            let needs: Vec<usize> = first.needs.iter().map(|need| need.0).collect();
            match self.dice.below(5) {
                0 => {
                    self.add(part, needs, 0.5);
                    let percent = 10 + 10 * self.dice.below(5);
                    self.breaks(percent, Damage::MayBreak);
                }
                1 => {
                    let zone = (part + 1) % ZONES;
                    let needs = self.in_front(part, zone);
                    self.add(part, needs, 1.2);
                }
                2 => {
                    let neighbour = self.dice.below(self.size);
                    let needs = needs.into_iter().chain([neighbour]).collect();
                    self.add(part, needs, 0.6);
                }
                3 => {
                    self.add(part, needs.into_iter().skip(1).collect(), 1.5);
                    let tool = self.dice.below(4);
                    self.use_setup(tool);
                }
                _ => {
                    self.add(part, Vec::new(), 2.0);
                    self.breaks(100, Damage::Destroys);
                }
            }
        }
        for removal in 0..self.problem.removals.len() {
            if self.dice.below(10) < 4 {
                let setup = SetupIdx(self.dice.below(8));
                self.problem.removals[removal].setups.push(setup);
            }
        }
        let targets = 1 + self.dice.below(6);
        (0..targets).map(|_| self.size / 2 + self.dice.below(self.size / 2)).collect()
    }

    /// One or two parts of the layer before, of the given zone or now and then the next.
    fn in_front(&mut self, part: usize, zone: usize) -> Vec<usize> {
        let per_layer = self.size.div_ceil(LAYERS);
        let layer = part / per_layer;
        if layer == 0 {
            return Vec::new();
        }
        let count = 1 + self.dice.below(2);
        let mut needs = Vec::new();
        for _ in 0..count {
            let zone = if self.dice.below(10) == 0 { (zone + 1) % ZONES } else { zone };
            let first = (layer - 1) * per_layer;
            let in_zone: Vec<usize> =
                (first..layer * per_layer).filter(|other| other % ZONES == zone).collect();
            needs.push(in_zone[self.dice.below(in_zone.len())]);
        }
        needs
    }

    fn tangle(&mut self) -> Vec<usize> {
        for index in 0..self.removals {
            let part = index % self.size;
            let needs = match self.dice.below(6) {
                0 => Vec::new(),
                _ => (0..1 + self.dice.below(3)).map(|_| self.dice.below(self.size)).collect(),
            };
            self.add(part, needs, 1.0);
        }
        let targets = 1 + self.dice.below(6);
        (0..targets).map(|_| self.dice.below(self.size)).collect()
    }

    fn cover(&mut self) -> Vec<usize> {
        let first = self.size / 4;
        for part in 0..first {
            self.add(part, Vec::new(), 1.0);
        }
        for index in 0..self.removals - first {
            let need = self.dice.below(first);
            let part = first + index % (self.size - first);
            self.add(part, vec![need], 1.0);
            if let Some(last) = self.problem.removals.last_mut() {
                last.minutes_out = Spread::exactly(1.0);
            }
        }
        (first..self.size).collect()
    }

    fn nest(&mut self) -> Vec<usize> {
        let per_layer = self.size / 10;
        for index in 0..self.removals {
            let part = index % self.size;
            let layer = (part / per_layer).min(9);
            let mut needs = Vec::new();
            if layer > 0 {
                for _ in 0..1 + self.dice.below(3) {
                    needs.push((layer - 1) * per_layer + self.dice.below(per_layer));
                }
            }
            self.add(part, needs, 1.0);
        }
        vec![self.size - 1]
    }

    fn choice(&mut self) -> Vec<usize> {
        let layer = self.size / 4;
        let mut order: Vec<usize> = (0..self.size).collect();
        while order.len() < self.removals {
            order.push(self.size / 2 + self.dice.below(self.size / 2));
        }
        for part in order {
            let above = (part / layer).min(3).saturating_sub(1) * layer;
            let needs = match part / layer {
                0 => Vec::new(),
                _ => vec![above + self.dice.below(layer), above + self.dice.below(layer)],
            };
            self.add(part, needs, 1.0);
        }
        (self.size - 8..self.size).collect()
    }

    /// A removal of 1 to 10 minutes or so, times `factor`, in quarters of a minute.
    fn add(&mut self, part: usize, needs: Vec<usize>, factor: f64) {
        let quarters = |minutes: f64| (minutes * 4.0).round() / 4.0;
        let likely_min = quarters((1.0 + self.dice.below(37) as f64 / 4.0) * factor);
        let mut needs: Vec<usize> = needs.into_iter().filter(|need| *need != part).collect();
        needs.sort_unstable();
        needs.dedup();
        self.problem.removals.push(Removal {
            part: PartIdx(part),
            label: format!("take out part {part}"),
            needs: needs.into_iter().map(PartIdx).collect(),
            setups: Vec::new(),
            minutes_out: Spread {
                low_min: quarters(likely_min * 0.75),
                likely_min,
                high_min: quarters(likely_min * 2.0),
            },
            minutes_back: Spread::exactly(quarters(likely_min * 1.25)),
            breakage: None,
            damage: Damage::None,
        });
    }

    fn breaks(&mut self, percent: usize, damage: Damage) {
        let cost_minor = 500 * (1 + self.dice.below(30)) as u64;
        if let Some(last) = self.problem.removals.last_mut() {
            let probability = percent as f64 / 100.0;
            last.breakage = Some(Breakage { probability, cost_minor });
            last.damage = damage;
        }
    }

    fn use_setup(&mut self, setup: usize) {
        if let Some(last) = self.problem.removals.last_mut() {
            last.setups.push(SetupIdx(setup));
        }
    }
}

fn part(index: usize) -> Part {
    Part { name: format!("part {index}"), presence: Presence::Fitted }
}

fn setup(index: usize, minutes: f64) -> Setup {
    Setup {
        name: format!("setup {index}"),
        minutes_out: Spread::exactly(minutes),
        minutes_back: Spread::exactly(minutes / 2.0),
        standing: Standing::ToDo,
    }
}

/// Repeatable numbers: splitmix64 (Steele, Lea and Flood 2014).
struct Dice(u64);

impl Dice {
    fn below(&mut self, bound: usize) -> usize {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        ((z ^ (z >> 31)) % bound as u64) as usize
    }
}
