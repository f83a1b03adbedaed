//! Allowable current of copper conductors: published tables with their published corrections, and
//! one way to ask them. Knows no vehicle and no temperature model; nothing is interpolated.

mod data;
mod of_wire;

use model::Region;
use units::{Ampere, Celsius, SquareMillimetre};

use crate::Standing;
use data::{AmbientTable, BundleTable, EngineSpace, Table};

/// Slack when an area is compared with a row's: rounding of the computation only.
const AREA_SLACK: f64 = 1e-6;

/// All tables with their corrections.
#[derive(Clone, Debug)]
pub struct Ampacity {
    /// Key of the source of the table that decides under 50 V.
    pub source: String,
    tables: Vec<Table>,
    ambient: Vec<AmbientTable>,
    bundle: Vec<BundleTable>,
    engine_space: EngineSpace,
}

/// Which voltage a conductor carries: regulations draw the line at 50 V.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum VoltageBand {
    /// Under 50 V.
    UnderFifty,
    /// 50 V and over.
    FiftyAndOver,
}

/// Where a conductor runs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Space {
    /// Anywhere but the engine space.
    Elsewhere,
    /// In the engine space, at any part of its length.
    Engine,
}

/// What is asked of the tables.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Question {
    /// Cross-section of the conductor.
    pub area: SquareMillimetre,
    /// Temperature rating of its insulation.
    pub insulation: Celsius,
    /// Air around it.
    pub ambient: Celsius,
    /// Where it runs.
    pub space: Space,
    /// How many loaded conductors lie together, itself included.
    pub together: u32,
    /// Its voltage.
    pub band: VoltageBand,
    /// Whose rules.
    pub region: Option<Region>,
}

/// What a table is and for whom.
#[derive(Clone, Copy, Debug)]
pub struct TableNote<'a> {
    /// Its name.
    pub words: &'a str,
    /// Key of its source.
    pub source: &'a str,
    /// It decides; else it only hints.
    pub decides: bool,
    /// The voltages it is for; none: all.
    pub band: Option<VoltageBand>,
    /// The regions it is for; none: all.
    pub regions: &'a [Region],
}

/// A correction that was applied.
#[derive(Clone, Debug, PartialEq)]
pub struct Correction {
    /// What the printed current is multiplied by.
    pub factor: f64,
    /// Why, with the table it comes from.
    pub words: String,
    /// Key of its source.
    pub source: String,
}

/// An answer of the tables.
#[derive(Clone, Debug, PartialEq)]
pub struct Allowed {
    /// What the conductor may carry for good.
    pub ampere: Ampere,
    /// What the table prints, before corrections.
    pub printed: Ampere,
    /// The table, in words.
    pub table: String,
    /// The row taken, as printed.
    pub row: String,
    /// The column taken.
    pub column: Celsius,
    /// What was applied to the printed figure.
    pub corrections: Vec<Correction>,
    /// Key of the table's source.
    pub source: String,
    /// True when the table belongs to the region asked for.
    pub of_region: bool,
}

/// Why the tables do not answer.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum NoRow {
    /// Thinner than the thinnest row, which carries at most this.
    Thinner(Ampere),
    /// Thicker than the thickest row.
    Thicker,
    /// The insulation is rated below every column, or the cell is empty.
    NotPrinted,
    /// The air is so warm that the table leaves nothing for this insulation.
    TooWarm,
}

impl Ampacity {
    /// The current a conductor may carry for good.
    ///
    /// `I = I_printed f_ambient f_bundle`: the printed cell of the next thinner row and the next lower
    /// column, times the published factors. The engine space counts as 50 °C. Symbols: currents
    /// \[A\], factors without unit. Sources: see `data/ampacity.toml`; each answer names its own.
    /// Valid for the sizes of the tables; outside [`NoRow`]. Checked by `tests::ampacity`.
    pub fn allowable_current(&self, question: &Question) -> Result<Allowed, NoRow> {
        let table = self
            .tables
            .iter()
            .find(|table| table.decides && table.fits(question))
            .expect("the data ends with a table for every region and voltage");
        let mut allowed = table.printed(question)?;
        let warm = self.warmest(question);
        allowed.apply(self.ambient_factor(table, question.insulation, warm, question.space)?);
        allowed.apply(self.bundle_factor(table, question));
        Ok(allowed)
    }

    /// The printed current for under 50 V in any region, without corrections: alone, in air of 30 °C.
    /// Range and source as [`Ampacity::allowable_current`]; outside the table `None`.
    pub fn allowable(&self, area: SquareMillimetre, insulation: Celsius) -> Option<Ampere> {
        let question = Question {
            area,
            insulation,
            ambient: self.base_ambient(),
            space: Space::Elsewhere,
            together: 1,
            band: VoltageBand::UnderFifty,
            region: None,
        };
        self.allowable_current(&question).ok().map(|allowed| allowed.ampere)
    }

    /// What recalled tables and notes say: worth knowing where they are stricter, never decisive.
    pub fn hints(&self, question: &Question) -> Vec<Allowed> {
        let recalled = self
            .tables
            .iter()
            .filter(|table| !table.decides && table.fits(question))
            .filter_map(|table| table.printed(question).ok());
        let mut hints: Vec<Allowed> = recalled.collect();
        hints.extend(self.engine_hint(question));
        hints
    }

    /// The air in an engine space, by the note that speaks of it.
    pub fn engine_space(&self) -> Celsius {
        self.engine_space.ambient
    }

    /// What the smallest conductor of the deciding tables may carry with its best insulation, if
    /// `area` is smaller still: such a conductor carries no more than this.
    pub fn ceiling_below_table(&self, area: SquareMillimetre) -> Option<Ampere> {
        let deciding = self.tables.iter().filter(|table| table.decides);
        let thinnest = deciding.filter_map(|table| table.rows.first());
        let lowest = thinnest.min_by(|a, b| a.area_mm2.total_cmp(&b.area_mm2))?;
        let most = lowest.ampere.iter().copied().filter(|a| a.is_finite()).reduce(f64::max)?;
        (area.si() < lowest.area_mm2).then_some(Ampere::from_si(most))
    }

    /// The lowest and highest insulation ratings the deciding tables have columns for.
    pub fn insulation_range(&self) -> (Celsius, Celsius) {
        let columns = self.tables.iter().filter(|t| t.decides).flat_map(|t| &t.insulation_c);
        let low = columns.clone().copied().fold(f64::INFINITY, f64::min);
        let high = columns.copied().fold(f64::NEG_INFINITY, f64::max);
        (Celsius::from_si(low), Celsius::from_si(high))
    }

    /// What each table is, for which regions and voltages, in the order in which they are asked.
    pub fn tables(&self) -> impl Iterator<Item = TableNote<'_>> {
        self.tables.iter().map(|table| TableNote {
            words: &table.words,
            source: &table.source,
            decides: table.decides,
            band: table.band,
            regions: &table.regions,
        })
    }

    /// Keys of every source the tables name, with whether the rows decide.
    pub fn sources(&self) -> impl Iterator<Item = (&str, bool)> {
        let tables = self.tables.iter().map(|table| (table.source.as_str(), table.decides));
        let ambient = self.ambient.iter().map(|table| (table.source.as_str(), true));
        let bundle = self.bundle.iter().map(|table| (table.source.as_str(), true));
        let note = std::iter::once((self.engine_space.source.as_str(), false));
        tables.chain(ambient).chain(bundle).chain(note)
    }

    fn warmest(&self, question: &Question) -> Celsius {
        match question.space {
            Space::Engine if question.ambient < self.engine_space.ambient => {
                self.engine_space.ambient
            }
            _ => question.ambient,
        }
    }

    fn ambient_factor(
        &self,
        table: &Table,
        insulation: Celsius,
        ambient: Celsius,
        space: Space,
    ) -> Result<Option<Correction>, NoRow> {
        let Some(found) = self.ambient.iter().find(|a| Some(&a.key) == table.ambient.as_ref())
        else {
            return Ok(None);
        };
        let column = column(&found.insulation_c, insulation).ok_or(NoRow::NotPrinted)?;
        let row =
            found.rows.iter().find(|row| ambient.si() <= row.up_to_c).ok_or(NoRow::TooWarm)?;
        let factor = row.factor[column];
        if factor.is_nan() {
            return Err(NoRow::TooWarm);
        }
        let engine = if space == Space::Engine { ", engine space" } else { "" };
        let words = format!("x {factor} at {ambient}{engine} ({})", found.words);
        Ok(Some(Correction { factor, words, source: found.source.clone() }))
    }

    fn bundle_factor(&self, table: &Table, question: &Question) -> Option<Correction> {
        let key = match question.band {
            VoltageBand::UnderFifty => table.bundle_under_50_v.as_ref(),
            VoltageBand::FiftyAndOver => table.bundle_50_v_and_over.as_ref(),
        }?;
        let found = self.bundle.iter().find(|bundle| bundle.key == *key)?;
        let row = found.rows.iter().rfind(|row| row.from <= question.together)?;
        let words = format!("x {} for {} together ({})", row.factor, row.range, found.words);
        Some(Correction { factor: row.factor, words, source: found.source.clone() })
    }

    fn engine_hint(&self, question: &Question) -> Option<Allowed> {
        let note = &self.engine_space;
        let table = self.tables.iter().find(|table| table.key == note.hint_for)?;
        if question.space != Space::Engine || !table.fits(question) {
            return None;
        }
        let mut allowed = table.printed(question).ok()?;
        let at = note.insulation_c.iter().rposition(|c| *c <= question.insulation.si() + 1e-9)?;
        let factor = note.factor[at];
        let words = format!("x {factor} in the engine space ({})", note.words);
        allowed.source.clone_from(&note.source);
        allowed.apply(Some(Correction { factor, words, source: note.source.clone() }));
        Some(allowed)
    }
}

impl Allowed {
    fn apply(&mut self, correction: Option<Correction>) {
        let Some(correction) = correction.filter(|c| (c.factor - 1.0).abs() > f64::EPSILON) else {
            return;
        };
        self.ampere = self.ampere * correction.factor;
        self.corrections.push(correction);
    }

    /// Table, row, column, printed figure and corrections, in one line.
    pub fn words(&self) -> String {
        let mut words =
            format!("{}, row {}, column {}: {}", self.table, self.row, self.column, self.printed);
        for correction in &self.corrections {
            words.push(' ');
            words.push_str(&correction.words);
        }
        if !self.corrections.is_empty() {
            words.push_str(&format!(" = {}", self.ampere));
        }
        words
    }

    /// The worst standing among the table and the corrections.
    pub fn standing(&self, sources: &crate::Sources) -> Standing {
        let rank = |standing: Standing| match standing {
            Standing::Seen => 0,
            Standing::SecondHand => 1,
            Standing::Practice => 2,
            Standing::Memory => 3,
        };
        std::iter::once(&self.source)
            .chain(self.corrections.iter().map(|correction| &correction.source))
            .filter_map(|key| sources.get(key))
            .map(|source| source.standing)
            .max_by_key(|standing| rank(*standing))
            .unwrap_or(Standing::Memory)
    }
}

/// The highest column that does not exceed the rating.
fn column(insulation_c: &[f64], insulation: Celsius) -> Option<usize> {
    insulation_c.iter().rposition(|c| *c <= insulation.si() + 1e-9)
}
