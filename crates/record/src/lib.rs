//! The text of a record: TOML in, a [`model::Vehicle`] with the place of everything out, every
//! fault collected with its span. Also the JSON Schema of the form and text patches.
//!
//! Knows the form of the text and the catalog's kinds. Computes nothing about the vehicle.

mod agreed;
mod at_odds;
mod boxes;
mod broken;
mod cables;
mod changes;
mod circles;
mod devices;
mod edit;
mod fact_text;
mod faults;
mod fields;
mod fixings;
mod joints;
mod lay;
mod limits;
mod looks;
mod merge;
mod mounting;
mod names;
mod observations;
mod parts;
mod patch;
mod photos;
mod possible;
mod rates;
mod reader;
mod removals;
mod schema;
mod source_map;
mod states;
mod syntax;
mod text;
mod took;
mod tree;
mod wires;
mod written;

#[cfg(test)]
mod tests;

pub use agreed::{Agreed, agreed_line};
pub use changes::{Refusal, mend_line, put_back, put_in};
pub use edit::{as_line, join_path, line_key, line_value, remove, set, split_path, value, values};
pub use limits::{MAX_BYTES, MAX_ITEMS};
pub use merge::both_go_in;
pub use patch::{PatchError, add_line, patch};
pub use reader::{Record, read};
pub use schema::schema;
pub use source_map::{LineColumn, SourceMap, line_column};
pub use written::{WirePiece, Written, fields, wire_pieces, written};
