//! Fault level and protection as plain data.

use model::{Breaking, DeviceId, Role, WireEnd};
use protect::{Level, Overload, Row, Stand, Word};
use schemars::JsonSchema;
use serde::Serialize;
use units::{Ampere, Interval, Metre, Second};

use crate::case::Case;

/// Fault level at every point and protection of every wire.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct FaultLevelView {
    /// The ways the vehicle stands for this, in words.
    pub stands: Vec<String>,
    /// Fault level at every stud of the feed side, highest first.
    pub levels: Vec<LevelRow>,
    /// Every wire and end behind which a source stands, worst first.
    pub protection: Vec<ProtectionRow>,
    /// Wires that were not judged, and why.
    pub left_out: Vec<LeftOutRow>,
    /// What the sums assumed.
    pub assumptions: Vec<String>,
    /// Faults that could not be worked out.
    pub troubles: Vec<String>,
    /// Where the figures come from.
    pub sources: Vec<String>,
}

/// What flows when a stud is joined to the return.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct LevelRow {
    /// The stud.
    pub place: String,
    /// Least to most, with unit.
    pub level: String,
    /// Least, A.
    pub least_a: f64,
    /// Most, A.
    pub most_a: f64,
    /// What each source brings at most.
    pub from: Vec<Contribution>,
}

/// What a source brings to a fault.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct Contribution {
    /// The source.
    pub source: String,
    /// At most, with unit.
    pub most: String,
    /// At most, A.
    pub most_a: f64,
}

/// A wire and one of its ends.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct ProtectionRow {
    /// The wire.
    pub wire: String,
    /// Where this end lands.
    pub end: String,
    /// `BURNS FIRST`, `CANNOT BREAK`, `OVERHEATS`, `CANNOT TELL` or `PROTECTED`.
    pub verdict: String,
    /// Which way a `CANNOT TELL` points: `opens in time`, `opens too late` or empty.
    pub leaning: String,
    /// Why, with its figures.
    pub why: String,
    /// What to find out.
    pub find_out: Vec<String>,
    /// Sources behind this end.
    pub sources: Vec<String>,
    /// Current from this end when the wire is shorted at its other end, least to most, with unit.
    pub far: String,
    /// Current from this end when the wire is shorted right here, at most, with unit.
    pub near: String,
    /// The latest it opens at the critical current, with unit, or empty.
    pub opens: String,
    /// How long the wire stands that, with unit, or empty.
    pub stands: String,
    /// How far from the source an unprotected but permitted run ends, with unit, or empty.
    pub short_run: String,
    /// Current from this end when the wire is shorted at its other end, least, A.
    pub far_least_a: f64,
    /// The same, most, A.
    pub far_most_a: f64,
    /// Current from this end when the wire is shorted right here, most, A.
    pub near_most_a: f64,
    /// The device that opens, or empty.
    pub device: String,
    /// Its rating, A.
    pub rated_a: Option<f64>,
    /// The current at which the device and the wire come closest, A.
    pub critical_a: Option<f64>,
    /// It opens no earlier than this there, s.
    pub opens_earliest_s: Option<f64>,
    /// It opens no later than this there, s.
    pub opens_latest_s: Option<f64>,
    /// Its times were published and read; otherwise they were recalled and only hint.
    pub times_published: bool,
    /// How long the wire stands that current, s.
    pub stands_s: Option<f64>,
    /// Whether the device can break the greatest fault, in words.
    pub breaking: String,
    /// What it breaks over what flows at most; above 1 is enough.
    pub breaking_margin: Option<f64>,
    /// Overload protection from this end, in words.
    pub overload: String,
    /// Which device opens first, or empty.
    pub selectivity: String,
    /// Unprotected, but no longer than the rules allow ahead of the first device, m.
    pub short_run_m: Option<f64>,
}

/// A wire that was not judged.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct LeftOutRow {
    /// The wire.
    pub wire: String,
    /// Why.
    pub why: String,
}

impl ProtectionRow {
    /// True where something is wrong, not only unknown.
    pub fn fails(&self) -> bool {
        self.short_run_m.is_none() && !matches!(self.verdict.as_str(), "CANNOT TELL" | "PROTECTED")
    }
}

impl Case {
    /// Fault levels and protection in any way the vehicle can stand, or in one state; `None` when
    /// there is no such state.
    pub fn fault_level(&self, state: Option<&str>) -> Option<FaultLevelView> {
        let stand = match state {
            None => Stand::Any,
            Some(name) => Stand::State(self.vehicle().states.find(|s| s.name == name)?.0),
        };
        let study = protect::study(self.vehicle(), &self.catalog, stand);
        Some(FaultLevelView {
            levels: study.levels.iter().map(|level| self.level_row(level)).collect(),
            protection: study.rows.iter().map(|row| self.protection_row(row)).collect(),
            left_out: study
                .left_out
                .iter()
                .map(|left| LeftOutRow {
                    wire: self.vehicle().wires[left.wire].name.clone(),
                    why: left.why.clone(),
                })
                .collect(),
            assumptions: self.fault_assumptions(&study),
            sources: self.fault_sources(&study),
            stands: study.stands,
            troubles: study.troubles,
        })
    }

    fn name_of(&self, id: DeviceId) -> String {
        self.vehicle().devices[id].name.clone()
    }

    fn level_row(&self, level: &Level) -> LevelRow {
        LevelRow {
            place: self.vehicle().terminal_name(level.terminal),
            level: range(level.ampere_a),
            least_a: level.ampere_a.low(),
            most_a: level.ampere_a.high(),
            from: level
                .by_source
                .iter()
                .map(|(source, most_a)| Contribution {
                    source: self.name_of(*source),
                    most: Ampere::from_si(*most_a).to_string(),
                    most_a: *most_a,
                })
                .collect(),
        }
    }

    fn protection_row(&self, row: &Row) -> ProtectionRow {
        let device = row.device.as_ref();
        let breaking = device.map(|device| &device.breaking);
        ProtectionRow {
            wire: self.vehicle().wires[row.wire].name.clone(),
            end: self.end_name(row),
            verdict: row.verdict.word.words().to_owned(),
            leaning: leaning(row).to_owned(),
            why: row.verdict.why.clone(),
            find_out: row.verdict.missing.iter().map(|missing| missing.what.clone()).collect(),
            sources: row.sources.iter().map(|id| self.name_of(*id)).collect(),
            far: range(row.far_a),
            near: Ampere::from_si(row.near_a.high()).to_string(),
            opens: shown(device.and_then(|device| device.at_most)),
            stands: shown(row.stands),
            short_run: shown(row.short_run),
            far_least_a: row.far_a.low(),
            far_most_a: row.far_a.high(),
            near_most_a: row.near_a.high(),
            device: device.map_or_else(String::new, |device| device.name.clone()),
            rated_a: device.and_then(|device| device.rated).map(Ampere::si),
            critical_a: row.critical_a,
            opens_earliest_s: device.and_then(|device| device.at_least).map(Second::si),
            opens_latest_s: device.and_then(|device| device.at_most).map(Second::si),
            times_published: device.is_some_and(|device| device.is_published),
            stands_s: row.stands.map(Second::si),
            breaking: breaking.map_or_else(String::new, breaking_words),
            breaking_margin: breaking.and_then(margin),
            overload: overload_words(&row.overload),
            selectivity: row.selectivity.clone(),
            short_run_m: row.short_run.map(Metre::si),
        }
    }

    fn end_name(&self, row: &Row) -> String {
        match (self.vehicle().wires[row.wire].terminal(row.end), row.end) {
            (Some(terminal), _) => self.vehicle().terminal_name(terminal),
            (None, WireEnd::From) => "first end".to_owned(),
            (None, WireEnd::To) => "second end".to_owned(),
        }
    }

    /// What the fault currents rest on besides what was seen, told or measured: of wires with a source
    /// behind them, their sizes and lengths; of sources, their resistance and limits.
    fn fault_assumptions(&self, study: &protect::Study) -> Vec<String> {
        let vehicle = self.vehicle();
        let wires: std::collections::BTreeSet<model::WireId> =
            study.rows.iter().map(|row| row.wire).collect();
        let wanted = |item: &network::Item| match item {
            network::Item::Wire(wire) => wires.contains(wire),
            network::Item::Device(id) => {
                let role = vehicle.devices[*id].role;
                role.is_dc_source() || role == Role::CombinerRelay
            }
            _ => false,
        };
        let name = |item: &network::Item| match item {
            network::Item::Wire(wire) => vehicle.wires[*wire].name.clone(),
            network::Item::Device(id) => vehicle.devices[*id].name.clone(),
            _ => String::new(),
        };
        let bears = |what: &str| FAULT_NUMBERS.iter().any(|number| what.starts_with(number));
        let rows = study
            .assumptions
            .iter()
            .filter(|assumed| wanted(&assumed.item) && bears(&assumed.what));
        rows.map(|a| format!("{}: {} ({})", name(&a.item), a.what, a.why)).collect()
    }

    fn fault_sources(&self, study: &protect::Study) -> Vec<String> {
        let spread = &self.catalog.fault_spread;
        let mut keys = vec![
            spread.source.clone(),
            spread.short_source.clone(),
            "iec-60364-4-43-433".to_owned(),
            "fuse-melting".to_owned(),
        ];
        let devices = study.rows.iter().filter_map(|row| row.device.as_ref());
        keys.extend(devices.flat_map(|device| device.figures.iter().cloned()));
        keys.sort();
        keys.dedup();
        let words = |key: String| {
            let source = self.catalog.sources.get(&key)?;
            Some(format!("{} ({})", source.words, source.standing.words()))
        };
        keys.into_iter().filter_map(words).collect()
    }
}

/// Numbers that a fault current rests on, by the first word of the assumption.
const FAULT_NUMBERS: [&str; 8] =
    ["resistance", "limit", "length", "size", "rest", "charge", "isc", "minus joined"];

/// A range of currents, once if both ends print alike.
pub(crate) fn range(ampere_a: Interval) -> String {
    let [low, high] = [ampere_a.low(), ampere_a.high()].map(|a| Ampere::from_si(a).to_string());
    if low == high { low } else { format!("{low} to {high}") }
}

fn shown<T: std::fmt::Display>(value: Option<T>) -> String {
    value.map_or_else(String::new, |value| value.to_string())
}

fn leaning(row: &Row) -> &'static str {
    match (row.verdict.word, row.verdict.leaning) {
        (Word::CannotTell, Some(protect::Leaning::InTime)) => "opens in time",
        (Word::CannotTell, Some(protect::Leaning::TooLate)) => "opens too late",
        _ => "",
    }
}

fn breaking_words(breaking: &Breaking) -> String {
    let a = Ampere::from_si;
    match breaking {
        Breaking::Enough { breaks_a, fault_a } => {
            format!("breaks {}, {} flow at most", a(*breaks_a), a(*fault_a))
        }
        Breaking::TooLittle { breaks_a, fault_a } => {
            format!("breaks {}, {} flow at least", a(*breaks_a), a(*fault_a))
        }
        Breaking::Unknown { breaks_a: Some(breaks_a), fault_a } => {
            format!("breaks {} as far as known, up to {} may flow", a(*breaks_a), a(*fault_a))
        }
        Breaking::Unknown { breaks_a: None, fault_a } => {
            format!("what it breaks is not known, up to {} may flow", a(*fault_a))
        }
    }
}

fn margin(breaking: &Breaking) -> Option<f64> {
    match breaking {
        Breaking::Enough { breaks_a, fault_a } | Breaking::TooLittle { breaks_a, fault_a } => {
            Some(breaks_a / fault_a)
        }
        Breaking::Unknown { breaks_a, fault_a } => breaks_a.map(|breaks_a| breaks_a / fault_a),
    }
}

fn overload_words(overload: &Overload) -> String {
    let a = Ampere::from_si;
    match overload {
        Overload::Holds { rated_a, allowed_a, .. } => {
            format!("{} before {} allowed", a(*rated_a), a(*allowed_a))
        }
        Overload::TooLarge { rated_a, allowed_a, .. } => {
            format!("too large: {} before {} allowed", a(*rated_a), a(*allowed_a))
        }
        Overload::OwnLimit { limit_a, allowed_a } => {
            format!("sources give {}, {} allowed", a(*limit_a), a(*allowed_a))
        }
        Overload::NoDevice => "no device at this end".to_owned(),
        Overload::Unknown => "not known".to_owned(),
    }
}
