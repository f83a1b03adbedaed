//! The public form of a price: choices, lines, materials, what was agreed to.

use schemars::JsonSchema;
use serde::Serialize;

/// Form and version of [`PriceView`].
pub const PRICE_SCHEMA: &str = "unbury.price/1";

/// A price with its choices.
#[derive(Clone, Debug, Default, PartialEq, Serialize, JsonSchema)]
pub struct PriceView {
    /// Form and version.
    pub schema: String,
    /// The currency; empty when none is written.
    pub currency: String,
    /// What an hour costs, `68.00 EUR`, and an hour of somebody licensed; empty when not written.
    pub hour: String,
    /// See [`PriceView::hour`].
    pub licensed_hour: String,
    /// Rates that are missing: without them there are minutes and no money.
    pub missing_rates: Vec<String>,
    /// The three usual choices.
    pub choices: Vec<ChoiceView>,
    /// What was asked for, with its lines.
    pub asked: ChoiceView,
    /// What each repair adds to the price asked for, or would add.
    pub marginal: Vec<MarginalView>,
    /// What the work takes in parts and goods.
    pub materials: Vec<MaterialRow>,
    /// What was agreed to, in order.
    pub authorisations: Vec<AuthorisationView>,
    /// What is outside of what was agreed to, and what needs a new yes.
    pub flags: Vec<String>,
    /// Rules on estimates of the jurisdiction.
    pub law: Option<LawView>,
    /// The day up to which the price holds; empty: not said.
    pub valid_until: String,
    /// How it was reckoned.
    pub notes: Vec<String>,
}

/// A set of repairs with its price.
#[derive(Clone, Debug, Default, PartialEq, Serialize, JsonSchema)]
pub struct ChoiceView {
    /// `danger`, `complaint`, `all` or `asked`.
    pub id: String,
    /// In words.
    pub title: String,
    /// The repairs, by name.
    pub repairs: Vec<String>,
    /// The lines.
    pub lines: Vec<PriceLine>,
    /// Expected minutes.
    pub minutes: f64,
    /// Minutes not exceeded in half of the cases, in eight of ten.
    pub minutes_p50: f64,
    /// In eight of ten.
    pub minutes_p80: f64,
    /// The same by a lognormal time of the same mean and spread.
    pub minutes_p80_lognormal: f64,
    /// Sum before tax, `480.00 EUR`; empty without any rate.
    pub net: String,
    /// Tax; empty where none is known.
    pub tax: String,
    /// Total; empty without any rate.
    pub total: String,
    /// Sum before tax in cents.
    pub net_cents: Option<i64>,
    /// Tax in cents.
    pub tax_cents: Option<i64>,
    /// The total in cents.
    pub total_cents: Option<i64>,
    /// Total not exceeded in half of the cases.
    pub total_p50: String,
    /// In eight of ten.
    pub total_p80: String,
    /// What is in it without an amount: the total is not the whole.
    pub without_amount: Vec<String>,
    /// What cannot be reached, or of which nobody wrote what hides it: its opening is not counted.
    pub not_opened: Vec<String>,
    /// What the way in destroys.
    pub destroyed: Vec<String>,
    /// Findings that fail and stay as they are.
    pub stays: Vec<String>,
}

/// A line.
#[derive(Clone, Debug, Default, PartialEq, Serialize, JsonSchema)]
pub struct PriceLine {
    /// `opening`, `breakage`, `work`, `proof`, `dead`, `write-up` or `part`.
    pub kind: String,
    /// In words.
    pub what: String,
    /// Low, likely, high minutes; absent for goods.
    pub minutes: Option<[f64; 3]>,
    /// Expected minutes; zero for goods.
    pub expected_minutes: f64,
    /// `9.75 EUR`; empty where the rate or price is not known.
    pub amount: String,
    /// In cents.
    pub cents: Option<i64>,
}

/// What one repair adds.
#[derive(Clone, Debug, Default, PartialEq, Serialize, JsonSchema)]
pub struct MarginalView {
    /// The repair.
    pub repair: String,
    /// What is done.
    pub title: String,
    /// True when it is in the price asked for.
    pub is_in: bool,
    /// Repairs of the price that it cannot be done beside, and that give way to it.
    pub instead_of: Vec<String>,
    /// What the price would fall or rise by, tax included; empty without rates.
    pub amount: String,
    /// In cents.
    pub cents: Option<i64>,
    /// The same in expected minutes.
    pub minutes: f64,
}

/// Goods.
#[derive(Clone, Debug, Default, PartialEq, Serialize, JsonSchema)]
pub struct MaterialRow {
    /// `wire`, `lug`, `fuse`, ..., `used up`, `sacrificed`.
    pub sort: String,
    /// What it is.
    pub what: String,
    /// How much.
    pub quantity: f64,
    /// `m` or `piece`.
    pub unit: String,
    /// The repairs it is for.
    pub for_repairs: Vec<String>,
    /// Price of one; empty when not known.
    pub each: String,
    /// Price of all; empty when not known.
    pub amount: String,
}

/// An authorisation.
#[derive(Clone, Debug, Default, PartialEq, Serialize, JsonSchema)]
pub struct AuthorisationView {
    /// Its name in the record.
    pub name: String,
    /// Who agreed.
    pub by: String,
    /// By which way.
    pub channel: String,
    /// When.
    pub on: String,
    /// What was agreed to.
    pub allows: Vec<String>,
    /// What was declined.
    pub declines: Vec<String>,
    /// The total agreed to.
    pub total: String,
    /// In their words.
    pub words: String,
    /// Who wrote it down.
    pub recorder: String,
    /// What an authorisation should say and this one does not.
    pub lacks: Vec<String>,
}

/// Rules of a jurisdiction.
#[derive(Clone, Debug, Default, PartialEq, Serialize, JsonSchema)]
pub struct LawView {
    /// Its name.
    pub name: String,
    /// The document.
    pub source: String,
    /// How well it was seen.
    pub standing: String,
    /// What was read.
    pub edition: String,
    /// The rules in our own words.
    pub rules: Vec<String>,
    /// What an estimate for opening says.
    pub opening: Vec<String>,
    /// Always: check your local law.
    pub caution: String,
}
