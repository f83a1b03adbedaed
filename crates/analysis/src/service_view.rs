//! What it takes to reach everything that wants service, over a year; and what one more thing costs
//! while something is open.

use access::{
    Access, AccessIndex, Item, Opening, Percentile, Permitted, Plan, Proof, access_index,
    service_access, while_open,
};
use model::{Device, Fact, Reach, Role};
use schemars::JsonSchema;
use serde::Serialize;

use crate::case::Case;
use crate::learned::counted;

/// Form and version of [`ServiceTable`].
pub const SERVICE_SCHEMA: &str = "unbury.service-access/1";

/// Everything that wants service, and what it takes to reach it.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct ServiceTable {
    /// Form and version.
    pub schema: String,
    /// The items; most minutes a year first, those nothing can be said of last.
    pub items: Vec<ServiceItem>,
    /// Over a year.
    pub index: IndexView,
    /// The record's money; absent when no price names one.
    pub currency: Option<String>,
    /// What the figures rest on.
    pub rests_on: Vec<String>,
}

/// One item that wants service.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct ServiceItem {
    /// Its name in the record.
    pub item: String,
    /// What people call it.
    pub label: String,
    /// What is done to it.
    pub service: String,
    /// How often in a year; absent when not known.
    pub per_year: Option<f64>,
    /// How that is known: `assumed`, `told`, `seen`, `measured` or `not known`.
    pub per_year_origin: String,
    /// `in the open`, `whole`, `cheapest destroys`, `only by destroying`, `no way` or `cannot tell`.
    pub outcome: String,
    /// In words.
    pub words: String,
    /// Expected minutes to open and close.
    pub minutes: Option<f64>,
    /// Minutes not exceeded in half of the cases.
    pub minutes_p50: Option<f64>,
    /// Minutes not exceeded in 8 of 10 cases.
    pub minutes_p80: Option<f64>,
    /// Whether the minutes of any step are assumed.
    pub minutes_assumed: bool,
    /// Expected cost of breakage each time, in the record's money.
    pub breakage_money: Option<f64>,
    /// Cost of time and breakage not exceeded in half of the cases, in the record's money.
    pub cost_p50_money: Option<f64>,
    /// Cost of time and breakage not exceeded in 8 of 10 cases, in the record's money.
    pub cost_p80_money: Option<f64>,
    /// Parts that come out, in order.
    pub comes_out: Vec<String>,
    /// Of these, what the cheapest way destroys.
    pub destroys: Vec<String>,
    /// Expected minutes of the cheapest way that destroys nothing, where the cheapest does.
    pub whole_minutes: Option<f64>,
    /// Minutes usually thought bearable for what is wanted so often.
    pub bearable_minutes: Option<f64>,
    /// Expected minutes a year.
    pub minutes_per_year: Option<f64>,
    /// `proven cheapest` or the gap that is left.
    pub proof: String,
}

/// The access index.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct IndexView {
    /// Sum of rate times expected minutes; minutes a year.
    pub minutes_per_year: f64,
    /// The same with breakage, in the record's money a year.
    pub money_per_year: f64,
    /// Items counted.
    pub counted: usize,
    /// Items the index says nothing about: no way, no rate, or nobody said what covers them.
    pub left_out: usize,
}

/// One more thing that could be done while something is open.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct FurtherView {
    /// Its name in the record.
    pub item: String,
    /// What is done to it.
    pub service: String,
    /// Expected minutes in addition.
    pub extra_minutes: f64,
    /// Expected cost of breakage in addition, in the record's money.
    pub extra_breakage_money: f64,
    /// Expected minutes if it were done on its own.
    pub alone_minutes: f64,
    /// Parts that come out in addition.
    pub comes_out: Vec<String>,
}

/// Something that wants service.
pub(crate) struct Wanted<'v> {
    pub(crate) device: &'v Device,
    pub(crate) what: &'v str,
    pub(crate) per_year: Fact<f64>,
}

impl Case {
    /// What it takes to reach everything that wants service.
    pub fn service_table(&self) -> ServiceTable {
        let wanted = self.wanted();
        let items: Vec<Item> = wanted.iter().map(item_of).collect();
        let access = service_access(&self.problem, &items, &self.costing(Permitted::Anything));
        let mut rows: Vec<ServiceItem> =
            wanted.iter().zip(&access).map(|(wanted, access)| self.row(wanted, access)).collect();
        let known = |row: &ServiceItem| row.minutes_per_year.unwrap_or(-1.0);
        rows.sort_by(|a, b| {
            known(b)
                .total_cmp(&known(a))
                .then(b.minutes.unwrap_or(-1.0).total_cmp(&a.minutes.unwrap_or(-1.0)))
                .then_with(|| a.item.cmp(&b.item))
        });
        ServiceTable {
            schema: SERVICE_SCHEMA.to_owned(),
            index: self.index_view(&access_index(&items, &access)),
            currency: self.currency().map(|currency| currency.to_string()),
            rests_on: self.rests_on(&rows),
            items: rows,
        }
    }

    /// What else that wants service could be reached for less than on its own, once a device, spot,
    /// part or wire is open; cheapest first. `None` when there is no such thing or no way to it.
    pub fn while_open(&self, target: &str) -> Option<Vec<FurtherView>> {
        let reach = self.reach_named(target)?;
        let plan = self.plan(&reach, Permitted::Anything).ok()?;
        let wanted: Vec<Wanted<'_>> =
            self.wanted().into_iter().filter(|w| w.device.name != target).collect();
        let items: Vec<Item> = wanted.iter().map(item_of).collect();
        let targets: Vec<access::Target> = items.iter().map(|item| item.target.clone()).collect();
        let costing = self.costing(Permitted::Anything);
        let further = while_open(&self.problem, &Opening::after(&plan), &targets, &costing);
        let views = further.into_iter().filter_map(|further| {
            let extra = further.plan.ok()?;
            let wanted = &wanted[further.target.0];
            let alone = self.plan(wanted.device.reach.value()?, Permitted::Anything).ok()?;
            let saves = alone.cost_minor - extra.cost_minor > 1e-6;
            saves.then(|| FurtherView {
                item: wanted.device.name.clone(),
                service: wanted.what.to_owned(),
                extra_minutes: tenth(extra.total.mean_min),
                extra_breakage_money: in_money(extra.breakage_minor),
                alone_minutes: tenth(alone.total.mean_min),
                comes_out: self.parts_out(&extra),
            })
        });
        Some(views.collect())
    }

    /// Everything that wants service: devices that say so, and joints.
    pub(crate) fn wanted(&self) -> Vec<Wanted<'_>> {
        let joint = &self.catalog.service.joint;
        let devices = self.vehicle().devices.iter().map(|(_, device)| device);
        devices
            .filter_map(|device| {
                let (what, per_year) = match (&device.service, device.role) {
                    (Some(service), _) => (service.what.as_str(), service.per_year.clone()),
                    (None, Role::Junction) if !device.base_vehicle => {
                        (joint.what.as_str(), Fact::assumed(joint.per_year, "usual for joints"))
                    }
                    _ => return None,
                };
                Some(Wanted { device, what, per_year })
            })
            .collect()
    }

    fn row(&self, wanted: &Wanted<'_>, access: &Access) -> ServiceItem {
        let per_year = wanted.per_year.value().copied();
        let mut row = ServiceItem {
            item: wanted.device.name.clone(),
            label: wanted.device.label.clone(),
            service: wanted.what.to_owned(),
            per_year,
            per_year_origin: wanted.per_year.origin().map_or("not known", |o| o.word()).to_owned(),
            outcome: String::new(),
            words: String::new(),
            minutes: None,
            minutes_p50: None,
            minutes_p80: None,
            minutes_assumed: false,
            breakage_money: None,
            cost_p50_money: None,
            cost_p80_money: None,
            comes_out: Vec::new(),
            destroys: Vec::new(),
            whole_minutes: None,
            bearable_minutes: per_year.and_then(|rate| self.catalog.service.bearable_min(rate)),
            minutes_per_year: None,
            proof: String::new(),
        };
        if let Some(plan) = access.cheapest() {
            self.add_plan(&mut row, plan);
        }
        (row.outcome, row.words) = self.outcome(access, &row);
        if let Access::Destroys(_, Some(whole)) = access {
            row.whole_minutes = Some(tenth(whole.total.mean_min));
        }
        row
    }

    fn add_plan(&self, row: &mut ServiceItem, plan: &Plan) {
        let minutes = plan.minutes(&self.problem);
        let money = plan.money_minor(&self.problem, &self.costing(Permitted::Anything));
        row.minutes = Some(tenth(plan.total.mean_min));
        row.minutes_p50 = Some(tenth(minutes.percentile(Percentile::P50)));
        row.minutes_p80 = Some(tenth(minutes.percentile(Percentile::P80)));
        row.minutes_assumed = self.rests_on_assumed(plan);
        row.breakage_money = Some(in_money(plan.breakage_minor));
        row.cost_p50_money = Some(in_money(money.percentile(Percentile::P50)));
        row.cost_p80_money = Some(in_money(money.percentile(Percentile::P80)));
        row.comes_out = self.parts_out(plan);
        row.destroys = self.parts_destroyed(plan);
        row.minutes_per_year = row.per_year.map(|rate| tenth(rate * plan.total.mean_min));
        row.proof = proof_words(plan.proof);
    }

    fn outcome(&self, access: &Access, row: &ServiceItem) -> (String, String) {
        let (outcome, words) = match access {
            Access::NotKnown => (
                "cannot tell",
                "nobody said what covers it: find out what has to come out first".to_owned(),
            ),
            Access::None(reason) => ("no way", crate::ways::no_way(reason, &row.item)),
            Access::Whole(plan) if plan.steps.is_empty() => ("in the open", String::new()),
            Access::Whole(_) => ("whole", row.comes_out.join(", ")),
            Access::Destroys(_, Some(whole)) => (
                "cheapest destroys",
                format!(
                    "destroys {}; {:.0} min without destroying",
                    row.destroys.join(", "),
                    whole.total.mean_min
                ),
            ),
            Access::Destroys(_, None) => {
                ("only by destroying", format!("only by destroying {}", row.destroys.join(", ")))
            }
        };
        (outcome.to_owned(), words)
    }

    fn rests_on(&self, rows: &[ServiceItem]) -> Vec<String> {
        let by_origin = |word: &str| rows.iter().filter(|r| r.per_year_origin == word).count();
        let told = rows.len() - by_origin("assumed") - by_origin("not known");
        let assumed = rows.iter().filter(|row| row.minutes_assumed).count();
        let hour = match self.vehicle().rates.hour {
            Some(hour) => format!("{hour} (as recorded)"),
            None => format!("{} (assumed)", self.catalog.stand_ins.workshop_hour),
        };
        vec![
            format!(
                "how often: {} as usual for its kind (assumed), {told} told or seen, {} not known; \
                 write `serviced = \"told 4 a year\"` in a device to change it",
                by_origin("assumed"),
                by_origin("not known"),
            ),
            format!(
                "minutes: of {} some step is assumed from its fixings; they open and close, the \
                 service itself is not in them",
                counted(assumed, "item"),
            ),
            format!("an hour in the workshop counts {hour} of the record's money"),
        ]
    }

    pub(crate) fn index_view(&self, index: &AccessIndex) -> IndexView {
        IndexView {
            minutes_per_year: tenth(index.minutes_per_year),
            money_per_year: in_money(index.minor_per_year),
            counted: index.counted,
            left_out: index.left_out,
        }
    }

    pub(crate) fn parts_out(&self, plan: &Plan) -> Vec<String> {
        let taken = |step: &&access::Step| {
            access::vehicle::removal_id(self.vehicle(), step.removal).is_some()
        };
        self.names(plan.steps.iter().filter(taken))
    }

    fn parts_destroyed(&self, plan: &Plan) -> Vec<String> {
        let destroys = |step: &&access::Step| {
            self.problem.removals[step.removal.0].damage == access::Damage::Destroys
        };
        self.names(plan.steps.iter().filter(destroys))
    }

    fn names<'s>(&self, steps: impl Iterator<Item = &'s access::Step>) -> Vec<String> {
        let parts = &self.vehicle().parts;
        steps.map(|step| parts[access::vehicle::part_id(step.part)].name.clone()).collect()
    }

    fn rests_on_assumed(&self, plan: &Plan) -> bool {
        let vehicle = self.vehicle();
        let removals =
            plan.steps.iter().filter_map(|s| access::vehicle::removal_id(vehicle, s.removal));
        removals.into_iter().any(|removal| {
            let removal = &vehicle.removals[removal];
            !(removal.origin.is_evidence() && removal.back_origin.is_evidence())
        })
    }
}

/// The planner's item.
pub(crate) fn item_of(wanted: &Wanted<'_>) -> Item {
    let none = Reach::new();
    let reach = wanted.device.reach.value().unwrap_or(&none);
    Item {
        target: access::vehicle::target(&wanted.device.name, reach),
        per_year: wanted.per_year.value().copied(),
    }
}

pub(crate) fn proof_words(proof: Proof) -> String {
    match proof {
        Proof::Optimal => "proven cheapest".to_owned(),
        Proof::Gap(gap) => format!("within {:.0} % of the cheapest", gap * 100.0),
    }
}

/// Minutes to a tenth: finer than any estimate.
pub(crate) fn tenth(minutes: f64) -> f64 {
    // Adding nought makes of minus nought nought.
    (minutes * 10.0).round() / 10.0 + 0.0
}

/// Minor money units as the record's money, whole cents.
pub(crate) fn in_money(minor: f64) -> f64 {
    minor.round() / 100.0
}
