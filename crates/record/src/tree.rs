//! The TOML tree with spans.

use diag::Span;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

use crate::text::Words;

/// A key with its value.
#[derive(Clone, Copy)]
pub(crate) struct Entry<'t> {
    pub(crate) key: Words<'t>,
    pub(crate) value: Value<'t>,
}

/// A value with its place.
#[derive(Clone, Copy)]
pub(crate) struct Value<'t> {
    record: &'t str,
    inner: &'t Spanned<DeValue<'t>>,
}

impl<'t> Value<'t> {
    pub(crate) fn span(&self) -> Span {
        self.inner.span().into()
    }

    /// The words of a string.
    pub(crate) fn words(&self) -> Option<Words<'t>> {
        let text = self.inner.get_ref().as_str()?;
        Some(Words::of_value(self.record, text, self.span()))
    }

    /// A string, or a bare number or date as its text.
    pub(crate) fn words_or_number(&self) -> Option<Words<'t>> {
        match self.inner.get_ref() {
            DeValue::Integer(number) => Some(Words::at(number.as_str(), self.span())),
            DeValue::Float(number) => Some(Words::at(number.as_str(), self.span())),
            _ => self.words(),
        }
    }

    pub(crate) fn boolean(&self) -> Option<bool> {
        self.inner.get_ref().as_bool()
    }

    pub(crate) fn items(&self) -> Option<Vec<Value<'t>>> {
        let array = self.inner.get_ref().as_array()?;
        Some(array.iter().map(|inner| Value { record: self.record, inner }).collect())
    }

    pub(crate) fn entries(&self) -> Option<Vec<Entry<'t>>> {
        self.inner.get_ref().as_table().map(|table| entries(self.record, table))
    }

    /// What kind of value it is, for messages.
    pub(crate) fn sort(&self) -> &'static str {
        match self.inner.get_ref() {
            DeValue::String(_) => "text in quotes",
            DeValue::Integer(_) | DeValue::Float(_) => "a bare number",
            DeValue::Boolean(_) => "true or false",
            DeValue::Datetime(_) => "a date",
            DeValue::Array(_) => "a list",
            DeValue::Table(_) => "a table",
        }
    }
}

/// The entries of a table in the order they were written.
pub(crate) fn entries<'t>(record: &'t str, table: &'t DeTable<'t>) -> Vec<Entry<'t>> {
    table
        .iter()
        .map(|(key, inner)| Entry {
            key: Words::of_key(record, key.get_ref(), key.span().into()),
            value: Value { record, inner },
        })
        .collect()
}
