//! What the workshop charges, and what was agreed to.

use std::collections::BTreeMap;

use diag::Diagnostic;
use model::Authorisation;
use units::{Dimension, Fraction, Money};

use crate::fields;
use crate::names;
use crate::possible::Must;
use crate::reader::Reader;
use crate::tree::{Entry, Value};

impl Reader<'_> {
    /// Rates, tax and prices of `[workshop]`.
    pub(crate) fn rates(&mut self, table: &BTreeMap<&'static str, Value<'_>>) {
        self.vehicle.rates.hour = self.price(table.get("hour"));
        self.vehicle.rates.licensed_hour = self.price(table.get("licensed_hour"));
        if let Some(value) = table.get("tax") {
            let tax = self.quantity(value, Dimension::Fraction);
            let whole = Must::Between(0.0, 1.0, Dimension::Fraction);
            let tax = self.possible("tax", tax, whole, value.span());
            self.vehicle.rates.tax = tax.map(|share| Fraction::from_si(*share));
        }
        if let Some(value) = table.get("prices") {
            self.prices(value);
        }
        let law = table.get("law").and_then(|value| self.text_of(value));
        if let Some(law) = law {
            let known: Vec<&str> = self.catalog.laws.iter().map(|(key, _)| key).collect();
            if known.contains(&law.text) {
                self.vehicle.rates.law = Some(law.text.to_owned());
            } else {
                let message =
                    format!("no rules on estimates are known for `{}`", names::shown(law.text));
                let fault = Diagnostic::error("unknown-law", message, law.span());
                let otherwise = format!("known: {}; check your local law", known.join(", "));
                self.faults.suggest(fault, law.text, known.iter().copied(), &otherwise);
            }
        }
    }

    fn price(&mut self, value: Option<&Value<'_>>) -> Option<Money> {
        let words = self.text_of(value?)?;
        self.money(words)
    }

    fn prices(&mut self, value: &Value<'_>) {
        let Some(entries) = value.entries() else {
            let message = format!("prices stand in braces, but this is {}", value.sort());
            self.report(
                Diagnostic::error("wrong-form", message, value.span())
                    .help("write `prices = { lug = \"0.85 EUR\" }`"),
            );
            return;
        };
        for entry in entries {
            if let Some(money) = self.price(Some(&entry.value)) {
                self.vehicle.rates.prices.insert(entry.key.text.to_owned(), money);
            }
        }
    }

    /// `[authority]`.
    pub(crate) fn authority(&mut self, lines: &[Entry<'_>]) {
        for line in lines {
            let Some(name) = self.name(&line.key).map(str::to_owned) else { continue };
            let form = fields::authorisation();
            let Some(table) = self.table(&line.value, &form, "an authorisation") else { continue };
            let text = |reader: &mut Self, key: &str| {
                let words = table.get(key).and_then(|value| reader.text_of(value));
                words.map_or_else(String::new, |words| words.text.to_owned())
            };
            let list = |reader: &mut Self, key: &str| -> Vec<String> {
                let words = table.get(key).map_or_else(Vec::new, |value| reader.list_of(value));
                words.into_iter().map(|words| words.text.to_owned()).collect()
            };
            let given = Authorisation {
                by: text(self, "by"),
                channel: text(self, "channel"),
                on: text(self, "on"),
                allows: list(self, "allows"),
                declines: list(self, "declines"),
                total: self.price(table.get("total")),
                words: text(self, "words"),
                recorder: text(self, "recorder"),
                name,
            };
            self.vehicle.authority.push(given);
        }
    }
}
