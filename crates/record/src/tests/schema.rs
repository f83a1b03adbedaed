//! The JSON Schema and the reader speak of the same form.

use std::path::PathBuf;

use serde_json::Value;

use super::read;

fn schema() -> Value {
    crate::schema(&catalog::Catalog::embedded())
}

/// A value that fits nothing any field may hold: a list that holds a table and a list.
const NONSENSE: &str = "[{ \"~\" = 1 }, [1]]";

/// The text before and after the fields of one thing in each section that has fields.
fn table_of(section: &str) -> Option<(String, &'static str)> {
    Some(match section {
        "vehicle" | "usual" | "workshop" | "history" => (format!("[{section}]\n"), ""),
        "devices" => ("[devices.x]\n".to_owned(), "kind = \"blade fuse box\"\n"),
        "photos" => ("[photos.x]\n".to_owned(), "file = \"photos/x.jpg\"\n"),
        "wires" | "parts" | "spots" | "states" | "symptoms" | "mends" | "authority" => {
            (format!("[{section}.x]\n"), "")
        }
        _ => return None,
    })
}

/// The schema of the fields of one thing of a section, if it has fields.
fn fields_schema(section: &Value) -> Option<&Value> {
    if section.get("properties").is_some() {
        return Some(section);
    }
    let each = &section["additionalProperties"];
    if each.get("properties").is_some() {
        return Some(each);
    }
    each["anyOf"].as_array()?.iter().find(|form| form.get("properties").is_some())
}

#[test]
fn every_field_of_the_schema_is_known_to_the_reader_and_looked_at() {
    let schema = schema();
    let mut fields = 0;
    for (name, section) in schema["properties"].as_object().unwrap() {
        let Some(table) = fields_schema(section) else { continue };
        let (head, needed) = table_of(name).unwrap_or_else(|| panic!("no table for {name}"));
        for key in table["properties"].as_object().unwrap().keys() {
            fields += 1;
            let needed = if key == "kind" || key == "file" { "" } else { needed };
            let text = format!("{head}{needed}{key} = {NONSENSE}\n");
            let record = read(&text);
            assert!(
                record
                    .diagnostics
                    .iter()
                    .all(|d| d.slug != "unknown-field" || !super::underlined(&text, d).eq(key)),
                "{name}.{key}"
            );
            assert!(!record.diagnostics.is_empty(), "{name}.{key} is not looked at: {text}");
        }
    }
    assert!(fields > 60, "{fields}");
}

#[test]
fn a_field_that_is_not_in_the_schema_is_refused_by_the_reader() {
    let schema = schema();
    // Every field of every section, and some that exist nowhere, tried in every other section.
    let mut all = vec!["colour2".to_owned(), "Kind".to_owned(), "id".to_owned()];
    for (name, section) in schema["properties"].as_object().unwrap() {
        all.push(name.clone());
        if let Some(table) = fields_schema(section) {
            all.extend(table["properties"].as_object().unwrap().keys().cloned());
        }
    }
    for (name, section) in schema["properties"].as_object().unwrap() {
        let Some(table) = fields_schema(section) else { continue };
        let (head, needed) = table_of(name).unwrap();
        for key in all.iter().filter(|key| table["properties"].get(key.as_str()).is_none()) {
            let text = format!("{head}{needed}{key} = \"x\"\n");
            let record = read(&text);
            assert!(record.diagnostics.iter().any(|d| d.slug == "unknown-field"), "{name}.{key}");
        }
        assert_eq!(table["additionalProperties"], Value::Bool(false), "{name}");
    }
}

#[test]
fn the_sections_of_the_schema_are_those_of_the_reader() {
    let schema = schema();
    for name in schema["properties"].as_object().unwrap().keys() {
        let text = if name == "unbury" { "unbury = 1\n".to_owned() } else { format!("[{name}]\n") };
        assert!(read(&text).diagnostics.is_empty(), "{name}");
    }
    for name in ["device", "wire", "unburied", "notes"] {
        assert!(schema["properties"].get(name).is_none());
        assert_eq!(read(&format!("[{name}]\n")).diagnostics[0].slug, "unknown-section");
    }
    assert_eq!(schema["additionalProperties"], Value::Bool(false));
}

#[test]
fn every_field_and_section_is_explained() {
    fn walk(value: &Value, path: &str) {
        if let Some(properties) = value.get("properties").and_then(Value::as_object) {
            for (key, form) in properties {
                let words = form["description"].as_str().unwrap_or("");
                assert!(!words.is_empty(), "{path}.{key} has no description");
                walk(form, &format!("{path}.{key}"));
            }
        }
        for inner in ["additionalProperties", "items"] {
            if let Some(inner) = value.get(inner) {
                walk(inner, path);
            }
        }
        for form in value.get("anyOf").and_then(Value::as_array).into_iter().flatten() {
            walk(form, path);
        }
    }
    walk(&schema(), "");
}

#[test]
fn every_kind_of_the_catalog_is_offered() {
    let schema = schema();
    let kinds =
        &schema["properties"]["devices"]["additionalProperties"]["properties"]["kind"]["enum"];
    let catalog = catalog::Catalog::embedded();
    let known: Vec<&str> = catalog.kinds.iter().map(|(name, _)| name).collect();
    assert_eq!(
        kinds.as_array().unwrap().iter().filter_map(Value::as_str).collect::<Vec<_>>(),
        known
    );
}

/// The words of a choice as the schema's pattern lists them.
fn choices(form: &Value) -> Option<Vec<&str>> {
    form.get("pattern")?;
    form["examples"].as_array().map(|words| words.iter().filter_map(Value::as_str).collect())
}

/// The shape of a value against a schema: the words of the schema this program writes. The whole
/// of JSON Schema, patterns and all, is left to a general validator in the repository's test run.
fn check(value: &Value, schema: &Value, path: &str) -> Result<(), String> {
    if let Some(forms) = schema.get("anyOf").and_then(Value::as_array) {
        let tried: Vec<_> = forms.iter().map(|form| check(value, form, path)).collect();
        return if tried.iter().any(Result::is_ok) {
            Ok(())
        } else {
            tried.into_iter().next().unwrap()
        };
    }
    if let Some(only) = schema.get("const")
        && value != only
    {
        return Err(format!("{path}: {value} is not {only}"));
    }
    if let Some(words) = schema.get("enum").and_then(Value::as_array)
        && !words.contains(value)
    {
        return Err(format!("{path}: {value} is not offered"));
    }
    if let Some(words) = choices(schema) {
        let text = value.as_str().unwrap_or("");
        if text != "unknown" && !words.iter().any(|word| text.contains(word)) {
            return Err(format!("{path}: {text} is none of {words:?}"));
        }
    }
    let sort = match value {
        Value::String(_) => "string",
        Value::Number(_) => "number",
        Value::Bool(_) => "boolean",
        Value::Array(_) => "array",
        Value::Object(_) => "object",
        Value::Null => "null",
    };
    match schema.get("type") {
        Some(Value::String(wanted)) if wanted != sort => {
            return Err(format!("{path}: {sort}, not {wanted}"));
        }
        Some(Value::Array(wanted)) if !wanted.iter().any(|w| w == sort) => {
            return Err(format!("{path}: {sort}, not one of {wanted:?}"));
        }
        _ => {}
    }
    for item in value.as_array().into_iter().flatten() {
        check(item, &schema["items"], path)?;
    }
    for (key, inner) in value.as_object().into_iter().flatten() {
        let here = format!("{path}.{key}");
        match (schema["properties"].get(key), schema.get("additionalProperties")) {
            (Some(form), _) => check(inner, form, &here)?,
            (None, Some(Value::Bool(false))) => return Err(format!("{here}: no such field")),
            (None, Some(form)) => check(inner, form, &here)?,
            (None, None) => {}
        }
    }
    for key in schema.get("required").and_then(Value::as_array).into_iter().flatten() {
        if value.get(key.as_str().unwrap()).is_none() {
            return Err(format!("{path}: no {key}"));
        }
    }
    Ok(())
}

fn as_json(text: &str) -> Value {
    serde_json::to_value(text.parse::<toml::Table>().unwrap()).unwrap()
}

#[test]
fn every_record_of_the_repository_has_the_shape_of_the_schema_and_no_fault() {
    let schema = schema();
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../records");
    let mut seen = 0;
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        let name = path.file_name().unwrap().to_string_lossy().into_owned();
        let Ok(text) = std::fs::read_to_string(path.join(format!("{name}.toml"))) else { continue };
        seen += 1;
        check(&as_json(&text), &schema, &name).unwrap();
        let record = read(&text);
        assert!(record.diagnostics.is_empty(), "{name}: {:#?}", record.diagnostics);
    }
    assert!(seen >= 1);
}

#[test]
fn the_walker_refuses_what_the_reader_refuses() {
    let schema = schema();
    for text in [
        "unbury = 2",
        "[wire]",
        "[devices]\na = {}",
        "[devices]\na = { kind = \"busbr\" }",
        "[devices]\na = { kind = \"busbar\", colour = \"red\" }",
        "[wires]\nw = 3",
        "[wires]\nw = { core = \"stiff\" }",
        "[parts]\np = { taken_out = \"yes\" }",
        "[states]\ns = { charge = 3 }",
        "[states]\ns = { on = [3] }",
        "[vehicle]\nname = 3",
    ] {
        assert!(check(&as_json(text), &schema, "").is_err(), "{text}");
        assert!(!read(text).diagnostics.is_empty(), "{text}");
    }
}
