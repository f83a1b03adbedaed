//! The words of reports and tables: a text catalog in two languages, and sentences of a review told
//! in another language and another system of units.
//!
//! Knows words, never numbers' meaning: it computes nothing and decides nothing. What it has no
//! translation for it leaves in English and says so.
//!
//! | file | what it holds |
//! |---|---|
//! | `texts/*.toml` | headings, labels, sentences of the report, by key |
//! | `texts/es-phrases.toml` | sentences of checks, states and ways in: English pattern, Spanish |
//! | `catalog.rs` | a catalog with its placeholders |
//! | `phrases.rs` | finds the pattern a sentence was made by |
//! | `told.rs`, `told_handover.rs`, `told_price.rs`, `told_opening.rs` | a review, what goes with it, and a way in, told anew |

mod catalog;
mod phrases;
mod signs;
mod told;
mod told_handover;
mod told_opening;
mod told_price;

pub use catalog::Texts;
pub use signs::set_in_type;
pub use told::Teller;

/// A language the program writes reports in.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Language {
    /// English.
    #[default]
    English,
    /// Spanish. Decimals keep the point, which the Ortografía de la lengua española (2010) names as the
    /// sign to prefer, from memory.
    Spanish,
}

impl Language {
    /// Every language.
    pub const ALL: [Language; 2] = [Language::English, Language::Spanish];

    /// Its code in ISO 639-1.
    pub fn code(self) -> &'static str {
        match self {
            Language::English => "en",
            Language::Spanish => "es",
        }
    }
}
