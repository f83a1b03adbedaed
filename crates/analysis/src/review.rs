//! Puts a review together.

use std::collections::{BTreeMap, BTreeSet};

use diag::Diagnostic;
use model::{Landing, Region, Vehicle, WireEnd};
use network::Item;

use crate::case::Case;
use crate::findings::Found;
use crate::view::{
    Assumption, Counts, Excerpt, REVIEW_SCHEMA, RecordFault, Review, SourceView, VehicleView,
};

impl Case {
    /// The whole review.
    pub fn review(&self) -> Review {
        // The study of short circuits, which the findings need, runs beside the ways in.
        let service_access = std::thread::scope(|scope| {
            scope.spawn(|| self.short_circuits());
            self.service_access()
        });
        let Found { fails, cannot_tell, find_out, tallies } = self.found();
        let mut review = Review {
            schema: REVIEW_SCHEMA.to_owned(),
            vehicle: self.vehicle_view(),
            understood: self.counts(),
            record_faults: self.record_faults(),
            assumptions: self.assumptions(),
            states: self.state_views(),
            readings: self.reading_rows(),
            findings: fails,
            cannot_tell,
            find_out,
            tallies,
            live: self.live_rows(),
            wires: self.wire_list(),
            service_access,
            cautions: self.cautions(),
            sources: Vec::new(),
        };
        review.sources = self.sources(&review);
        review
    }

    /// The vehicle in a few words.
    pub fn vehicle_view(&self) -> VehicleView {
        let vehicle = self.vehicle();
        let symptoms = vehicle.symptoms.iter().map(|symptom| {
            let about = symptom.device.map(|id| vehicle.devices[id].name.as_str());
            let state = symptom.state.map(|id| vehicle.states[id].name.as_str());
            match (about, state) {
                (Some(device), Some(state)) => {
                    format!("{} ({device}, state {state})", symptom.words)
                }
                (Some(one), None) | (None, Some(one)) => format!("{} ({one})", symptom.words),
                (None, None) => symptom.words.clone(),
            }
        });
        VehicleView {
            name: vehicle.name.clone(),
            words: vehicle.words.clone(),
            system: match vehicle.nominal.value() {
                Some(volt) => volt.to_string(),
                None => format!("not recorded, {} taken", self.catalog.stand_ins.nominal),
            },
            region: match vehicle.region {
                Some(Region::NorthAmerica) => "North America",
                Some(Region::EuropeUk) => {
                    "Europe and the United Kingdom; limits written elsewhere are used by analogy"
                }
                Some(Region::AustraliaNz) => {
                    "Australia and New Zealand; limits written elsewhere are used by analogy"
                }
                None => "not recorded; the rules for Europe and North America were taken",
            }
            .to_owned(),
            complaint: vehicle.complaint.clone(),
            seen_by: vehicle.seen.by.clone(),
            seen_on: vehicle.seen.on.clone(),
            symptoms: symptoms.collect(),
        }
    }

    fn counts(&self) -> Counts {
        let vehicle = self.vehicle();
        let seen = |wire: &model::Wire| {
            WireEnd::BOTH.into_iter().all(|end| matches!(wire.end(end).landing, Landing::At(_)))
        };
        let facts = Facts::of(vehicle);
        Counts {
            devices: vehicle.devices.len(),
            wires: vehicle.wires.len(),
            wires_with_unknown_end: vehicle.wires.iter().filter(|(_, wire)| !seen(wire)).count(),
            joints_known: vehicle
                .joints
                .iter()
                .filter(|(_, joint)| {
                    joint.kind.evidence().is_some() || joint.resistance.evidence().is_some()
                })
                .count(),
            parts: vehicle.parts.iter().filter(|(_, part)| part.moved.is_none()).count(),
            states: vehicle.states.len(),
            readings: vehicle.readings.len(),
            facts_known: facts.known,
            facts_assumed: facts.assumed,
            facts_unknown: facts.unknown,
        }
    }

    /// Faults of the record with line and column.
    pub fn record_faults(&self) -> Vec<RecordFault> {
        self.record.diagnostics.iter().map(|fault| self.record_fault(fault)).collect()
    }

    fn record_fault(&self, fault: &Diagnostic) -> RecordFault {
        let places = fault.labels.iter().map(|label| {
            let at = record::line_column(&self.text, label.span.start);
            Excerpt {
                line: at.line,
                column: at.column,
                start_byte: label.span.start,
                end_byte: label.span.end,
                label: label.text.clone(),
            }
        });
        RecordFault {
            slug: fault.slug.to_owned(),
            severity: fault.severity.word().to_owned(),
            message: fault.message.clone(),
            places: places.collect(),
            help: fault.help.clone(),
        }
    }

    /// What had to be assumed, grouped by what and why.
    fn assumptions(&self) -> Vec<Assumption> {
        let mut groups: BTreeMap<(String, String), BTreeSet<String>> = BTreeMap::new();
        for network in &self.networks {
            for assumed in &network.assumptions {
                let key = (assumed.what.clone(), assumed.why.clone());
                groups.entry(key).or_default().insert(self.item_name(assumed.item));
            }
        }
        let mut assumptions: Vec<Assumption> = groups
            .into_iter()
            .map(|((what, why), items)| Assumption {
                what,
                why,
                items: items.into_iter().collect(),
            })
            .collect();
        if self.states_added {
            assumptions.push(Assumption {
                what: "two states: at rest, and every load on".to_owned(),
                why: "the record has no [states]".to_owned(),
                items: vec!["rest".to_owned(), "all-on".to_owned()],
            });
        }
        assumptions
    }

    pub(crate) fn item_name(&self, item: Item) -> String {
        let vehicle = self.vehicle();
        match item {
            Item::Wire(id) => format!("wire {}", vehicle.wires[id].name),
            Item::Joint(id) => vehicle.joint_name(id),
            Item::Device(id) => vehicle.devices[id].name.clone(),
            Item::Body => "body".to_owned(),
        }
    }

    /// What to mind before anything is touched.
    pub fn cautions(&self) -> Vec<String> {
        let vehicle = self.vehicle();
        let mut cautions = vec![
            "Prove every conductor dead with a meter checked on a known source before and after; this program has not seen the vehicle.".to_owned(),
            "A battery can deliver thousands of amperes: no rings, insulated tools, cover the other post.".to_owned(),
        ];
        let has = |role| vehicle.devices.iter().any(|(_, device)| device.role == role);
        if has(model::Role::SolarModule) {
            cautions.push(
                "Solar modules are live by daylight whatever is switched off: cover them."
                    .to_owned(),
            );
        }
        if has(model::Role::Inverter) || has(model::Role::ShoreInlet) {
            cautions.push("Mains voltage can kill; work on it is for people licensed for it. An inverter makes it with the shore lead unplugged.".to_owned());
        }
        cautions.push("Gas, airbags, seat-belt tensioners and high-voltage (orange) cables: stop, follow the maker, leave it to licensed people.".to_owned());
        cautions.push("Local codes and licensed practice come before anything written here. What was not seen was not judged.".to_owned());
        cautions
    }

    /// The sources that anything above quotes.
    fn sources(&self, review: &Review) -> Vec<SourceView> {
        let mut keys: BTreeSet<&str> = review
            .findings
            .iter()
            .chain(&review.cannot_tell)
            .filter_map(|finding| finding.limit.as_ref())
            .map(|limit| limit.source.as_str())
            .collect();
        for (_, device) in self.vehicle().devices.iter() {
            if let Some(chemistry) = device.chemistry.value() {
                keys.insert(self.catalog.curves.rest_voltage_source(*chemistry));
            }
        }
        if !self.vehicle().wires.is_empty() {
            keys.insert("iec-60228");
        }
        keys.into_iter()
            .filter_map(|key| {
                let source = self.catalog.sources.get(key)?;
                Some(SourceView {
                    key: key.to_owned(),
                    words: source.words.clone(),
                    standing: source.standing.words().to_owned(),
                })
            })
            .collect()
    }
}

/// How much is known, over the facts that decide most.
#[derive(Default)]
struct Facts {
    known: usize,
    assumed: usize,
    unknown: usize,
}

impl Facts {
    fn of(vehicle: &Vehicle) -> Facts {
        let mut facts = Facts::default();
        for (_, wire) in vehicle.wires.iter() {
            facts.count(&wire.area);
            facts.count(&wire.length);
            facts.count(&wire.core);
            facts.count(&wire.insulation);
        }
        for (_, device) in vehicle.devices.iter() {
            facts.count(&device.reach);
            for fact in device.attributes.values() {
                facts.count(fact);
            }
        }
        facts
    }

    fn count<T>(&mut self, fact: &model::Fact<T>) {
        if fact.is_unknown() {
            self.unknown += 1;
        } else if fact.is_assumed() {
            self.assumed += 1;
        } else {
            self.known += 1;
        }
    }
}
