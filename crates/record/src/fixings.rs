//! Fixings in words: `8 screws`, `4 seized bolts into floor-rail with spanner to 24 N m`.

use diag::Diagnostic;
use model::{Fact, Fixing, FixingCondition, HeadAccess, Origin};
use units::{Dimension, NewtonMetre};

use crate::fact_text::{Stated, stated};
use crate::limits::MAX_FIXINGS;
use crate::names;
use crate::reader::Reader;
use crate::text::Words;

/// Words that begin what is said behind a fixing.
const BEHIND: [&str; 3] = [" into ", " with ", " to "];

impl Reader<'_> {
    /// `8 screws, 2 clips`, or `none`.
    pub(crate) fn fixings(&mut self, words: Words<'_>) -> Vec<Fixing> {
        let bare = self.bare.clone();
        let Some(Stated { value: words, origin, .. }) = stated(words, &bare) else {
            return Vec::new();
        };
        if words.text == "none" {
            return Vec::new();
        }
        let pieces = self.pieces(words, ",").unwrap_or_default();
        pieces.into_iter().filter_map(|piece| self.fixing(piece, &origin)).collect()
    }

    fn fixing(&mut self, piece: Words<'_>, origin: &Origin) -> Option<Fixing> {
        let digits = piece.text.chars().take_while(char::is_ascii_digit).count();
        let count = piece.slice(0, digits);
        let rest = piece.slice(digits, piece.text.len()).trim();
        let end = BEHIND.iter().filter_map(|word| rest.text.find(word)).min();
        let name = rest.slice(0, end.unwrap_or(rest.text.len())).trim();
        let mut fixing = Fixing {
            count: 0,
            kind: String::new(),
            tool: None,
            head: Fact::Unknown,
            condition: Fact::Unknown,
            torque: Fact::Unknown,
            into: None,
        };
        let name = self.adjectives(name, origin, &mut fixing);
        let catalog = self.catalog;
        let Some((kind, row)) = catalog.fixings.find(name.text) else {
            self.no_such_fixing(name);
            return None;
        };
        fixing.kind = kind.to_owned();
        fixing.tool = row.tool.clone();
        if let Some(head) = row.head.as_deref().and_then(|word| catalog.fixings.head_of_word(word))
            && fixing.head.is_unknown()
        {
            fixing.head = Fact::known(head, origin.clone());
        }
        fixing.count = self.fixing_count(piece, count)?;
        if let Some(at) = end {
            self.behind_a_fixing(rest.slice(at, rest.text.len()), origin, &mut fixing);
        }
        Some(fixing)
    }

    /// Takes `seized`, `painted`, `angled`... off the front, unless the whole is a fixing by itself.
    fn adjectives<'t>(
        &mut self,
        name: Words<'t>,
        origin: &Origin,
        fixing: &mut Fixing,
    ) -> Words<'t> {
        let mut name = name;
        while self.catalog.fixings.find(name.text).is_none() {
            let Some((word, rest)) = name.split_once(" ") else { break };
            let head = HeadAccess::ALL.iter().find(|(_, known)| *known == word.text);
            let condition = FixingCondition::ALL.iter().find(|(_, known)| *known == word.text);
            match (head, condition) {
                (Some((head, _)), _) => fixing.head = Fact::known(*head, origin.clone()),
                (_, Some((condition, _))) => {
                    fixing.condition = Fact::known(*condition, origin.clone());
                }
                (None, None) => break,
            }
            name = rest;
        }
        name
    }

    fn no_such_fixing(&mut self, name: Words<'_>) {
        let catalog = self.catalog;
        let message = if name.text.is_empty() {
            "nothing says what it is held by".to_owned()
        } else {
            format!("`{}` is no fixing known here", names::shown(name.text))
        };
        let fault = Diagnostic::error("fixing", message, name.span());
        let all: Vec<&str> = catalog.fixings.names().collect();
        let otherwise = format!("known are: {}", all.join(", "));
        self.faults.suggest(fault, name.text, all, &otherwise);
    }

    fn fixing_count(&mut self, piece: Words<'_>, count: Words<'_>) -> Option<u32> {
        let (message, span) = match count.text.parse::<u32>() {
            Ok(number) if (1..=MAX_FIXINGS).contains(&number) => return Some(number),
            _ if count.text.is_empty() => ("say how many".to_owned(), piece.span()),
            _ => (format!("between 1 and {MAX_FIXINGS} of them are believed"), count.span()),
        };
        self.report(
            Diagnostic::error("fixing", message, span)
                .help("write for example `8 screws, 2 clips`"),
        );
        None
    }

    /// `into floor-rail with spanner to 24 N m`, in any order.
    fn behind_a_fixing(&mut self, words: Words<'_>, origin: &Origin, fixing: &mut Fixing) {
        let mut rest = words;
        while let Some(word) = BEHIND.iter().find(|word| rest.text.starts_with(**word)) {
            let after = rest.slice(word.len(), rest.text.len());
            let end = BEHIND.iter().filter_map(|next| after.text.find(next)).min();
            let value = after.slice(0, end.unwrap_or(after.text.len())).trim();
            match *word {
                " into " => fixing.into = self.part_named(value),
                " with " => fixing.tool = self.tool_named(value).or(fixing.tool.take()),
                _ => {
                    fixing.torque =
                        self.number(value, Dimension::Torque).map_or(Fact::Unknown, |torque| {
                            Fact::known(NewtonMetre::from_si(torque), origin.clone())
                        });
                }
            }
            let Some(end) = end else { return };
            rest = after.slice(end, after.text.len());
        }
    }

    /// A tool of the catalog by name.
    pub(crate) fn tool_named(&mut self, words: Words<'_>) -> Option<String> {
        let catalog = self.catalog;
        if catalog.work.tool(words.text).is_some() {
            return Some(words.text.to_owned());
        }
        let fault = Diagnostic::error(
            "unknown-tool",
            format!("`{}` is no tool known here", names::shown(words.text)),
            words.span(),
        );
        let all: Vec<&str> = catalog.work.tools().collect();
        let otherwise = format!("known are: {}", all.join(", "));
        self.faults.suggest(fault, words.text, all, &otherwise);
        None
    }
}
