//! What repairs take in goods: wire with slack, what ends it, devices, what is used up, what the way in
//! sacrifices; what was agreed to, and what is outside of it.

use std::collections::BTreeSet;

use price::{Cap, Covered, covered, goods, with_currency};
use units::Money;

use crate::case::Case;
use crate::mend_view::{MendOffer, PartLine};
use crate::price_view::{AuthorisationView, LawView, MaterialRow};
use crate::pricing::{PriceFault, Pricer};

/// The word by which an authorisation allows all repairs.
const EVERYTHING: &str = "everything";
const CHECK: &str = "Facts in our own words, no legal advice: check your local law.";

impl Pricer<'_> {
    /// Everything a set of repairs takes, with what the way in uses up and destroys.
    pub(crate) fn materials(&self, set: &[String]) -> Result<Vec<MaterialRow>, PriceFault> {
        let offers: Vec<&MendOffer> = set.iter().filter_map(|id| self.offer(id)).collect();
        let mut rows: Vec<MaterialRow> =
            self.goods(&offers).into_iter().map(|(row, _)| row).collect();
        let places: BTreeSet<String> =
            offers.iter().flat_map(|offer| offer.reach.clone()).collect();
        let places: Vec<String> = places.into_iter().collect();
        let supplies = self.case.opening(&places).map_or_else(|_| Vec::new(), |o| o.supplies);
        rows.extend(supplies.into_iter().map(|supply| MaterialRow {
            sort: "used up".to_owned(),
            what: supply.what,
            quantity: supply.expected.ceil(),
            unit: "piece".to_owned(),
            ..MaterialRow::default()
        }));
        for part in &self.priced(set)?.opened.destroyed {
            rows.push(MaterialRow {
                sort: "sacrificed".to_owned(),
                what: format!("{part}: the way in destroys it, have a new one ready"),
                quantity: 1.0,
                unit: "piece".to_owned(),
                ..MaterialRow::default()
            });
        }
        Ok(rows)
    }

    /// Goods alike together, each with its price if there is one.
    pub(crate) fn goods(&self, offers: &[&MendOffer]) -> Vec<(MaterialRow, Option<Money>)> {
        let mut rows: Vec<(MaterialRow, Option<Money>)> = Vec::new();
        for offer in offers {
            for part in offer.parts.iter().flat_map(|part| self.with_sundries(part)) {
                let known =
                    rows.iter_mut().find(|(row, _)| row.sort == part.sort && row.what == part.what);
                match known {
                    Some((row, _)) => {
                        row.quantity += part.quantity;
                        if !row.for_repairs.contains(&offer.id) {
                            row.for_repairs.push(offer.id.clone());
                        }
                    }
                    None => {
                        let each = self.price_of(&part);
                        let row = MaterialRow {
                            sort: part.sort.clone(),
                            what: part.what.clone(),
                            quantity: part.quantity,
                            unit: part.unit.clone(),
                            for_repairs: vec![offer.id.clone()],
                            ..MaterialRow::default()
                        };
                        rows.push((row, each));
                    }
                }
            }
        }
        for (row, each) in &mut rows {
            row.quantity = (row.quantity * 100.0).ceil() / 100.0;
            if row.unit != "m" {
                row.quantity = row.quantity.ceil();
            }
            let amount = each.and_then(|each| goods(each, row.quantity));
            row.each = each.map_or_else(String::new, |money| money.to_string());
            row.amount = amount.map_or_else(String::new, |money| money.to_string());
        }
        rows
    }

    /// A part with its slack, and what goes with it.
    fn with_sundries(&self, part: &PartLine) -> Vec<PartLine> {
        let pricing = &self.case.catalog.pricing;
        let sundry = |what: &str, quantity: f64| PartLine {
            sort: "used up".to_owned(),
            what: what.to_owned(),
            quantity,
            unit: "piece".to_owned(),
            why: String::new(),
            size_mm2: None,
            rated_a: None,
        };
        let mut part = part.clone();
        match part.sort.as_str() {
            "wire" => {
                part.quantity += part.quantity * pricing.slack_share + pricing.slack_each.si();
                let ties = sundry("cable tie", part.quantity * pricing.ties_per_metre);
                vec![part, ties]
            }
            "lug" => {
                let sleeves = part.quantity * pricing.sleeves_per_lug;
                vec![part, sundry("heat-shrink sleeve", sleeves)]
            }
            _ => vec![part],
        }
    }

    /// The price of the closest name: what it is, sort with size or rating, sort alone.
    fn price_of(&self, part: &PartLine) -> Option<Money> {
        let prices = &self.case.vehicle().rates.prices;
        let sized = part.size_mm2.map(|size| format!("{} {} mm2", part.sort, number(size)));
        let rated = part.rated_a.map(|rated| format!("{} {} A", part.sort, number(rated)));
        let names = [Some(part.what.clone()), sized, rated, Some(part.sort.clone())];
        let found = names.into_iter().flatten().find_map(|name| prices.get(&name).copied());
        found.map(|money| with_currency(money, self.currency))
    }

    /// What is outside of what was agreed to, and what needs a new yes.
    pub(crate) fn flags(&self, set: &[String], total_cents: Option<i64>) -> Vec<String> {
        let vehicle = self.case.vehicle();
        let mut flags = Vec::new();
        if vehicle.authority.is_empty() {
            if self.list.chosen.iter().any(|mend| mend.stands == "done") {
                flags.push("repairs are done, and no authorisation is recorded".to_owned());
            }
            return flags;
        }
        // What was said last about a repair holds.
        let allowed = |id: &str| {
            vehicle.authority.iter().rev().find_map(|given| {
                let names = |list: &[String]| list.iter().any(|n| n == id || n == EVERYTHING);
                match (names(&given.declines), names(&given.allows)) {
                    (true, _) => Some(false),
                    (false, true) => Some(true),
                    (false, false) => None,
                }
            })
        };
        for mend in self.list.chosen.iter().filter(|mend| mend.stands == "done") {
            match allowed(&mend.name) {
                Some(true) => {}
                Some(false) => flags.push(format!("{} was declined, and it is done", mend.name)),
                None => flags.push(format!("{} is done outside of what was agreed to", mend.name)),
            }
        }
        for id in set {
            match allowed(id) {
                Some(true) => {}
                Some(false) => flags.push(format!("{id} is in the price, and it was declined")),
                None => {
                    flags.push(format!("{id} is in the price, and nobody has agreed to it yet"))
                }
            }
        }
        flags.extend(self.over_run(total_cents));
        flags
    }

    fn over_run(&self, total_cents: Option<i64>) -> Option<String> {
        let vehicle = self.case.vehicle();
        let agreed = vehicle.authority.iter().rev().find_map(|given| given.total)?;
        let total = Money::from_cents(total_cents?, self.currency);
        let law = vehicle.rates.law.as_deref().and_then(|key| self.case.catalog.laws.get(key));
        let law = law.filter(|law| !law.recalled_cap);
        let agreed = with_currency(agreed, self.currency);
        let done = self.list.chosen.iter().filter(|mend| mend.stands == "done");
        let done: Vec<&str> = done.map(|mend| mend.name.as_str()).collect();
        if !done.is_empty() {
            return Some(format!(
                "{total} is what is still to do; {} is done and not in it: add what that came to before \
                 you hold it against the {agreed} agreed to. {CHECK}",
                done.join(", ")
            ));
        }
        // The lesser of a share and an amount: of an amount in another currency only the share is known.
        let most = law.and_then(|law| law.over_amount);
        let is_known = most.is_none_or(|most| most.currency() == total.currency());
        let cap = law.map_or_else(Cap::default, |law| Cap {
            percent: law.over_percent,
            cents: most.filter(|_| is_known).map(Money::cents),
        });
        match covered(total, agreed, cap) {
            Covered::Within => None,
            Covered::WithinOverRun if !is_known => Some(format!(
                "{total} is above the {agreed} agreed to; the rules chosen name an amount in another \
                 currency, so whether it is within their over-run cannot be told. {CHECK}"
            )),
            Covered::WithinOverRun => Some(format!(
                "{total} is above the {agreed} agreed to, within the over-run of the rules chosen: {CHECK}"
            )),
            Covered::AskFor(more) => Some(format!(
                "{total} is {more} above the {agreed} agreed to: ask for a new yes before going on. {CHECK}"
            )),
            Covered::NotComparable => {
                Some("the total and what was agreed to are in different currencies".to_owned())
            }
        }
    }
}

impl Case {
    /// What was agreed to, as the record says it, with what is missing in it.
    pub fn authorisations(&self) -> Vec<AuthorisationView> {
        let of = |given: &model::Authorisation| {
            let said = [
                ("who", &given.by),
                ("by which way", &given.channel),
                ("when", &given.on),
                ("in which words", &given.words),
                ("who wrote it down", &given.recorder),
            ];
            let said = said.into_iter().filter(|(_, text)| text.is_empty());
            let mut lacks: Vec<String> = said.map(|(what, _)| what.to_owned()).collect();
            if given.total.is_none() {
                lacks.push("the new total".to_owned());
            }
            if given.allows.is_empty() && given.declines.is_empty() {
                lacks.push("what it is about".to_owned());
            }
            AuthorisationView {
                name: given.name.clone(),
                by: given.by.clone(),
                channel: given.channel.clone(),
                on: given.on.clone(),
                allows: given.allows.clone(),
                declines: given.declines.clone(),
                total: given.total.map_or_else(String::new, |total| total.to_string()),
                words: given.words.clone(),
                recorder: given.recorder.clone(),
                lacks,
            }
        };
        self.vehicle().authority.iter().map(of).collect()
    }

    /// Rules on estimates of the jurisdiction the record names.
    pub fn law(&self) -> Option<LawView> {
        let row = self.catalog.laws.get(self.vehicle().rates.law.as_deref()?)?;
        let source = self.catalog.sources.get(&row.source);
        Some(LawView {
            name: row.name.clone(),
            source: source.map_or_else(String::new, |source| source.words.clone()),
            standing: source.map_or_else(String::new, |source| source.standing.words().to_owned()),
            edition: row.edition.clone(),
            rules: row.rules.clone(),
            opening: row.opening.clone(),
            caution: CHECK.to_owned(),
        })
    }
}

fn number(value: f64) -> String {
    crate::pricing::trimmed(value)
}
