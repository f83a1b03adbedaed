//! How a wire lies: alone or with other loaded conductors, and whether in the engine space.

use std::collections::BTreeMap;

use diag::Diagnostic;
use model::{Fact, Origin};

use crate::fact_text::{Stated, stated};
use crate::limits::MAX_BUNDLE;
use crate::names;
use crate::reader::Reader;
use crate::text::Words;
use crate::tree::Value;
use crate::wires::Said;

impl Reader<'_> {
    /// `bundle` and `engine_space` of a wire written as a table.
    pub(crate) fn lay_of(&mut self, table: &BTreeMap<&'static str, Value<'_>>, said: &mut Said) {
        let bare = self.bare.clone();
        if let Some(value) = table.get("bundle")
            && let Some(words) = self.text_of(value)
            && let Some(Stated { value, origin, .. }) = stated(words, &bare)
        {
            said.bundle = match value.text {
                "alone" => Fact::known(1, origin),
                _ => self.bundle(value.strip_word("bundle").unwrap_or(value), origin),
            };
        }
        if let Some(value) = table.get("engine_space") {
            let yes = self.yes_no(value);
            said.engine_space = yes.map_or(Fact::Unknown, |yes| Fact::known(yes, bare));
        }
    }

    /// `of 6`, or `6`: how many loaded conductors lie together.
    pub(crate) fn bundle(&mut self, words: Words<'_>, origin: Origin) -> Fact<u32> {
        let count = words.strip_word("of").unwrap_or(words);
        match count.text.parse::<u32>() {
            Ok(number) if (1..=MAX_BUNDLE).contains(&number) => Fact::known(number, origin),
            Ok(_) => {
                let message = format!("a bundle has 1 to {MAX_BUNDLE} conductors");
                let fault = Diagnostic::error("impossible-value", message, count.span());
                self.report(fault.help("count those that carry current, this one included"));
                Fact::Unknown
            }
            Err(_) => {
                let message = format!("`{}` is no count of conductors", names::shown(count.text));
                let fault = Diagnostic::error("wire-piece", message, count.span());
                self.report(fault.help("write for example `bundle of 6`, or `alone`"));
                Fact::Unknown
            }
        }
    }
}
