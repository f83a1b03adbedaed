//! The JSON Schema of a record, made from the one description of its form, so that editors
//! complete and check it.

use catalog::Catalog;
use serde_json::{Map, Value, json};

use crate::fields::{Field, Form, SECTIONS, Section, Shape};

/// The schema (JSON Schema 2020-12).
pub fn schema(catalog: &Catalog) -> Value {
    let mut properties = Map::new();
    properties.insert(
        "unbury".to_owned(),
        json!({ "const": 1, "description": "Form of the record; always 1." }),
    );
    for section in SECTIONS {
        properties.insert(section.key.to_owned(), section_schema(section, catalog));
    }
    json!({
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Unbury record",
        "description": "One vehicle: what is wired to what, and what hides what.",
        "type": "object",
        "properties": properties,
        "additionalProperties": false,
    })
}

fn section_schema(section: &Section, catalog: &Catalog) -> Value {
    match &section.shape {
        Shape::Fields(fields) => {
            let mut table = table_schema(&fields(), catalog);
            table["description"] = json!(section.help);
            table
        }
        Shape::Named(fields) => json!({
            "type": "object",
            "description": section.help,
            "additionalProperties": table_schema(&fields(), catalog),
        }),
        Shape::Line { line, fields } => {
            let text = json!({ "type": "string", "examples": [line] });
            let fields = fields();
            let each = if fields.is_empty() {
                text
            } else {
                json!({ "anyOf": [text, table_schema(&fields, catalog)] })
            };
            json!({ "type": "object", "description": section.help, "additionalProperties": each })
        }
    }
}

fn table_schema(fields: &[Field], catalog: &Catalog) -> Value {
    let mut properties = Map::new();
    for field in fields {
        let mut form = form_schema(field.form, catalog);
        form["description"] = json!(field.help);
        properties.insert(field.key.to_owned(), form);
    }
    let mut table = json!({
        "type": "object",
        "properties": properties,
        "additionalProperties": false,
    });
    if fields.iter().any(|field| matches!(field.form, Form::Kind)) {
        table["required"] = json!(["kind"]);
    }
    table
}

fn form_schema(form: Form, catalog: &Catalog) -> Value {
    match form {
        Form::Text => json!({ "type": "string" }),
        Form::Quantity(dimension) => json!({
            "type": "string",
            "examples": [dimension.examples()],
        }),
        Form::Choice(words) => json!({
            "type": "string",
            "pattern": format!("^((assumed|told|seen|measured) )?({})( .*)?$|^(unknown|[?])$", words.join("|")),
            "examples": words,
        }),
        Form::YesNo => json!({ "type": "boolean" }),
        Form::List => json!({
            "anyOf": [{ "type": "string" }, { "type": "array", "items": { "type": "string" } }],
        }),
        Form::Map => json!({
            "type": "object",
            "additionalProperties": { "type": ["string", "number"] },
        }),
        Form::Tables(fields) => json!({
            "type": "array",
            "items": table_schema(&fields(), catalog),
        }),
        Form::Kind => {
            let kinds: Vec<&str> = catalog.kinds.iter().map(|(name, _)| name).collect();
            json!({ "enum": kinds })
        }
    }
}
