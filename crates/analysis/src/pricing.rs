//! Prices of repairs: openings shared once through the planner, work, proof, writing up, parts, tax; three
//! choices and any subset, with what each repair adds.

use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};

use access::{Effort, NoPlan, PaidFor, Partial, Permitted, Spread, plan_reachable};
use price::{Bill, Fault, Item, Line, Spreads, Tax, bill, spreads, with_currency};
use units::{Currency, Money};

use crate::case::Case;
use crate::mend_view::{MendList, MendOffer};
use crate::price_parts::{expired, one_currency};
use crate::price_view::{ChoiceView, MarginalView, PRICE_SCHEMA, PriceLine, PriceView};
use crate::service_view::{in_money, tenth};

/// Which repairs a price is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Choice {
    /// Those that cure what is marked DANGER or WARNING.
    Danger,
    /// Those on what was complained of.
    Complaint,
    /// All.
    All,
}

/// What a price is asked for.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct PriceAsked {
    /// A choice; none: what the record's `[mends]` name, else everything.
    pub choice: Option<Choice>,
    /// Repairs besides, by name.
    pub with: Vec<String>,
    /// Repairs left out, by name.
    pub without: Vec<String>,
    /// The day up to which the price holds, as `2026-05-02`.
    pub valid_until: Option<String>,
    /// The day it is looked at.
    pub today: Option<String>,
}

/// Why there is no price.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum PriceFault {
    /// Amounts in two currencies.
    #[error(
        "amounts are in two currencies: {first} ({first_at}) and {second} ({second_at}); write all in one"
    )]
    Mixed {
        /// One of them.
        first: String,
        /// Where it stands.
        first_at: String,
        /// The other.
        second: String,
        /// Where that stands.
        second_at: String,
    },
    /// The day is over.
    #[error(
        "the price held until {until}, and it is {today}: ask for it anew, rates and parts may have changed"
    )]
    Expired {
        /// The last day.
        until: String,
        /// Today.
        today: String,
    },
    /// No such repairs are offered.
    #[error("no repair is offered under the name {}", .0.join(", "))]
    NoSuchRepair(Vec<String>),
    /// Two repairs of which one only can be done.
    #[error(
        "`{first}` and `{second}` change the same: one of them only can be done; leave the other out (`--without {second}`)"
    )]
    Excluded {
        /// One of them.
        first: String,
        /// The other.
        second: String,
    },
    /// A sum too large to hold.
    #[error("a sum is too large: look at the rates and prices in [workshop]")]
    TooLarge,
}

/// How the money of repairs is spread, before tax.
#[derive(Clone, Debug, PartialEq)]
pub struct MoneySpread {
    /// Amounts in rising order, each with its share of the cases.
    pub shares: Vec<(f64, f64)>,
    /// Not exceeded in half of the cases.
    pub p50_money: f64,
    /// Not exceeded in eight of ten.
    pub p80_money: f64,
    /// Expected.
    pub mean_money: f64,
    /// The currency; empty when none is written.
    pub currency: String,
    /// How many repairs.
    pub repairs: usize,
}

/// Prices one set of repairs after another, opening each set of places once.
pub(crate) struct Pricer<'c> {
    pub(crate) case: &'c Case,
    pub(crate) list: &'c MendList,
    pub(crate) currency: Option<Currency>,
    opened: RefCell<BTreeMap<BTreeSet<String>, Opened>>,
}

/// The opening for a set of places.
#[derive(Clone, Default)]
pub(crate) struct Opened {
    times: Vec<Spread>,
    risks: Vec<(f64, u64)>,
    pub(crate) destroyed: Vec<String>,
    not_opened: Vec<String>,
}

/// A priced set of repairs.
pub(crate) struct Priced {
    pub(crate) lines: Vec<(String, Line)>,
    pub(crate) bill: Bill,
    pub(crate) opened: Opened,
}

impl Case {
    /// The price of repairs.
    ///
    /// # Errors
    /// [`PriceFault`] says what is in the way; the record is not changed by anything here.
    pub fn price(&self, asked: &PriceAsked) -> Result<PriceView, PriceFault> {
        expired(asked)?;
        let pricer = Pricer::of(self)?;
        let set = pricer.asked_set(asked)?;
        let mut view = PriceView {
            schema: PRICE_SCHEMA.to_owned(),
            currency: pricer.currency.map_or_else(String::new, |c| c.code().to_owned()),
            hour: pricer.rate_words(self.vehicle().rates.hour),
            licensed_hour: pricer.rate_words(self.vehicle().rates.licensed_hour),
            missing_rates: pricer.missing_rates(),
            choices: Vec::new(),
            asked: pricer.choice_view("asked", "What was asked for", &set)?,
            marginal: pricer.marginals(&set)?,
            materials: pricer.materials(&set)?,
            authorisations: self.authorisations(),
            flags: Vec::new(),
            law: self.law(),
            valid_until: asked.valid_until.clone().unwrap_or_default(),
            notes: NOTES.iter().map(|note| (*note).to_owned()).collect(),
        };
        for (choice, id, title) in CHOICES {
            let set = pricer.choice(choice);
            if !set.is_empty() || pricer.has_reason(choice) {
                view.choices.push(pricer.choice_view(id, title, &set)?);
            }
        }
        view.notes.push(format!("Fix the complaint: repairs chosen {}.", self.complaint().words));
        view.flags = pricer.flags(&set, view.asked.total_cents);
        view.flags.extend(pricer.not_priced());
        Ok(view)
    }

    /// How the money of what is asked for is spread; none without an hourly rate or without repairs.
    ///
    /// # Errors
    /// As [`Case::price`].
    pub fn price_spread(&self, asked: &PriceAsked) -> Result<Option<MoneySpread>, PriceFault> {
        let pricer = Pricer::of(self)?;
        let set = pricer.asked_set(asked)?;
        let priced = pricer.priced(&set)?;
        let lines: Vec<Line> = priced.lines.into_iter().map(|(_, line)| line).collect();
        let spreads = spreads(&lines);
        let (Some(p50), Some(p80)) = (spreads.p50_cents, spreads.p80_cents) else {
            return Ok(None);
        };
        if self.vehicle().rates.hour.is_none() || set.is_empty() {
            return Ok(None);
        }
        let shares = Spreads::money_shares(&lines).into_iter();
        Ok(Some(MoneySpread {
            shares: shares.map(|(cents, share)| (in_money(cents), share)).collect(),
            p50_money: in_money(p50),
            p80_money: in_money(p80),
            mean_money: in_money(priced.bill.net.cents() as f64),
            currency: pricer.currency.map_or_else(String::new, |c| c.code().to_owned()),
            repairs: set.len(),
        }))
    }

    /// True when the record says what an hour costs.
    pub fn wants_price(&self) -> bool {
        self.vehicle().rates.hour.is_some()
    }
}

/// The three choices: none of them says that nothing else is wrong.
const CHOICES: [(Choice, &str, &str); 3] = [
    (Choice::Danger, "danger", "End the dangers found"),
    (Choice::Complaint, "complaint", "Fix the complaint"),
    (Choice::All, "all", "Put right what was found"),
];

const NOTES: [&str; 4] = [
    "Each choice ends findings that were made; it does not say that nothing else is wrong. What was not seen was not judged.",
    "Openings that repairs share are counted once; the way in is planned anew for each set.",
    "Expected minutes: (low + 4 likely + high) / 6. Half and eight of ten cases: the times added up as independent; what is rusted in one place is often rusted in the next, so the true spread is wider.",
    "Each line is rounded once to the nearest cent, halves away from zero; the sum is of rounded lines; tax is taken once, of the sum.",
];

impl<'c> Pricer<'c> {
    pub(crate) fn of(case: &'c Case) -> Result<Pricer<'c>, PriceFault> {
        let currency = one_currency(case)?;
        Ok(Pricer { case, list: case.mends(), currency, opened: RefCell::default() })
    }

    pub(crate) fn offer(&self, id: &str) -> Option<&MendOffer> {
        self.list.offers.iter().find(|offer| offer.id == id)
    }

    fn asked_set(&self, asked: &PriceAsked) -> Result<Vec<String>, PriceFault> {
        let named = asked.with.iter().chain(&asked.without);
        let unknown: Vec<String> = named.filter(|id| self.offer(id).is_none()).cloned().collect();
        if !unknown.is_empty() {
            return Err(PriceFault::NoSuchRepair(unknown));
        }
        let mut set = match asked.choice {
            Some(choice) => self.choice(choice),
            None if !asked.with.is_empty() && asked.without.is_empty() => Vec::new(),
            None => self.chosen_or_all(),
        };
        set.extend(asked.with.iter().cloned());
        set.retain(|id| !asked.without.contains(id));
        let set = self.in_order(&set);
        match self.excluded(&set) {
            Some([first, second]) => Err(PriceFault::Excluded { first, second }),
            None => Ok(set),
        }
    }

    /// Two repairs of a set of which one only can be done.
    fn excluded(&self, set: &[String]) -> Option<[String; 2]> {
        let offers: Vec<&MendOffer> = set.iter().filter_map(|id| self.offer(id)).collect();
        offers.iter().enumerate().find_map(|(at, first)| {
            let second = offers[at + 1..].iter().find(|second| second.excludes(first))?;
            Some([first.id.clone(), second.id.clone()])
        })
    }

    /// Each once, in the order of the offers.
    fn in_order(&self, set: &[String]) -> Vec<String> {
        let offers = self.list.offers.iter().map(|offer| offer.id.clone());
        offers.filter(|id| set.contains(id)).collect()
    }

    fn chosen_or_all(&self) -> Vec<String> {
        let planned = self.list.chosen.iter().map(|mend| mend.name.clone());
        let planned: Vec<String> = planned.filter(|id| self.offer(id).is_some()).collect();
        if planned.is_empty() { self.choice(Choice::All) } else { planned }
    }

    /// The repairs of a choice: of several that cure the same, the one that was chosen, else the first;
    /// none that cannot be done beside another.
    pub(crate) fn choice(&self, choice: Choice) -> Vec<String> {
        let wanted = |offer: &&MendOffer| match choice {
            Choice::All => true,
            Choice::Danger => offer.cures.iter().any(|cured| self.is_danger(&cured.signal)),
            Choice::Complaint => self.case.complaint().repairs.contains(&offer.id),
        };
        let is_chosen = |offer: &&MendOffer| self.list.chosen.iter().any(|m| m.name == offer.id);
        let offers: Vec<&MendOffer> = self.list.offers.iter().filter(wanted).collect();
        let (first, rest): (Vec<&MendOffer>, Vec<&MendOffer>) =
            offers.into_iter().partition(is_chosen);
        let mut taken: Vec<&MendOffer> = Vec::new();
        for offer in first.into_iter().chain(rest) {
            let is_new = |key| !taken.iter().any(|other| cures(other).any(|cured| cured == key));
            if !cures(offer).any(is_new) {
                continue;
            }
            // Of repairs that change the same, the one that cures all the others do, else the first.
            let gives_way = |other: &MendOffer| {
                !is_chosen(&other) && cures(other).all(|key| cures(offer).any(|own| own == key))
            };
            if taken.iter().all(|other| !other.excludes(offer) || gives_way(other)) {
                taken.retain(|other| !other.excludes(offer));
                taken.push(offer);
            }
        }
        // What came later may cure all that an earlier one does.
        for offer in taken.clone().iter().filter(|offer| !is_chosen(offer)) {
            let others = || taken.iter().filter(|other| other.id != offer.id);
            if cures(offer).all(|key| others().any(|other| cures(other).any(|own| own == key))) {
                taken.retain(|other| other.id != offer.id);
            }
        }
        let set: Vec<String> = taken.iter().map(|offer| offer.id.clone()).collect();
        self.in_order(&set)
    }

    /// Whether there is anything that a choice should end, though no repair does.
    fn has_reason(&self, choice: Choice) -> bool {
        let vehicle = self.case.vehicle();
        match choice {
            Choice::Danger => {
                self.case.failing().values().any(|signal| self.is_danger(signal.word()))
            }
            Choice::Complaint => !vehicle.complaint.is_empty() || !vehicle.symptoms.is_empty(),
            Choice::All => true,
        }
    }

    fn is_danger(&self, signal: &str) -> bool {
        self.case.catalog.pricing.danger_signals.iter().any(|word| word == signal)
    }

    /// Lines and sum of a set of repairs.
    pub(crate) fn priced(&self, set: &[String]) -> Result<Priced, PriceFault> {
        let offers: Vec<&MendOffer> = set.iter().filter_map(|id| self.offer(id)).collect();
        let opened = self.opened(&offers);
        let lines = self.lines(&offers, &opened);
        let tax = self.case.vehicle().rates.tax.value().and_then(|share| Tax::of_share(share.si()));
        let bare: Vec<Line> = lines.iter().map(|(_, line)| line.clone()).collect();
        let bill = bill(&bare, tax).map_err(|fault| match fault {
            Fault::Mixed(first, second) => PriceFault::Mixed {
                first: first.code().to_owned(),
                first_at: "[workshop]".to_owned(),
                second: second.code().to_owned(),
                second_at: "the record".to_owned(),
            },
            Fault::TooLarge => PriceFault::TooLarge,
        })?;
        Ok(Priced { lines, bill, opened })
    }

    fn lines(&self, offers: &[&MendOffer], opened: &Opened) -> Vec<(String, Line)> {
        if offers.is_empty() {
            return Vec::new();
        }
        let (rates, pricing) = (&self.case.vehicle().rates, &self.case.catalog.pricing);
        let count = offers.len() as f64;
        let work = |kind: &str, what: String, minutes: Vec<Spread>, hour: Option<Money>| {
            (kind.to_owned(), Line { what, item: Item::Work { minutes, hour } })
        };
        let mut lines = Vec::new();
        if !opened.times.is_empty() {
            let what = "open and close, shared by all".to_owned();
            lines.push(work("opening", what, opened.times.clone(), rates.hour));
        }
        if !opened.risks.is_empty() {
            let line = Line {
                what: "what the opening breaks or may break".to_owned(),
                item: Item::Risk(opened.risks.clone()),
            };
            lines.push(("breakage".to_owned(), line));
        }
        let dead = vec![spread(pricing.dead_and_live_min, 1.0)];
        lines.push(work(
            "dead",
            "make dead and prove it; switch on again".to_owned(),
            dead,
            rates.hour,
        ));
        for offer in offers {
            let hour = if offer.by == "licensed" { rates.licensed_hour } else { rates.hour };
            let minutes = offer.work.iter().map(|task| spread(task.minutes, 1.0)).collect();
            lines.push(work("work", offer.title.clone(), minutes, hour));
        }
        let proof = vec![spread(pricing.proof_each_min, 1.0); offers.len()];
        let what = match offers.len() {
            1 => "prove the repair by measurement".to_owned(),
            _ => format!("prove {count} repairs by measurement"),
        };
        lines.push(work("proof", what, proof, rates.hour));
        let write =
            vec![spread(pricing.write_up_once_min, 1.0), spread(pricing.write_up_each_min, count)];
        lines.push(work("write-up", "write it up".to_owned(), write, rates.hour));
        lines.extend(self.goods(offers).into_iter().map(|(row, each)| {
            let times = if row.unit == "m" { "m of" } else { "×" };
            let what = format!("{} {times} {}", trimmed(row.quantity), row.what);
            ("part".to_owned(), Line { what, item: Item::Goods { quantity: row.quantity, each } })
        }));
        lines
    }

    /// The cheapest opening for all places of some repairs, counted once for each set of places.
    fn opened(&self, offers: &[&MendOffer]) -> Opened {
        let places: BTreeSet<String> =
            offers.iter().flat_map(|offer| offer.reach.clone()).collect();
        if let Some(known) = self.opened.borrow().get(&places) {
            return known.clone();
        }
        let opened = self.open(&places);
        self.opened.borrow_mut().insert(places, opened.clone());
        opened
    }

    fn open(&self, places: &BTreeSet<String>) -> Opened {
        let mut opened = Opened::default();
        let mut targets = Vec::new();
        for name in places {
            match self.case.reach_named(name) {
                Some(reach) => targets.push(access::vehicle::target(name, &reach)),
                None => opened.not_opened.push(format!("{name}: what hides it is not recorded")),
            }
        }
        let (hour, broken) = (self.case.vehicle().rates.hour, &self.case.catalog.stand_ins);
        let costing = access::vehicle::costing(
            hour.unwrap_or(broken.workshop_hour).cents(),
            broken.broken_part.cents(),
            Permitted::Anything,
        );
        let problem = &self.case.problem;
        match plan_reachable(problem, &targets, &costing, Effort::USUAL) {
            Ok(Partial { plan, unreachable, .. }) => {
                opened.not_opened.extend(unreachable.iter().map(|stuck| stuck.reason.to_string()));
                for paid in plan.paid(problem, &costing) {
                    match paid.what {
                        PaidFor::Removal(index) => {
                            let removal = &problem.removals[index.0];
                            opened.times.extend([removal.minutes_out, removal.minutes_back]);
                            let harm = removal.breakage.unwrap_or(costing.if_unpriced);
                            if removal.damage != access::Damage::None {
                                opened.risks.push((harm.probability, harm.cost_minor));
                            }
                            if removal.damage == access::Damage::Destroys {
                                opened.destroyed.push(problem.parts[removal.part.0].name.clone());
                            }
                        }
                        PaidFor::Setup(index) => {
                            let setup = &problem.setups[index.0];
                            opened.times.extend([setup.minutes_out, setup.minutes_back]);
                        }
                    }
                }
            }
            Err(NoPlan::Unreachable(stuck)) => {
                opened.not_opened.extend(stuck.iter().map(|stuck| stuck.reason.to_string()));
            }
            Err(reason) => opened.not_opened.push(reason.to_string()),
        }
        opened
    }

    fn marginals(&self, set: &[String]) -> Result<Vec<MarginalView>, PriceFault> {
        let whole = self.priced(set)?;
        let minutes =
            |priced: &Priced| priced.lines.iter().map(|(_, line)| line.minutes()).sum::<f64>();
        let mut rows = Vec::new();
        for offer in &self.list.offers {
            let is_in = set.contains(&offer.id);
            let mut other: Vec<String> =
                set.iter().filter(|id| **id != offer.id).cloned().collect();
            let mut instead_of = Vec::new();
            if !is_in {
                // What cannot be done beside it gives way.
                let gives_way =
                    |id: &String| self.offer(id).is_some_and(|known| known.excludes(offer));
                (instead_of, other) = other.into_iter().partition(gives_way);
                other.push(offer.id.clone());
            }
            let other = self.priced(&self.in_order(&other))?;
            let sign = if is_in { 1 } else { -1 };
            let cents = sign * (whole.bill.total.cents() - other.bill.total.cents());
            let known = self.case.vehicle().rates.hour.is_some();
            rows.push(MarginalView {
                repair: offer.id.clone(),
                title: offer.title.clone(),
                is_in,
                instead_of,
                amount: if known {
                    Money::from_cents(cents, self.currency).to_string()
                } else {
                    String::new()
                },
                cents: known.then_some(cents),
                minutes: tenth(f64::from(sign as i32) * (minutes(&whole) - minutes(&other))),
            });
        }
        Ok(rows)
    }

    fn choice_view(&self, id: &str, title: &str, set: &[String]) -> Result<ChoiceView, PriceFault> {
        let priced = self.priced(set)?;
        let bare: Vec<Line> = priced.lines.iter().map(|(_, line)| line.clone()).collect();
        let spreads = spreads(&bare);
        let has_rate = self.case.vehicle().rates.hour.is_some();
        let words = |money: Money| with_currency(money, self.currency).to_string();
        let with_tax = |cents: Option<f64>| {
            let net = Money::from_cents(cents?.round() as i64, self.currency);
            let share = self.case.vehicle().rates.tax.value().and_then(|s| Tax::of_share(s.si()));
            let tax = share.map_or(Some(Money::from_cents(0, self.currency)), |tax| tax.on(net))?;
            net.checked_add(tax).map(words)
        };
        let lines: Vec<PriceLine> = priced
            .lines
            .iter()
            .zip(&priced.bill.amounts)
            .map(|((kind, line), amount)| self.line_view(kind, line, *amount))
            .collect();
        let without =
            lines.iter().filter(|line| line.cents.is_none()).map(|line| line.what.clone());
        let without_amount: Vec<String> = without.collect();
        Ok(ChoiceView {
            id: id.to_owned(),
            title: title.to_owned(),
            repairs: set.to_vec(),
            minutes: tenth(spreads.mean_min),
            minutes_p50: tenth(spreads.p50_min),
            minutes_p80: tenth(spreads.p80_min),
            minutes_p80_lognormal: tenth(spreads.lognormal_p80_min),
            net: if has_rate { words(priced.bill.net) } else { String::new() },
            tax: priced.bill.tax.filter(|_| has_rate).map_or_else(String::new, words),
            total: if has_rate { words(priced.bill.total) } else { String::new() },
            net_cents: has_rate.then_some(priced.bill.net.cents()),
            tax_cents: priced.bill.tax.filter(|_| has_rate).map(|tax| tax.cents()),
            total_cents: has_rate.then_some(priced.bill.total.cents()),
            total_p50: with_tax(spreads.p50_cents.filter(|_| has_rate)).unwrap_or_default(),
            total_p80: with_tax(spreads.p80_cents.filter(|_| has_rate)).unwrap_or_default(),
            without_amount,
            not_opened: priced.opened.not_opened.clone(),
            destroyed: priced.opened.destroyed.clone(),
            stays: self.stays(set),
            lines,
        })
    }
}

/// What a repair cures: checks with their places.
pub(crate) fn cures(offer: &MendOffer) -> impl Iterator<Item = (&str, &str)> {
    offer.cures.iter().map(|cured| (cured.check.as_str(), cured.place.as_str()))
}

fn spread([low_min, likely_min, high_min]: [f64; 3], times: f64) -> Spread {
    Spread { low_min, likely_min, high_min }.times(times)
}

/// Without zeros at the end.
pub(crate) fn trimmed(number: f64) -> String {
    let text = format!("{number:.2}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}
