//! Heat of wires and joints in each state, in the reader's words. Decides nothing; see `thermal`.

use std::collections::{BTreeMap, BTreeSet};

use model::{Missing, Vehicle, WireEnd};
use schemars::JsonSchema;
use serde::Serialize;
use thermal::{JointHeat, Rule, Solved, Verdict, Warmth, WireHeat};
use units::{Celsius, Metre, Second};

use crate::case::{Case, points};
use crate::states::{outcome_word, words};
use crate::view::SourceView;

/// Name and version of this form.
pub const HEAT_SCHEMA: &str = "unbury.heat/1";

/// Heat in every state asked for.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct HeatView {
    /// Name and version of this form.
    pub schema: String,
    /// What all figures assume.
    pub assumes: Vec<String>,
    /// Each state.
    pub states: Vec<HeatState>,
    /// Documents behind the limits.
    pub sources: Vec<SourceView>,
}

/// Heat in one state.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct HeatState {
    /// The state.
    pub state: String,
    /// The state in words.
    pub words: String,
    /// `settles`, `hunts` or `no answer`.
    pub outcome: String,
    /// Wires that carry current, hottest first.
    pub wires: Vec<WireHeatRow>,
    /// Joints that carry current, most heat first.
    pub joints: Vec<JointHeatRow>,
    /// What to find out, with the items.
    pub find_out: Vec<FindOut>,
    /// Wires without current in this state.
    pub idle_wires: usize,
    /// Mains conductors: their currents are not judged here.
    pub mains_wires: usize,
    /// Values the sums of this state had to assume.
    pub assumed_values: usize,
}

/// A wire that carries current.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct WireHeatRow {
    /// The wire.
    pub wire: String,
    /// Where it runs, in words.
    pub run: String,
    /// Size as written.
    pub size: String,
    /// Rating of its insulation, or `unknown`.
    pub rating: String,
    /// Its largest current.
    pub current: String,
    /// The air around it.
    pub air: String,
    /// Temperature of the conductor alone in still air.
    pub conductor: String,
    /// What the stricter rule lets it carry, or empty.
    pub may_carry: String,
    /// Current as a part of that, or empty.
    pub used: String,
    /// `fails`, `holds` or `cannot tell`.
    pub verdict: String,
    /// `table`, `still air` or `missing fact`.
    pub decided_by: String,
    /// Why.
    pub reason: String,
    /// How soon it passes its rating from cold, where it does.
    pub passes_rating_after: Option<String>,
    /// What recalled tables say; they decide nothing.
    pub hints: Vec<String>,
    /// The verdict rests on an assumed fact of the wire.
    pub rests_on_assumption: bool,
    /// Whether it lies in a bundle or in the engine space is not known, and matters.
    pub place_not_known: bool,
    /// What to find out.
    pub find_out: Vec<String>,
    /// Current, A.
    pub current_a: f64,
    /// Air, °C.
    pub air_c: f64,
    /// The coolest the conductor may be, °C.
    pub coolest_c: Option<f64>,
    /// The hottest it may be, °C; absent also when it is hotter than the laws are used for.
    pub hottest_c: Option<f64>,
    /// What the stricter rule lets it carry, A.
    pub may_carry_a: Option<f64>,
}

/// A joint that carries current.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct JointHeatRow {
    /// The joint.
    pub joint: String,
    /// Its current.
    pub current: String,
    /// Its resistance with its origin.
    pub resistance: String,
    /// Whether the resistance was measured, seen or told.
    pub measured: bool,
    /// Voltage across it.
    pub drop: String,
    /// Heat it makes.
    pub power: String,
    /// Rise above its wires, or `unknown`.
    pub rise: String,
    /// Temperature of the touching spots inside.
    pub spots: String,
    /// How much wire must run from it for the rise to be true, or empty.
    pub wants_wire: String,
    /// `fails`, `holds` or `cannot tell`.
    pub verdict: String,
    /// Why.
    pub reason: String,
    /// What to find out.
    pub find_out: Vec<String>,
    /// Current, A.
    pub current_a: f64,
    /// Drop, V.
    pub drop_v: f64,
    /// Drop as a part of its limit.
    pub drop_share: f64,
    /// Power, W.
    pub power_w: f64,
    /// Largest rise, K.
    pub rise_k: Option<f64>,
    /// Largest rise as a part of its limit.
    pub rise_share: Option<f64>,
}

/// Something to find out.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct FindOut {
    /// As an instruction.
    pub what: String,
    /// For which items.
    pub items: Vec<String>,
}

impl WireHeatRow {
    /// Recalled tables that allow less than the wire carries.
    pub fn stricter_hints(&self) -> impl Iterator<Item = &str> {
        self.hints.iter().map(String::as_str).filter(|hint| hint.ends_with(LESS))
    }
}

impl HeatView {
    /// Whether a wire or joint fails.
    pub fn fails(&self) -> bool {
        let wires = self.states.iter().flat_map(|state| &state.wires).map(|row| &row.verdict);
        let joints = self.states.iter().flat_map(|state| &state.joints).map(|row| &row.verdict);
        wires.chain(joints).any(|verdict| verdict == "fails")
    }
}

impl Case {
    /// Heat in every state.
    pub fn heat(&self) -> HeatView {
        let mut keys = BTreeSet::new();
        let states = self
            .states()
            .zip(&self.sure)
            .map(|((_, state, network, outcome), sure)| {
                let sure = (&sure.network, points(&sure.outcome));
                let solved = Solved { state, network, points: points(outcome), sure };
                let vehicle = self.vehicle();
                let wires = thermal::wires(vehicle, &self.catalog, &solved);
                let joints = thermal::joints(vehicle, &self.catalog, &solved);
                keys.extend(sources_of(&wires, &joints));
                HeatState {
                    state: state.name.clone(),
                    words: words(vehicle, state),
                    outcome: outcome_word(outcome).to_owned(),
                    find_out: find_out(vehicle, &wires, &joints),
                    idle_wires: idle(vehicle, wires.len()),
                    mains_wires: mains(vehicle),
                    assumed_values: network.assumptions.len(),
                    wires: wires.iter().map(|heat| self.wire_heat_row(heat)).collect(),
                    joints: joints.iter().map(|heat| joint_row(vehicle, heat)).collect(),
                }
            })
            .collect();
        keys.insert(self.catalog.cables.source.clone());
        HeatView {
            schema: HEAT_SCHEMA.to_owned(),
            assumes: self.heat_assumes(),
            states,
            sources: keys.iter().filter_map(|key| self.source_view(key)).collect(),
        }
    }

    fn heat_assumes(&self) -> Vec<String> {
        let tables = &self.catalog.ampacity;
        vec![
            format!(
                "air of {}, warmer where the state says so, {} in the engine space",
                tables.base_ambient(),
                tables.engine_space()
            ),
            "temperatures: each wire alone in still air; in a bundle or under insulation it is \
             hotter; the range is thin or thick wall, most or least copper of its size"
                .to_owned(),
            "bundles count by published factors only".to_owned(),
            format!(
                "joints: wires like its own on both sides carry the heat away; a length that nobody \
                 wrote down counts as {} at the hottest",
                Metre::from_si(self.catalog.fault_spread.unknown_length_m.0)
            ),
        ]
    }

    pub(crate) fn source_view(&self, key: &str) -> Option<SourceView> {
        let source = self.catalog.sources.get(key)?;
        Some(SourceView {
            key: key.to_owned(),
            words: source.words.clone(),
            standing: source.standing.words().to_owned(),
        })
    }

    fn wire_heat_row(&self, heat: &WireHeat) -> WireHeatRow {
        let wire = &self.vehicle().wires[heat.wire];
        let end = |end| self.landing(heat.wire, end);
        let may_carry = heat.may_carry();
        WireHeatRow {
            wire: wire.name.clone(),
            run: format!("{} to {}", end(WireEnd::From), end(WireEnd::To)),
            size: if wire.area.is_unknown() { "unknown" } else { &wire.size_words }.to_owned(),
            rating: wire.insulation.value().map_or("unknown".to_owned(), ToString::to_string),
            current: heat.current.to_string(),
            air: heat.air.to_string(),
            conductor: heat.warmth.map_or("unknown".to_owned(), conductor),
            may_carry: may_carry.map_or_else(String::new, |ampere| ampere.to_string()),
            used: may_carry.map_or_else(String::new, |may| used(heat.current.si(), may.si())),
            verdict: verdict(heat.verdict).to_owned(),
            decided_by: match heat.rule {
                Rule::Table => "table",
                Rule::StillAir => "still air",
                Rule::Neither => "missing fact",
            }
            .to_owned(),
            reason: heat.reason.clone(),
            passes_rating_after: heat.passes_rating_after.map(after),
            hints: heat.hints.iter().map(|hint| hint_words(heat, hint)).collect(),
            rests_on_assumption: heat.rests_on_assumption,
            place_not_known: heat.place_not_known,
            find_out: heat.find_out.iter().map(|missing| missing.what.clone()).collect(),
            current_a: heat.current.si(),
            air_c: heat.air.degrees(),
            coolest_c: heat.warmth.map(|warmth| warmth.low.degrees()),
            hottest_c: heat.warmth.and_then(|warmth| warmth.high).map(Celsius::degrees),
            may_carry_a: may_carry.map(|ampere| ampere.si()),
        }
    }
}

fn joint_row(vehicle: &Vehicle, heat: &JointHeat) -> JointHeatRow {
    let origin = heat.origin.unwrap_or("stand-in");
    /// Past this no common insulation lasts, and the estimate means nothing, K. Common practice,
    /// no source.
    const MEANINGFUL_K: f64 = 150.0;
    let kelvins = |k: f64| if k < 9.95 { format!("{k:.1}") } else { format!("{k:.0}") };
    JointHeatRow {
        joint: vehicle.joint_name(heat.joint),
        current: heat.current.to_string(),
        resistance: format!("{} ({origin})", heat.resistance),
        measured: vehicle.joints[heat.joint].resistance.evidence().is_some(),
        drop: heat.drop.to_string(),
        power: heat.power.to_string(),
        rise: heat.rise_k.map_or("unknown".to_owned(), |(low, high)| {
            let (least, most) = (kelvins(low), kelvins(high));
            if high > MEANINGFUL_K {
                format!("past {MEANINGFUL_K:.0} K")
            } else if least == most {
                format!("{most} K")
            } else {
                format!("{least} to {most} K")
            }
        }),
        spots: heat.spots.map_or_else(String::new, |spots| spots.to_string()),
        wants_wire: heat.wants_wire.map_or_else(String::new, |metre| metre.to_string()),
        verdict: verdict(heat.verdict).to_owned(),
        reason: heat.reason.clone(),
        find_out: heat.find_out.iter().map(|missing| missing.what.clone()).collect(),
        current_a: heat.current.si(),
        drop_v: heat.drop.si(),
        drop_share: heat.drop_share,
        power_w: heat.power.si(),
        rise_k: heat.rise_k.map(|(_, high)| high),
        rise_share: heat.rise_share,
    }
}

fn verdict(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Holds => "holds",
        Verdict::CannotTell => "cannot tell",
        Verdict::Fails => "fails",
    }
}

/// The range of a conductor's temperature, to the degree: no model of a wire is better than that.
fn conductor(warmth: Warmth) -> String {
    let low_c = warmth.low.degrees();
    match warmth.high.map(Celsius::degrees) {
        Some(high_c) if high_c.round() - low_c.round() < 1.0 => format!("{high_c:.0} °C"),
        Some(high_c) => format!("{low_c:.0} to {high_c:.0} °C"),
        None => format!("past {low_c:.0} °C"),
    }
}

fn used(current_a: f64, may_a: f64) -> String {
    if may_a > 0.0 { format!("{:.0} %", 100.0 * current_a / may_a) } else { String::new() }
}

fn after(time: Second) -> String {
    if time.si() < 120.0 {
        format!("{:.0} s", time.si())
    } else {
        format!("{:.0} min", time.to_minutes().si())
    }
}

/// How a hint ends that is stricter than what a wire carries.
const LESS: &str = "less than it carries";

fn hint_words(heat: &WireHeat, hint: &catalog::Allowed) -> String {
    let side = if heat.current > hint.ampere { LESS } else { "enough" };
    format!("{}, from memory: {side}", hint.words())
}

fn idle(vehicle: &Vehicle, loaded: usize) -> usize {
    (vehicle.wires.len() - mains(vehicle)).saturating_sub(loaded)
}

fn mains(vehicle: &Vehicle) -> usize {
    vehicle.wires.ids().filter(|id| vehicle.is_ac(*id)).count()
}

fn find_out(vehicle: &Vehicle, wires: &[WireHeat], joints: &[JointHeat]) -> Vec<FindOut> {
    let mut grouped: BTreeMap<&str, Vec<String>> = BTreeMap::new();
    let missing = wires.iter().flat_map(|wire| &wire.find_out);
    for Missing { what, at } in missing.chain(joints.iter().flat_map(|joint| &joint.find_out)) {
        grouped.entry(what).or_default().push(vehicle.place_name(*at));
    }
    let mut out: Vec<FindOut> =
        grouped.into_iter().map(|(what, items)| FindOut { what: what.to_owned(), items }).collect();
    out.sort_by_key(|entry| std::cmp::Reverse(entry.items.len()));
    out
}

fn sources_of(wires: &[WireHeat], joints: &[JointHeat]) -> Vec<String> {
    let allowed = wires.iter().flat_map(|heat| {
        let known = match &heat.table {
            thermal::TableSays::Allows { known, .. } => Some(known),
            _ => None,
        };
        known.into_iter().chain(&heat.hints)
    });
    let mut keys: Vec<String> = allowed
        .flat_map(|allowed| {
            let corrections = allowed.corrections.iter().map(|c| c.source.clone());
            std::iter::once(allowed.source.clone()).chain(corrections)
        })
        .collect();
    keys.extend(joints.iter().flat_map(|joint| joint.sources.clone()));
    keys
}
