//! In which language and units something is told.

use clap::{Args, ValueEnum};

/// In which language and units it is told.
#[derive(Clone, Copy, Debug, Args)]
pub(crate) struct Telling {
    /// Units of what is printed.
    #[arg(long, value_enum, default_value_t = Units::Metric)]
    pub(crate) units: Units,
    /// Language of what is printed.
    #[arg(long, value_enum, default_value_t = Language::En)]
    pub(crate) language: Language,
}

impl Telling {
    /// Somebody who tells it so.
    pub(crate) fn teller(self) -> wording::Teller {
        wording::Teller::new(self.language.into(), self.units.into())
    }
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(crate) enum Units {
    /// Metres, square millimetres, degrees Celsius.
    Metric,
    /// Feet and inches, wire gauges, degrees Fahrenheit.
    Us,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(crate) enum Language {
    /// English.
    En,
    /// Spanish.
    Es,
}

impl From<Units> for units::System {
    fn from(units: Units) -> units::System {
        match units {
            Units::Metric => units::System::Metric,
            Units::Us => units::System::Us,
        }
    }
}

impl From<Language> for wording::Language {
    fn from(language: Language) -> wording::Language {
        match language {
            Language::En => wording::Language::English,
            Language::Es => wording::Language::Spanish,
        }
    }
}
