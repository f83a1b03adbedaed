//! What-if hatches: which new openings would lower the yearly cost of service most.

use access::hatch::{Hatch, Proposal, Question, best_hatches};
use access::vehicle::SetupKind;
use access::{
    AccessIndex, Item, PartIdx, Permitted, SetupIdx, Spread, access_index, service_access,
};
use model::{DeviceId, Landing, PartId, WireEnd};
use price::with_currency;
use schemars::JsonSchema;
use serde::Serialize;

use crate::case::Case;
use crate::learned::counted;
use crate::service_view::{IndexView, Wanted, in_money, item_of, proof_words, tenth};

/// Form and version of [`HatchTable`].
pub const HATCH_SCHEMA: &str = "unbury.hatch/1";

/// Openings that would help.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct HatchTable {
    /// Form and version.
    pub schema: String,
    /// Single hatches, best first.
    pub singles: Vec<HatchView>,
    /// The best two together.
    pub pair: Option<HatchView>,
    /// Pairs there are.
    pub pairs: usize,
    /// Pairs that had to be planned; the others were shown to be no better.
    pub pairs_planned: usize,
    /// The access index as the vehicle is.
    pub index: IndexView,
    /// The record's money; absent when no price names one.
    pub currency: Option<String>,
    /// Years over which the saving is held against the cost.
    pub years: f64,
    /// Parts that hide something served and were left out, with the reason.
    pub left_out: Vec<LeftOut>,
    /// What the figures rest on.
    pub rests_on: Vec<String>,
}

/// One or two hatches.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct HatchView {
    /// The parts they are cut into.
    pub parts: Vec<String>,
    /// What people call them.
    pub labels: Vec<String>,
    /// Minutes to make them.
    pub make_minutes: f64,
    /// Cost today, time and material, in the record's money.
    pub cost_today_money: f64,
    /// Minutes saved in a year.
    pub saved_minutes_per_year: f64,
    /// Money saved in a year, breakage included.
    pub saved_money_per_year: f64,
    /// Years until the saving has paid for it; absent when it never does.
    pub payback_years: Option<f64>,
    /// Saving over [`HatchTable::years`] less the cost of today.
    pub net_money: f64,
    /// Access index with it, minutes a year.
    pub index_minutes_per_year: f64,
    /// What it helps, most saved first.
    pub helps: Vec<HelpView>,
    /// Items that have no way now and get one; they count for nothing in the saving.
    pub opens: Vec<String>,
    /// What to look for before anything is cut.
    pub before_cutting: Vec<String>,
    /// Whether the figures are proven.
    pub proof: String,
}

/// What an item gains.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct HelpView {
    /// The item.
    pub item: String,
    /// How often in a year.
    pub per_year: f64,
    /// Expected minutes now.
    pub before_minutes: f64,
    /// Expected minutes with the hatch.
    pub after_minutes: f64,
}

/// A part without a hatch.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct LeftOut {
    /// The part.
    pub part: String,
    /// Why.
    pub why: String,
}

impl Case {
    /// Which one or two new openings would save most.
    pub fn hatch_table(&self) -> HatchTable {
        let wanted = self.wanted();
        let items: Vec<Item> = wanted.iter().map(item_of).collect();
        let (hatches, left_out) = self.hatches(&items);
        let costing = self.costing(Permitted::Anything);
        let row = &self.catalog.service.hatch;
        let question = Question {
            problem: &self.problem,
            items: &items,
            hatches: &hatches,
            costing: &costing,
            years: row.years,
        };
        let index = access_index(&items, &service_access(&self.problem, &items, &costing));
        let found = best_hatches(&question);
        let view = |proposal: &Proposal| self.hatch_view(&hatches, &wanted, &index, proposal);
        let (singles, pair, pairs, pairs_planned) = match &found {
            Ok(found) => (
                found.singles.iter().map(view).collect(),
                found.pair.as_ref().map(view),
                found.pairs,
                found.pairs_planned,
            ),
            Err(_) => (Vec::new(), None, 0, 0),
        };
        let mut rests_on = self.hatch_rests_on();
        rests_on.extend(found.err().into_iter().flatten().map(|fault| fault.to_string()));
        HatchTable {
            schema: HATCH_SCHEMA.to_owned(),
            singles,
            pair,
            pairs,
            pairs_planned,
            index: self.index_view(&index),
            currency: self.hatch_currency().map(|currency| currency.to_string()),
            years: row.years,
            left_out,
            rests_on,
        }
    }

    /// The currency of the hour where it is written, else of the first price.
    fn hatch_currency(&self) -> Option<units::Currency> {
        self.vehicle().rates.hour.and_then(|hour| hour.currency()).or_else(|| self.currency())
    }

    /// A hatch for every part that may be in the way of an item and can be cut; and the parts that
    /// hide something served and were left out.
    fn hatches(&self, items: &[Item]) -> (Vec<Hatch>, Vec<LeftOut>) {
        let row = &self.catalog.service.hatch;
        let positions = self
            .setups
            .iter()
            .enumerate()
            .filter(|(_, kind)| matches!(kind, SetupKind::Position(_)));
        let keeps: Vec<SetupIdx> = positions.map(|(index, _)| SetupIdx(index)).collect();
        let mut hatches = Vec::new();
        let mut left_out = Vec::new();
        let direct = |part: PartIdx| {
            items.iter().any(|item| item.target.ways.iter().flatten().any(|other| *other == part))
        };
        for index in 0..self.problem.parts.len() {
            let id = access::vehicle::part_id(PartIdx(index));
            match self.why_no_hatch(id) {
                None => hatches.push(Hatch {
                    part: PartIdx(index),
                    make: spread(row.make_min),
                    material_minor: row.material.cents().unsigned_abs(),
                    open: spread(row.open_min),
                    close: spread(row.close_min),
                    keeps: keeps.clone(),
                }),
                Some(why) if direct(PartIdx(index)) => {
                    left_out.push(LeftOut { part: self.vehicle().parts[id].name.clone(), why })
                }
                Some(_) => {}
            }
        }
        (hatches, left_out)
    }

    fn why_no_hatch(&self, part: PartId) -> Option<String> {
        let mains = self.mains_behind(part);
        if !mains.is_empty() {
            return Some(format!(
                "mains behind it ({}): no opening without a tool",
                mains.join(", ")
            ));
        }
        if self.vehicle().parts[part].moved.is_some() {
            return Some("positions of parts, not parts".to_owned());
        }
        let panels = &self.catalog.service.hatch.panels;
        let label = self.vehicle().parts[part].label.to_lowercase();
        let words: Vec<&str> = label.split(|c: char| !c.is_alphanumeric()).collect();
        let panel = panels.iter().any(|panel| words.contains(&panel.as_str()));
        (!panel).then(|| "not called a panel, board, lid or the like".to_owned())
    }

    fn hatch_view(
        &self,
        hatches: &[Hatch],
        wanted: &[Wanted<'_>],
        index: &AccessIndex,
        proposal: &Proposal,
    ) -> HatchView {
        let made: Vec<&Hatch> = proposal.hatches.iter().map(|hatch| &hatches[*hatch]).collect();
        let ids: Vec<PartId> =
            made.iter().map(|hatch| access::vehicle::part_id(hatch.part)).collect();
        let parts = &self.vehicle().parts;
        HatchView {
            parts: ids.iter().map(|id| parts[*id].name.clone()).collect(),
            labels: ids.iter().map(|id| parts[*id].label.clone()).collect(),
            make_minutes: tenth(made.iter().map(|hatch| hatch.make.mean_min()).sum()),
            cost_today_money: in_money(proposal.today_minor),
            saved_minutes_per_year: tenth(proposal.saved_min_per_year),
            saved_money_per_year: in_money(proposal.saved_minor_per_year),
            payback_years: proposal.payback_years().map(tenth),
            net_money: in_money(proposal.net_minor),
            index_minutes_per_year: tenth(index.minutes_per_year - proposal.saved_min_per_year),
            helps: proposal
                .helped
                .iter()
                .map(|helped| HelpView {
                    item: wanted[helped.item].device.name.clone(),
                    per_year: wanted[helped.item].per_year.value().copied().unwrap_or(0.0),
                    before_minutes: tenth(helped.before_min),
                    after_minutes: tenth(helped.after_min),
                })
                .collect(),
            opens: proposal
                .opened
                .iter()
                .map(|(item, _)| wanted[*item].device.name.clone())
                .collect(),
            before_cutting: ids.iter().flat_map(|id| self.before_cutting(*id)).collect(),
            proof: proof_words(proposal.proof),
        }
    }

    /// What the record knows behind a part, and what it does not.
    fn before_cutting(&self, part: PartId) -> Vec<String> {
        let name = &self.vehicle().parts[part].name;
        let devices: Vec<&str> = self
            .devices_behind(part)
            .into_iter()
            .map(|id| self.vehicle().devices[id].name.as_str())
            .collect();
        let wires = self.wires_behind(part);
        let listed = |names: &[&str], what: &str| match names {
            [] => format!("no {what}"),
            [one] => format!("{what} {one}"),
            names => format!("{what}s {}", names.join(", ")),
        };
        vec![format!(
            "behind {name} the record knows {} and {}",
            listed(&devices, "device"),
            listed(&wires, "wire")
        )]
    }

    fn devices_behind(&self, part: PartId) -> Vec<DeviceId> {
        let devices = self.vehicle().devices.iter();
        devices
            .filter(|(_, device)| {
                device.reach.value().is_some_and(|reach| reach.iter().flatten().any(|p| *p == part))
            })
            .map(|(id, _)| id)
            .collect()
    }

    /// Wires that run or land behind a part, or land on a device behind it.
    fn wires_behind(&self, part: PartId) -> Vec<&str> {
        let devices = self.devices_behind(part);
        let vehicle = self.vehicle();
        let ends_there = |wire: &model::Wire, end| match wire.end(end).landing {
            Landing::Behind(other) => other == part,
            Landing::At(terminal) => devices.contains(&vehicle.terminals[terminal].device),
            Landing::Unknown => false,
        };
        let wires = vehicle.wires.iter().filter(|(_, wire)| {
            wire.runs_behind == Some(part)
                || WireEnd::BOTH.into_iter().any(|end| ends_there(wire, end))
        });
        wires.map(|(_, wire)| wire.name.as_str()).collect()
    }

    /// Mains wires and devices with mains terminals behind a part.
    fn mains_behind(&self, part: PartId) -> Vec<String> {
        let vehicle = self.vehicle();
        let is_ac = |id: &DeviceId| {
            vehicle.devices[*id].terminals.iter().any(|t| vehicle.terminals[*t].pole.is_ac())
        };
        let devices = self.devices_behind(part).into_iter().filter(is_ac);
        let mut mains: Vec<String> = devices.map(|id| vehicle.devices[id].name.clone()).collect();
        let runs_there = |(id, wire): &(model::WireId, &model::Wire)| {
            let lands =
                WireEnd::BOTH.into_iter().any(|end| wire.end(end).landing == Landing::Behind(part));
            (wire.runs_behind == Some(part) || lands) && vehicle.is_ac(*id)
        };
        let wires = vehicle.wires.iter().filter(runs_there);
        mains.extend(wires.map(|(_, wire)| format!("wire {}", wire.name)));
        mains
    }

    fn hatch_rests_on(&self) -> Vec<String> {
        let row = &self.catalog.service.hatch;
        let currency = self.hatch_currency();
        let hour = match self.vehicle().rates.hour {
            Some(hour) => format!("{} (as recorded)", with_currency(hour, currency)),
            None => format!("{} (assumed)", self.catalog.stand_ins.workshop_hour),
        };
        let untraced =
            self.vehicle().wires.iter().filter(|(_, wire)| wire.runs_behind.is_none()).count();
        vec![
            format!(
                "a hatch: {:.0} min to make, {} of material, {:.0} min to open and close (all \
                 assumed); an hour counts {hour}",
                spread(row.make_min).mean_min(),
                with_currency(row.material, currency),
                spread(row.open_min).mean_min() + spread(row.close_min).mean_min(),
            ),
            format!(
                "a hatch is taken to be big enough for what is done: {}; what has to come out \
                 through it may need more",
                row.size
            ),
            "what stands in front of a part still comes out first; the hatch saves only the part \
             itself"
                .to_owned(),
            format!(
                "where {} the record does not say: what is listed as behind a part is not all there is",
                if untraced == 1 {
                    "1 wire runs".to_owned()
                } else {
                    format!("{} run", counted(untraced, "wire"))
                }
            ),
            "gas and water pipes, ducts, airbags and belt anchors, frames and what carries load are \
             not in the record: look, and ask who is licensed for them, before anything is cut"
                .to_owned(),
        ]
    }
}

fn spread([low_min, likely_min, high_min]: [f64; 3]) -> Spread {
    Spread { low_min, likely_min, high_min }
}
