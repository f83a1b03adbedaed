//! The record as it grows: its sections, its wires counted, and which facts stay unknown. Knows how
//! the record is written and nothing of vehicles.

use std::fmt::Write as _;

use crate::{Built, Dice, Options, Seeded, Size};

/// Sections in the order in which they are written.
const SECTIONS: [&str; 6] = ["devices", "wires", "joints", "stacks", "parts", "states"];

/// Whose rules the vehicle is judged by; decides how sizes are written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Region {
    Europe,
    NorthAmerica,
    Australia,
}

/// A record half written.
pub(crate) struct Draft {
    pub(crate) dice: Dice,
    pub(crate) size: Size,
    pub(crate) options: Options,
    pub(crate) region: Region,
    /// Nominal voltage of the house side.
    pub(crate) nominal_v: f64,
    name: &'static str,
    sections: [Vec<String>; SECTIONS.len()],
    wires: usize,
    defects: Vec<Seeded>,
}

const NAMES: [&str; 12] = [
    "Curlew", "Sorrel", "Fenmoor", "Heather", "Pipit", "Rowan", "Sedge", "Teasel", "Yarrow",
    "Linnet", "Marram", "Osprey",
];

impl Draft {
    pub(crate) fn new(seed: u64, size: Size, options: Options) -> Draft {
        let mut dice = Dice::for_purpose(seed, 0);
        let region =
            dice.pick(&[Region::Europe, Region::Europe, Region::NorthAmerica, Region::Australia]);
        let nominal_v = if size.wires > 60 && dice.chance(0.2) { 24.0 } else { 12.0 };
        let name = dice.pick(&NAMES);
        let sections = Default::default();
        let defects = Vec::new();
        Draft { dice, size, options, region, nominal_v, name, sections, wires: 0, defects }
    }

    /// Wires that are still to be drawn.
    pub(crate) fn wires_left(&self) -> usize {
        self.size.wires.saturating_sub(self.wires)
    }

    /// A fact stays unknown with the share that was asked for.
    pub(crate) fn is_unknown(&mut self) -> bool {
        let share = self.options.unknown;
        self.dice.chance(share)
    }

    /// A defect of building comes with the share that was asked for.
    pub(crate) fn is_defect(&mut self) -> bool {
        let share = self.options.defects;
        self.dice.chance(share)
    }

    pub(crate) fn seeded(&mut self, check: &'static str, at: &str) {
        self.defects.push(Seeded { check, at: at.to_owned() });
    }

    pub(crate) fn line(&mut self, section: &str, line: String) {
        let at = SECTIONS.iter().position(|name| *name == section);
        self.sections[at.expect("every section is listed")].push(line);
    }

    /// A device with its kind, where it is, what it is behind, and further fields.
    pub(crate) fn device(&mut self, name: &str, kind: &str, place: &Spot, fields: &str) {
        let behind =
            if place.behind != "nothing" && self.is_unknown() { "unknown" } else { &place.behind };
        let comma = if fields.is_empty() { "" } else { ", " };
        let line = format!(
            "{name} = {{ kind = \"{kind}\", at = \"{}\", behind = \"{behind}\"{comma}{fields} }}",
            place.at
        );
        self.line("devices", line);
    }

    /// A wire; its name comes back.
    pub(crate) fn wire(&mut self, name: &str, ends: (&str, &str), laid: &Laid) {
        let size = match laid.cores {
            1 => gauge(self.region, laid.area_mm2),
            cores => format!("{cores} x {}", gauge(self.region, laid.area_mm2)),
        };
        let size = self.fact("size", &size, "it looks like its neighbour");
        let length = self.length(laid.length_m);
        let (from, to) = ends;
        let mut line = format!("{name} = \"{from} to {to}, {size}");
        if laid.cores == 1 {
            let _ = write!(line, ", {}", laid.colour);
        }
        let _ = write!(line, ", {length}");
        for piece in laid.pieces {
            let _ = write!(line, ", {piece}");
        }
        line.push('"');
        self.line("wires", line);
        self.wires += laid.cores;
    }

    /// A value as it is known: plainly, by hearsay, by guess, or not at all.
    fn fact(&mut self, what: &str, value: &str, reason: &str) -> String {
        match () {
            () if !self.is_unknown() => value.to_owned(),
            () if self.dice.chance(0.5) => format!("unknown {what}"),
            () => format!("assumed {value} because {reason}"),
        }
    }

    fn length(&mut self, length_m: f64) -> String {
        let value = match self.region {
            // A little short of three feet to the metre: the lengths are invented anyway.
            Region::NorthAmerica => format!("{} ft", (3.0 * length_m).ceil().max(1.0)),
            _ => format!("{} m", (10.0 * length_m).round().max(1.0) / 10.0),
        };
        match self.dice.below(4) {
            0 => format!("told {value} by the owner"),
            _ => self.fact("length", &value, "it goes straight there"),
        }
    }

    /// The record's text.
    pub(crate) fn finish(self) -> Built {
        let region = match self.region {
            Region::Europe => "europe",
            Region::NorthAmerica => "north america",
            Region::Australia => "australia",
        };
        let mut text = format!(
            "# {0}: an invented vehicle, drawn from a seed.\nunbury = 1\n\n[vehicle]\nname = \"{0}\"\n\
             is = \"van with a conversion that nobody drew\"\nregion = \"{region}\"\nsystem = \"{1} V\"\n\
             seen = \"by RK on 2026-05-04\"\n\n[usual]\nwire = \"seen fine, seen 105 C\"\n\
             joint = \"crimp\"\n",
            self.name, self.nominal_v
        );
        for (name, lines) in SECTIONS.iter().zip(&self.sections) {
            let _ = writeln!(text, "\n[{name}]\n{}", lines.join("\n"));
        }
        Built { text, defects: self.defects }
    }
}

/// How a wire is laid.
pub(crate) struct Laid<'a> {
    pub(crate) area_mm2: f64,
    pub(crate) length_m: f64,
    pub(crate) colour: &'a str,
    pub(crate) cores: usize,
    /// Further pieces of its line.
    pub(crate) pieces: &'a [String],
}

impl Laid<'static> {
    /// One core without further pieces.
    pub(crate) fn plain(area_mm2: f64, length_m: f64, colour: &'static str) -> Laid<'static> {
        Laid { area_mm2, length_m, colour, cores: 1, pieces: &[] }
    }
}

/// Where something is: in words, and behind which parts.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Spot {
    pub(crate) at: String,
    pub(crate) behind: String,
}

impl Spot {
    pub(crate) fn open(at: &str) -> Spot {
        Spot { at: at.to_owned(), behind: "nothing".to_owned() }
    }
}

/// Sizes that are sold, mm² (IEC 60228), each with the gauge that is taken in its place.
const SIZES: [(f64, &str); 13] = [
    (0.75, "18"),
    (1.0, "16"),
    (1.5, "14"),
    (2.5, "12"),
    (4.0, "10"),
    (6.0, "8"),
    (10.0, "6"),
    (16.0, "4"),
    (25.0, "2"),
    (35.0, "1"),
    (50.0, "1/0"),
    (70.0, "2/0"),
    (95.0, "3/0"),
];

fn gauge(region: Region, area_mm2: f64) -> String {
    let row = SIZES.iter().find(|(area, _)| *area >= area_mm2).unwrap_or(&SIZES[SIZES.len() - 1]);
    match region {
        Region::NorthAmerica => format!("{} AWG", row.1),
        _ => format!("{} mm2", row.0),
    }
}

/// Fuse ratings that are sold, ampere, each with the cross-section such a fuse is put before, mm²
/// (common practice, no source).
const LADDER: [(f64, f64); 16] = [
    (3.0, 0.75),
    (5.0, 1.0),
    (7.5, 1.5),
    (10.0, 1.5),
    (15.0, 2.5),
    (20.0, 4.0),
    (25.0, 4.0),
    (30.0, 6.0),
    (40.0, 10.0),
    (60.0, 16.0),
    (80.0, 16.0),
    (100.0, 25.0),
    (125.0, 35.0),
    (150.0, 50.0),
    (200.0, 70.0),
    (250.0, 95.0),
];

/// The fuse for a current, and the cross-section behind it: the smallest that leaves a third spare.
pub(crate) fn fuse_and_wire(current_a: f64) -> (f64, f64) {
    let row = LADDER.iter().find(|(rating, _)| *rating >= 1.3 * current_a);
    *row.unwrap_or(&LADDER[LADDER.len() - 1])
}
