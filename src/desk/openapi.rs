//! How is the API written down for those who write against it? As OpenAPI 3.1, whose schemas are the JSON Schemas that the
//! protocol's types have already.

use schemars::{JsonSchema, SchemaGenerator, generate::SchemaSettings};
use serde_json::{Map, Value, json};

use crate::bundle::file::Bundle;
use crate::search::lessons::Shop;
use crate::sync::protocol::{EventPage, Health, JobsAtDesk, Paired, PairingAsked, Problem, Receipt, VERSION};

/// A call: what it does, what it takes beside its address, what it answers.
struct Call {
    method: &'static str,
    path: &'static str,
    does: &'static str,
    open: bool,
    asked: &'static [(&'static str, &'static str)],
    headers: &'static [(&'static str, &'static str)],
    body: Option<(&'static str, Option<&'static str>)>,
    answers: &'static [(u16, &'static str, Option<&'static str>)],
}

const NOTHING: Call =
    Call { method: "", path: "", does: "", open: false, asked: &[], headers: &[], body: None, answers: &[] };

/// Every call of version 1.
const CALLS: [Call; 11] = [
    Call {
        method: "get",
        path: "/api/v1/health",
        does: "Which program answers here, and which versions of the protocol it speaks.",
        open: true,
        answers: &[(200, "It does.", Some("Health"))],
        ..NOTHING
    },
    Call {
        method: "post",
        path: "/api/v1/pairings",
        does: "Gives the code that the desk shows for a token. A code holds for ten minutes and once.",
        open: true,
        body: Some(("application/json", Some("PairingAsked"))),
        answers: &[
            (201, "Paired.", Some("Paired")),
            (403, "The code is not good.", None),
            (429, "Too many tries.", None),
        ],
        ..NOTHING
    },
    Call {
        method: "head",
        path: "/api/v1/photos/{sha256}",
        does: "Whether a photograph is held.",
        answers: &[(200, "It is.", None), (404, "It is not.", None)],
        ..NOTHING
    },
    Call {
        method: "get",
        path: "/api/v1/photos/{sha256}",
        does: "A photograph made small, as a JPEG that stands upright.",
        asked: &[("edge", "The long edge: 1600 or 320 pixels.")],
        answers: &[(200, "image/jpeg", None), (404, "It is not held, or is of a kind that is not read here.", None)],
        ..NOTHING
    },
    Call {
        method: "put",
        path: "/api/v1/photos/{sha256}",
        does: "Keeps a photograph. Said only once it is durable.",
        body: Some(("*/*", None)),
        answers: &[
            (201, "Kept.", None),
            (200, "It was held already.", None),
            (413, "Too large.", None),
            (422, "The bytes do not hash to the name.", None),
        ],
        ..NOTHING
    },
    Call {
        method: "head",
        path: "/api/v1/photos/{sha256}/pieces",
        does: "How many bytes of a photograph in pieces are kept: the header Upload-Offset.",
        answers: &[(200, "So many.", None), (201, "All of it is held.", None)],
        ..NOTHING
    },
    Call {
        method: "patch",
        path: "/api/v1/photos/{sha256}/pieces",
        does: "Keeps the piece that begins behind what is kept. With the last one it becomes the photograph.",
        headers: &[
            ("Upload-Offset", "Where the piece begins."),
            ("Upload-Length", "How many bytes the photograph has."),
        ],
        body: Some(("application/offset+octet-stream", None)),
        answers: &[
            (204, "Kept; Upload-Offset says where the next one begins.", None),
            (201, "It was the last one.", None),
            (409, "The next one begins elsewhere: Upload-Offset says where.", None),
            (422, "Together they do not hash to the name; all were thrown away.", None),
        ],
        ..NOTHING
    },
    Call {
        method: "get",
        path: "/api/v1/jobs",
        does: "Jobs that are not handed over yet, the newest change first.",
        asked: &[("words", "Words that a job must hold, all of them.")],
        answers: &[(200, "The first of them.", Some("JobsAtDesk"))],
        ..NOTHING
    },
    Call {
        method: "put",
        path: "/api/v1/jobs/{job}/bundles/{bundle}",
        does: "Takes a bundle in, once: the same again gets the same receipt.",
        body: Some(("application/json", Some("Bundle"))),
        answers: &[
            (201, "Taken in and durable.", Some("Receipt")),
            (200, "It was taken in before.", Some("Receipt")),
            (422, "It is not whole, or contradicts what is held.", None),
        ],
        ..NOTHING
    },
    Call {
        method: "get",
        path: "/api/v1/jobs/{job}/events",
        does: "What others added, behind a cursor.",
        asked: &[
            ("after", "The cursor of the last call; without it, from the first."),
            ("wait", "How many seconds to wait where there is nothing new, at most 50."),
        ],
        answers: &[
            (200, "A page of events.", Some("EventPage")),
            (400, "This cursor was not given here: ask again without it.", None),
            (404, "Nothing is held of this job.", None),
        ],
        ..NOTHING
    },
    Call {
        method: "get",
        path: "/api/v1/lessons",
        does: "What the shop's closed jobs have taught: in what kinds of place faults are.",
        answers: &[(200, "The counts.", Some("Shop"))],
        ..NOTHING
    },
];

/// The document, without what a program could only guess.
pub fn document() -> Value {
    let mut paths: Map<String, Value> = Map::new();
    for call in &CALLS {
        let path = paths.entry(call.path).or_insert_with(|| json!({}));
        path[call.method] = operation(call);
    }
    json!({
        "openapi": "3.1.0",
        "info": {
            "title": "Loomwalk desk",
            "version": format!("{VERSION}"),
            "description": "What phones and the desk say to each other. Errors are application/problem+json (RFC 9457). \
                            A newer desk keeps these calls: what is written here keeps its meaning.",
            "license": { "name": "MIT OR Apache-2.0", "identifier": "MIT OR Apache-2.0" },
        },
        "servers": [{ "url": "/" }],
        "security": [{ "token": [] }],
        "paths": paths,
        "components": {
            "securitySchemes": { "token": { "type": "http", "scheme": "bearer", "description": "From POST /api/v1/pairings." } },
            "schemas": schemas(),
        },
    })
}

fn operation(call: &Call) -> Value {
    let in_path = call.path.split('{').skip(1).filter_map(|rest| rest.split('}').next()).map(|name| {
        let (kind, pattern) = if name == "sha256" { ("SHA-256 in lower-case hex.", "^[0-9a-f]{64}$") } else { ("A UUID.", "^[0-9a-f-]{36}$") };
        json!({ "name": name, "in": "path", "required": true, "description": kind, "schema": { "type": "string", "pattern": pattern } })
    });
    let asked = call.asked.iter().map(|(name, what)| {
        let number = matches!(*name, "edge" | "wait");
        json!({ "name": name, "in": "query", "description": what, "schema": { "type": if number { "integer" } else { "string" } } })
    });
    let headers = call.headers.iter().map(|(name, what)| {
        json!({ "name": name, "in": "header", "required": true, "description": what, "schema": { "type": "integer" } })
    });
    let mut answers: Map<String, Value> = Map::new();
    for (status, what, schema) in call.answers {
        let mut answer = json!({ "description": what });
        if let Some(schema) = schema {
            answer["content"] = content("application/json", Some(schema));
        } else if *status >= 400 && call.method != "head" {
            answer["content"] = content("application/problem+json", Some("Problem"));
        }
        answers.insert(status.to_string(), answer);
    }
    if !call.open {
        let mut answer = json!({ "description": "No token, or none that is good." });
        if call.method != "head" {
            answer["content"] = content("application/problem+json", Some("Problem"));
        }
        answers.insert("401".to_owned(), answer);
    }
    let parameters: Vec<Value> = in_path.chain(asked).chain(headers).collect();
    let mut operation = json!({ "summary": call.does, "parameters": parameters, "responses": answers });
    if call.open {
        operation["security"] = json!([]);
    }
    if let Some((media_type, schema)) = call.body {
        operation["requestBody"] = json!({ "required": true, "content": content(media_type, schema) });
    }
    operation
}

fn content(media_type: &str, schema: Option<&str>) -> Value {
    match schema {
        Some(schema) => json!({ media_type: { "schema": { "$ref": format!("#/components/schemas/{schema}") } } }),
        None => json!({ media_type: {} }),
    }
}

/// All types that the calls name, and those inside them.
fn schemas() -> Value {
    let settings = SchemaSettings::draft2020_12().with(|settings| {
        settings.definitions_path = "/components/schemas".into();
        settings.meta_schema = None;
    });
    let mut generator = settings.into_generator();
    add::<Health>(&mut generator);
    add::<PairingAsked>(&mut generator);
    add::<Paired>(&mut generator);
    add::<JobsAtDesk>(&mut generator);
    add::<Bundle>(&mut generator);
    add::<Receipt>(&mut generator);
    add::<EventPage>(&mut generator);
    add::<Shop>(&mut generator);
    add::<Problem>(&mut generator);
    Value::Object(generator.take_definitions(true))
}

fn add<T: JsonSchema>(generator: &mut SchemaGenerator) {
    generator.subschema_for::<T>();
}

/// Each call's method and address, as examples that a desk knows.
pub fn examples() -> Vec<(&'static str, String)> {
    let of = |call: &Call| {
        let id = "01890a5d-ac96-774b-bcce-b302099a8057";
        let path = call.path.replace("{sha256}", &"0".repeat(64)).replace("{job}", id).replace("{bundle}", id);
        (call.method, path)
    };
    CALLS.iter().map(of).collect()
}
