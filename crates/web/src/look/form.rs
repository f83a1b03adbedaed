//! Forms that become changes of a case.
//!
//! Every form posts to `/case/{id}/form` and works without script. With script it is caught: the same
//! fields make the same change, which waits on the device while there is no link.
//!
//! | form | its fields |
//! |---|---|
//! | `line` | `section` and `text`; or `section` and `template` (see `template.rs`), whose gaps the other fields fill. An empty `name` gets one that is free; a `value` that is a bare number gets the `unit` behind it. With `table`, `text` is a table of wires |
//! | `value` | `path`, `was` (missing: nothing stood there), `before`, `is`, `after`: the new value is the last three joined; or a `template` for it |
//! | `instead` | `path`, `was`: taken out; then a line as of `line` |
//! | `remove` | `path`, `was` |
//! | `note` | `on` (missing: the case), `words` |
//! | `tick` | `list`, `step`, `done` (`yes`, `no`), `reading`, or a `template` for it |
//! | `authority` | `to`, `by`, `how`, `up_to`, `words`, `given` (`yes`, `no`) |
//! | `put-in` | `mend`: its changes go into the record, each where what stood there still does, and what was observed before is laid aside |
//! | `cured` | the repair that the search proposes was made, and what cures by the sums works |
//! | `spelling` | `at` (byte), `was`, `is`: a name in the record that another one was meant by |
//! | `undo` | `entry` |
//! | `choose` | `entry`, `place`, `keep` (`present`, `other`) |
//! | `text` | `is`: the whole record |
//! | `lines` | `from`: lines that stand in the record once, `to`: what stands there now |
//!
//! `back` says where to go on without script. The hooks of the script stand in `assets/README.md`.

use std::hash::{DefaultHasher, Hash as _, Hasher as _};

use maud::{Markup, html};

use crate::look::template;

/// A form for one change. `back` is where to go on.
pub(crate) fn change(case: &str, kind: &str, back: &str, fields: &Markup) -> Markup {
    html! {
        form method="post" action=(address(case)) data-form=(name_of(kind, fields)) {
            (hidden("kind", kind)) (hidden("back", back)) (fields)
        }
    }
}

/// The same on one line.
pub(crate) fn change_line(case: &str, kind: &str, back: &str, fields: &Markup) -> Markup {
    html! {
        form class="line" method="post" action=(address(case)) data-form=(name_of(kind, fields)) {
            (hidden("kind", kind)) (hidden("back", back)) (fields)
        }
    }
}

/// A form that the script leaves to the browser: what it makes is known to the server only.
pub(crate) fn plain(case: &str, kind: &str, back: &str, fields: &Markup) -> Markup {
    html! {
        form class="line" method="post" action=(address(case)) {
            (hidden("kind", kind)) (hidden("back", back)) (fields)
        }
    }
}

/// A form for a table of lines of a section.
pub(crate) fn change_table(case: &str, section: &str, back: &str, fields: &Markup) -> Markup {
    html! {
        form method="post" action=(address(case)) data-form={ "table " (section) } data-table {
            (hidden("kind", "line")) (hidden("table", "yes")) (hidden("section", section))
            (hidden("back", back)) (fields)
        }
    }
}

fn address(case: &str) -> String {
    format!("/case/{case}/form")
}

/// A name for what is typed into a form: the same as long as the form is.
fn name_of(kind: &str, fields: &Markup) -> String {
    let mut hash = DefaultHasher::new();
    fields.0.hash(&mut hash);
    format!("{kind} {:x}", hash.finish())
}

/// A field that is not shown.
pub(crate) fn hidden(name: &str, value: &str) -> Markup {
    html! { input type="hidden" name=(name) value=(value); }
}

/// A field for words with its label.
pub(crate) fn words(name: &str, label: &str, help: &str, value: &str) -> Markup {
    html! {
        label { (label) @if !help.is_empty() { small { (help) } }
            input name=(name) value=(value) autocomplete="off" autocapitalize="off" spellcheck="false";
        }
    }
}

/// A field with choices that are usual; others can be written.
pub(crate) fn suggested<'a>(
    name: &str,
    label: &str,
    help: &str,
    choices: impl IntoIterator<Item = &'a str>,
) -> Markup {
    suggesting(name, label, help, choices, false)
}

/// The same for what has to be said.
pub(crate) fn suggested_required<'a>(
    name: &str,
    label: &str,
    help: &str,
    choices: impl IntoIterator<Item = &'a str>,
) -> Markup {
    suggesting(name, label, help, choices, true)
}

fn suggesting<'a>(
    name: &str,
    label: &str,
    help: &str,
    choices: impl IntoIterator<Item = &'a str>,
    is_required: bool,
) -> Markup {
    html! {
        label { (label) @if !help.is_empty() { small { (help) } }
            input name=(name) list={ "list-" (name) } required[is_required] autocomplete="off" autocapitalize="off" spellcheck="false";
        }
        datalist id={ "list-" (name) } { @for choice in choices { option value=(choice); } }
    }
}

/// One of a list, or nothing.
pub(crate) fn select(name: &str, label: &str, choices: &[String]) -> Markup {
    html! {
        label { (label)
            select name=(name) { option value="" { "not known" }
                @for choice in choices { option { (choice) } } }
        }
    }
}

/// One of a list.
pub(crate) fn select_of(name: &str, label: &str, choices: &[String], chosen: &str) -> Markup {
    html! {
        label { (label)
            select name=(name) { @for choice in choices { option selected[choice == chosen] { (choice) } } }
        }
    }
}

/// One of a few, the first chosen.
pub(crate) fn choice(name: &str, label: &str, choices: &[(&str, &str)]) -> Markup {
    html! {
        fieldset class="choices" data-stays { legend { (label) }
            @for (number, (value, words)) in choices.iter().enumerate() {
                label class="choice" { input type="radio" name=(name) value=(value) checked[number == 0]; (words) }
            }
        }
    }
}

/// What stood there; left out where nothing did.
pub(crate) fn was(was: &str) -> Markup {
    html! { @if !was.is_empty() { (hidden("was", was)) } }
}

/// A line of a section with gaps.
pub(crate) fn line_fields(section: &str, template: &str) -> Markup {
    html! { (hidden("section", section)) (hidden("template", template)) }
}

/// What the fields of a form are, by name.
#[derive(Clone, Debug, Default)]
pub(crate) struct Fields(pub(crate) Vec<(String, String)>);

impl Fields {
    /// A field, trimmed; nothing where it is missing or empty.
    pub(crate) fn get(&self, name: &str) -> Option<String> {
        let found = self.0.iter().find(|(key, _)| key == name);
        found.map(|(_, value)| value.trim().to_owned()).filter(|value| !value.is_empty())
    }

    /// A field as it stands; nothing where it is missing.
    pub(crate) fn raw(&self, name: &str) -> Option<&str> {
        self.0.iter().find(|(key, _)| key == name).map(|(_, value)| value.as_str())
    }

    /// The line of a `line` form, with `free` where no name was given.
    pub(crate) fn line(&self, free: &str) -> Result<String, String> {
        let template = self.raw("template").ok_or("template")?;
        template::fill(template, &|name| match self.get(name) {
            None if name == "name" => Some(free.to_owned()),
            value => value,
        })
    }
}
