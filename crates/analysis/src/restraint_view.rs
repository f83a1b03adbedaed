//! Heavy things, what a crash or hard driving pulls on them, and whether what holds them falls short.

use model::{Attribute, Device};
use restraint::{CARGO_IN_MOTION, CRASH_AS_FOR_SEATS, Comparison, Criterion, FindOut, Verdict};
use units::Kilogram;

use crate::case::Case;
use crate::spaces::{Space, space};

/// A heavy thing.
#[derive(Clone, Debug, PartialEq)]
pub struct RestraintRow {
    /// Its name in the record.
    pub item: String,
    /// What people call it.
    pub label: String,
    /// What it weighs, with unit and origin.
    pub mass: String,
    /// What holds it, in words; empty when not recorded.
    pub held_by: String,
    /// Where it is, if that is recorded.
    pub space: Option<Space>,
    /// Forward, rearward, left, right, up, down.
    pub sides: [RestraintSide; 6],
    /// What would decide what is open.
    pub find_out: Vec<String>,
}

/// One direction of a heavy thing.
#[derive(Clone, Debug, PartialEq)]
pub struct RestraintSide {
    /// `falls short`, `cannot tell`, `within rating` or `not judged`.
    pub verdict: String,
    /// The figures, in words.
    pub words: String,
    /// The pull, N; absent where nothing is judged.
    pub load_n: Option<f64>,
    /// The most that holds it, N; absent where that is not known.
    pub at_most_n: Option<f64>,
}

impl Case {
    /// Everything added to the vehicle that weighs enough for it to matter what holds it, heaviest
    /// first.
    pub fn restraint(&self) -> Vec<RestraintRow> {
        let devices = self.vehicle().devices.iter().map(|(_, device)| device);
        let added = devices.filter(|device| !device.base_vehicle);
        let mut rows: Vec<(f64, RestraintRow)> = added
            .filter_map(|device| Some((device, device.number(Attribute::Mass)?)))
            .filter(|(_, mass_kg)| *mass_kg >= checks::HEAVY_KG)
            .map(|(device, mass_kg)| (mass_kg, row(device, mass_kg)))
            .collect();
        rows.sort_by(|a, b| b.0.total_cmp(&a.0).then_with(|| a.1.item.cmp(&b.1.item)));
        rows.into_iter().map(|(_, row)| row).collect()
    }

    /// The figures behind [`Case::restraint`], what they were written for and how far they go.
    pub fn restraint_sources(&self) -> Vec<String> {
        [CRASH_AS_FOR_SEATS, CARGO_IN_MOTION]
            .iter()
            .map(|criterion| {
                format!(
                    "{} ({}): written for {}; {}",
                    criterion.source, criterion.status, criterion.written_for, criterion.used_as
                )
            })
            .collect()
    }
}

fn row(device: &Device, mass_kg: f64) -> RestraintRow {
    let held = checks::held(mass_kg, device.mounting.as_ref());
    let compared = |criterion: &Criterion| restraint::compare(&held, criterion).unwrap_or_default();
    let all: Vec<Comparison> =
        [CRASH_AS_FOR_SEATS, CARGO_IN_MOTION].iter().flat_map(compared).collect();
    let side =
        |direction: restraint::Direction| side(all.iter().find(|c| c.direction == direction));
    let sideways = side(restraint::Direction::Sideways);
    let mut find_out: Vec<String> =
        all.iter().flat_map(|compared| compared.find_out.iter().map(find_out_words)).collect();
    find_out.sort();
    find_out.dedup();
    let mass = device.fact(Attribute::Mass);
    RestraintRow {
        item: device.name.clone(),
        label: device.label.clone(),
        mass: match mass.origin() {
            Some(origin) => format!("{} ({})", Kilogram::from_si(mass_kg), origin.word()),
            None => Kilogram::from_si(mass_kg).to_string(),
        },
        held_by: device.mounting.as_ref().map_or_else(String::new, |held| held.words.clone()),
        space: device.space.value().map(space),
        sides: [
            side(restraint::Direction::Forward),
            side(restraint::Direction::Rearward),
            sideways.clone(),
            sideways,
            not_judged(),
            not_judged(),
        ],
        find_out,
    }
}

fn side(compared: Option<&Comparison>) -> RestraintSide {
    let Some(compared) = compared else { return not_judged() };
    let verdict = match compared.verdict {
        Verdict::FallsShort => "falls short",
        Verdict::NotDecided => "cannot tell",
        Verdict::WithinRating => "within rating",
    };
    let newton = |value: f64| {
        if value < 995.0 {
            format!("{value:.0}\u{a0}N")
        } else {
            format!("{:.1}\u{a0}kN", value / 1000.0)
        }
    };
    let pull = format!("pulls {} at {} g", newton(compared.load_n), compared.g_level);
    let words = match (compared.verdict, compared.at_most_n) {
        (Verdict::WithinRating, _) => format!("{pull}; a stated rating is not exceeded"),
        (_, Some(most)) => format!("{pull}; at most {} hold it", newton(most)),
        (_, None) => format!("{pull}; what holds it is not known"),
    };
    RestraintSide {
        verdict: verdict.to_owned(),
        words,
        load_n: Some(compared.load_n),
        at_most_n: compared.at_most_n,
    }
}

fn not_judged() -> RestraintSide {
    RestraintSide {
        verdict: "not judged".to_owned(),
        words: "no figure was found".to_owned(),
        load_n: None,
        at_most_n: None,
    }
}

fn find_out_words(find_out: &FindOut) -> String {
    match find_out {
        FindOut::WhatHoldsIt => "look what holds it".to_owned(),
        FindOut::WhetherItActs { path } => format!("see which way \u{201c}{path}\u{201d} holds"),
        FindOut::RatingOf { path, .. } => {
            format!("find the rating of \u{201c}{path}\u{201d}, or have it pulled")
        }
        FindOut::BreakingStrengthOf { path, .. } => {
            format!("find at what force \u{201c}{path}\u{201d} gives way")
        }
        FindOut::HowTheLoadIsShared => "find out how the load is shared".to_owned(),
        FindOut::LinksOf { path } => format!("see what \u{201c}{path}\u{201d} is made of"),
    }
}
