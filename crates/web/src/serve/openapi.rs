//! The description of the addresses for programs, in the form of OpenAPI 3.1.0 (openapis.org).

use schemars::JsonSchema;
use schemars::generate::SchemaSettings;
use serde_json::{Map, Value, json};

/// How an address is asked.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Method {
    /// For something.
    Get,
    /// To take something in.
    Post,
}

/// What is sent or taken.
#[derive(Clone, Debug)]
pub(crate) enum Kind {
    /// JSON of this schema.
    Json(Box<Value>),
    /// JSON that says its own form in the field `schema`, or is a schema itself.
    Anything,
    /// A file of this media type.
    File(&'static str),
}

impl Kind {
    /// JSON of a type.
    pub(crate) fn of<T: JsonSchema>() -> Kind {
        // Everything inside, so that each stands for itself.
        let settings = SchemaSettings::draft2020_12();
        Kind::Json(Box::new(settings.into_generator().into_root_schema_for::<T>().to_value()))
    }
}

/// An address for programs.
#[derive(Clone, Debug)]
pub(crate) struct Endpoint {
    pub(crate) method: Method,
    /// With `{id}` for the case.
    pub(crate) path: String,
    /// What it is, in a sentence.
    pub(crate) about: String,
    pub(crate) gives: Kind,
    takes: Option<Kind>,
    asks: Vec<(&'static str, &'static str)>,
}

impl Endpoint {
    pub(crate) fn get(path: &str, about: &str, gives: Kind) -> Endpoint {
        let (path, about) = (path.to_owned(), about.to_owned());
        Endpoint { method: Method::Get, path, about, gives, takes: None, asks: Vec::new() }
    }

    pub(crate) fn post(path: &str, about: &str, gives: Kind) -> Endpoint {
        Endpoint { method: Method::Post, ..Endpoint::get(path, about, gives) }
    }

    pub(crate) fn taking(self, kind: Kind) -> Endpoint {
        Endpoint { takes: Some(kind), ..self }
    }

    pub(crate) fn asking(mut self, name: &'static str, about: &'static str) -> Endpoint {
        self.asks.push((name, about));
        self
    }

    fn described(&self, schemas: &mut Map<String, Value>) -> Value {
        let mut out = json!({
            "summary": self.about,
            "responses": {
                "200": { "description": "As asked", "content": content(&self.gives, schemas) },
                "default": { "$ref": "#/components/responses/Problem" },
            },
        });
        let query = self.asks.iter().map(|(name, about)| {
            json!({ "name": name, "in": "query", "description": about, "schema": { "type": "string" } })
        });
        let id = self.path.contains("{id}").then(|| {
            json!({ "name": "id", "in": "path", "required": true, "description": "The case", "schema": { "type": "string" } })
        });
        out["parameters"] = id.into_iter().chain(query).collect();
        if let Some(takes) = &self.takes {
            out["requestBody"] = json!({ "required": true, "content": content(takes, schemas) });
        }
        out
    }
}

fn content(kind: &Kind, schemas: &mut Map<String, Value>) -> Value {
    match kind {
        Kind::Json(schema) => json!({ "application/json": { "schema": shared(schema, schemas) } }),
        Kind::Anything => json!({ "application/json": { "schema": { "type": "object" } } }),
        Kind::File(media) => json!({ *media: {} }),
    }
}

/// The schema with its definitions moved to where all share them.
fn shared(schema: &Value, schemas: &mut Map<String, Value>) -> Value {
    let mut schema = schema.clone();
    if let Value::Object(fields) = &mut schema {
        fields.remove("$schema");
        if let Some(Value::Object(definitions)) = fields.remove("$defs") {
            for (name, mut definition) in definitions {
                moved(&mut definition);
                schemas.insert(name, definition);
            }
        }
    }
    moved(&mut schema);
    schema
}

/// Lets references lead to where definitions are shared.
fn moved(value: &mut Value) {
    match value {
        Value::Object(fields) => {
            if let Some(Value::String(to)) = fields.get_mut("$ref") {
                *to = to.replace("#/$defs/", "#/components/schemas/");
            }
            fields.values_mut().for_each(moved);
        }
        Value::Array(items) => items.iter_mut().for_each(moved),
        _ => {}
    }
}

/// The whole description.
pub(crate) fn document(endpoints: &[Endpoint]) -> Value {
    let (mut paths, mut schemas) = (Map::new(), Map::new());
    for endpoint in endpoints {
        let method = match endpoint.method {
            Method::Get => "get",
            Method::Post => "post",
        };
        let described = endpoint.described(&mut schemas);
        paths.entry(endpoint.path.clone()).or_insert_with(|| json!({}))[method] = described;
    }
    json!({
        "openapi": "3.1.0",
        "info": {
            "title": "Unbury",
            "version": env!("CARGO_PKG_VERSION"),
            "description": "Cases of a workshop and what is computed from their records, as the command line prints it with --json. Where people log in, send the cookie of a session.",
        },
        "paths": paths,
        "components": {
            "schemas": schemas,
            "responses": { "Problem": {
                "description": "What went wrong, and what to do",
                "content": { "application/json": { "schema": {
                    "type": "object", "required": ["message"],
                    "properties": { "message": { "type": "string" } },
                } } },
            } },
            "securitySchemes": { "session": { "type": "apiKey", "in": "cookie", "name": "unbury" } },
        },
        "security": [{ "session": [] }],
    })
}
