//! Plugins that are not to be loaded: what they are made of, what they ask for, what they say.

use super::raw::{FREE, Raw, with_contract};
use hoopwright::sandbox::Kind;
use serde_json::{Value, json};

/// Plugins of these names, each wrong in one way.
pub fn all() -> Vec<(String, Vec<u8>)> {
    let mut all: Vec<(String, Vec<u8>)> = Vec::new();
    for (name, bytes) in [bytes(), imports(), made_up()].concat() {
        all.push((name.to_owned(), bytes));
    }
    for kind in [Kind::Object, Kind::Design] {
        for (name, make) in SAYING {
            let mut raw = Raw::new(kind);
            make(&mut raw);
            all.push((super::calls::named(name, kind), raw.bytes()));
        }
    }
    for (name, schema) in schemas() {
        let mut raw = Raw::new(Kind::Object);
        raw.schema = schema;
        all.push((format!("schema-{name}"), raw.bytes()));
    }
    all
}

type Named = Vec<(&'static str, Vec<u8>)>;

/// Bytes that are no plugin at all.
fn bytes() -> Named {
    let sound = Raw::new(Kind::Object).bytes();
    let engine = wasmtime::Engine::default();
    let native = engine.precompile_component(b"\0asm\x0d\0\x01\0").unwrap();
    // What the contract's type is replaced by means nothing.
    let mut garbled = sound.clone();
    let section = garbled
        .windows(14)
        .position(|window| window == b"component-type")
        .unwrap();
    for (i, byte) in garbled[section + 14..].iter_mut().enumerate() {
        *byte = (i * 37) as u8;
    }
    vec![
        ("nothing", Vec::new()),
        ("words", b"not wasm at all".to_vec()),
        ("cut", sound[..sound.len() / 2].to_vec()),
        ("garbled-type", garbled),
        ("native", native),
        ("empty-module", b"\0asm\x01\0\0\0".to_vec()),
        ("empty-component", b"\0asm\x0d\0\x01\0".to_vec()),
        (
            "endless-length",
            b"\0asm\x01\0\0\0\x01\xff\xff\xff\xff\x0f".to_vec(),
        ),
        (
            "no-contract",
            wat::parse_str("(module (memory (export \"memory\") 1))").unwrap(),
        ),
    ]
}

/// What reaches out of the sandbox.
fn imports() -> Named {
    let component = |interface: &str| {
        wat::parse_str(format!("(component (import \"{interface}\" (instance)))")).unwrap()
    };
    let module = |module: &str, name: &str| {
        let text = format!("(module (import \"{module}\" \"{name}\" (func)))");
        with_contract(wat::parse_str(text).unwrap(), Kind::Object)
    };
    vec![
        ("asks-for-files", component("wasi:filesystem/types@0.2.0")),
        (
            "asks-for-the-clock",
            component("wasi:clocks/monotonic-clock@0.2.0"),
        ),
        ("asks-for-the-network", component("wasi:sockets/tcp@0.2.0")),
        (
            "asks-for-the-web",
            component("wasi:http/outgoing-handler@0.2.0"),
        ),
        ("asks-for-chance", component("wasi:random/random@0.2.0")),
        (
            "asks-for-the-environment",
            component("wasi:cli/environment@0.2.0"),
        ),
        (
            "asks-as-a-module",
            module("wasi_snapshot_preview1", "fd_read"),
        ),
        ("asks-for-anything", module("env", "system")),
        (
            "asks-for-more-of-ours",
            module("hoopwright:step/host@0.1.1", "read-file"),
        ),
        ("asks-with-commands", module("\\1b[2J\\1b]0;owned\\07", "x")),
    ]
}

/// Plugins made to cost the compiler time or memory.
fn made_up() -> Named {
    let with = |fields: String| {
        let mut raw = Raw::new(Kind::Object);
        raw.fields = fields;
        raw.bytes()
    };
    let nested = |depth: usize| {
        let text = format!("(component{}", ")".repeat(depth));
        wat::parse_str(text.replacen("(component", &"(component ".repeat(depth), 1)).unwrap()
    };
    // Each type is two of the one before.
    let doubled = |times: usize| {
        let types: String = (1..times)
            .map(|i| format!("(type $t{i} (tuple $t{0} $t{0}))", i - 1))
            .collect();
        wat::parse_str(format!("(component (type $t0 (tuple u8 u8)) {types})")).unwrap()
    };
    let values = |n: usize| "i32 ".repeat(n);
    vec![
        ("many-functions", with("(func)".repeat(100_001))),
        (
            "many-exports",
            with(
                (0..100_001)
                    .map(|i| format!("(export \"e{i}\" (func $realloc))"))
                    .collect(),
            ),
        ),
        ("many-tables", with("(table 1 funcref)".repeat(100_001))),
        (
            "wide-function",
            with(format!("(func (param {}))", values(33))),
        ),
        (
            "large-function",
            with(format!("(func {})", "(drop (i32.const 0))".repeat(180_000))),
        ),
        (
            "many-variables",
            with(format!("(func (local {}))", values(40_000))),
        ),
        (
            "tangled-function",
            with(format!(
                "(func (param i32) (local {}) {} {})",
                values(3000),
                "loop local.get 0 br_if 0 end ".repeat(3000),
                (1..3000)
                    .map(|i| format!("local.get {i} drop "))
                    .collect::<String>()
            )),
        ),
        (
            "deep-function",
            with(format!(
                "(func {} {})",
                "block ".repeat(20_000),
                "end ".repeat(20_000)
            )),
        ),
        (
            "many-valued-blocks",
            with(format!(
                "(type $many (func (param {0}) (result {0})))
                 (func (param i32) {1} {2} {3})",
                values(30),
                "local.get 0 ".repeat(30),
                "loop (type $many) local.get 0 br_if 0 end ".repeat(1000),
                "drop ".repeat(30)
            )),
        ),
        ("nested-components", nested(100)),
        (
            "many-components",
            wat::parse_str(format!("(component {})", "(component)".repeat(65))).unwrap(),
        ),
        ("doubled-types", doubled(60)),
        ("much-memory", {
            let mut raw = Raw::new(Kind::Object);
            raw.pages = 65_536;
            raw.bytes()
        }),
        ("large-table", with("(table 9000000 funcref)".to_owned())),
        ("eighty-tables", with("(table 1 funcref)".repeat(80))),
        ("nine-memories", with("(memory 1)".repeat(8))),
        (
            "data-outside-memory",
            with("(data (i32.const -16) \"too far out of it\")".to_owned()),
        ),
        (
            "pointers-outside-table",
            with("(table $t 1 funcref) (elem (table $t) (i32.const 7) func $realloc)".to_owned()),
        ),
    ]
}

/// A deed by its name, and what makes a sound plugin do it.
type Saying = (&'static str, fn(&mut Raw));

/// What a plugin does or says before it is called for the first time.
const SAYING: &[Saying] = &[
    ("start-traps", |raw| {
        raw.fields += "(func $begin unreachable) (start $begin)"
    }),
    ("start-loops", |raw| {
        raw.fields += "(func $begin (loop (br 0))) (start $begin)"
    }),
    ("start-recurs", |raw| {
        raw.fields += "(func $begin call $begin) (start $begin)"
    }),
    ("start-hoards", |raw| {
        raw.fields +=
            "(func $begin (loop (drop (memory.grow (i32.const 64))) (br 0))) (start $begin)";
    }),
    ("describe-loops", |raw| raw.describe += "(loop (br 0))"),
    ("describe-traps", |raw| raw.describe += "unreachable"),
    ("describe-points-outside", |raw| {
        raw.describe += "(return (i32.const -64))"
    }),
    ("name-of-a-path", |raw| {
        raw.name = "../../etc/passwd".to_owned()
    }),
    ("name-with-commands", |raw| {
        raw.name = "\u{1b}[2Jnudge".to_owned()
    }),
    ("name-without-end", |raw| raw.name = "x".repeat(1 << 20)),
    ("no-name", |raw| raw.name.clear()),
    ("summary-without-end", |raw| {
        raw.summary = "x".repeat(1 << 20)
    }),
    ("manual-without-end", |raw| raw.manual = "x".repeat(1 << 20)),
    ("manual-not-utf-8", |raw| {
        raw.bytes_at(FREE, b"\xff\xfe");
        raw.describe += &format!(
            "(i32.store (i32.const 280) (i32.const {FREE}))
             (i32.store (i32.const 284) (i32.const 2)) (return (i32.const 256))"
        );
    }),
];

/// Schemas that a plugin gives for its settings.
fn schemas() -> Vec<(&'static str, String)> {
    let with =
        |properties: Value| json!({ "type": "object", "properties": properties }).to_string();
    let deep = |depth: usize| {
        let begin = r#"{"type": "object", "properties": {"x": "#;
        format!("{}{{}}{}", begin.repeat(depth), "}}".repeat(depth))
    };
    // Each part is looked at twice for the one before.
    let doubled = |times: usize| {
        let parts = (0..times).map(|i| {
            let next = json!({ "$ref": format!("#/$defs/p{}", i + 1) });
            (format!("p{i}"), json!({ "allOf": [next, next] }))
        });
        let mut defs: serde_json::Map<String, Value> = parts.collect();
        defs.insert(format!("p{times}"), json!({ "type": "number" }));
        json!({ "type": "object", "properties": { "x": { "$ref": "#/$defs/p0" } }, "$defs": defs })
            .to_string()
    };
    // Each part is behind the one before.
    let chain = |links: usize| {
        let parts = (0..links).map(|i| {
            let next = json!({ "$ref": format!("#/$defs/p{}", i + 1) });
            (format!("p{i}"), next)
        });
        let mut defs: serde_json::Map<String, Value> = parts.collect();
        defs.insert(format!("p{links}"), json!({ "type": "number" }));
        json!({ "type": "object", "properties": { "x": { "$ref": "#/$defs/p0" } }, "$defs": defs })
            .to_string()
    };
    let many = |n: usize| (0..n).map(|i| (format!("s{i}"), json!({ "type": "number" })));
    vec![
        ("not-json", "{".to_owned()),
        ("not-an-object", "[]".to_owned()),
        ("no-type", "{}".to_owned()),
        ("deep", deep(1_000)),
        ("deep-and-large", deep(10_000)),
        ("without-end", format!("{{\"type\": \"object\", \"description\": \"{}\"}}", "x".repeat(1 << 20))),
        ("from-the-web", with(json!({ "x": { "$ref": "https://example.org/schema.json" } }))),
        ("from-a-file", with(json!({ "x": { "$ref": "file:///etc/passwd" } }))),
        ("from-beside", with(json!({ "x": { "$ref": "other.json#/x" } }))),
        ("of-nothing", with(json!({ "x": { "$ref": "#/$defs/none" } }))),
        ("of-itself", json!({ "type": "object", "$ref": "#" }).to_string()),
        ("in-a-ring", json!({
            "type": "object", "allOf": [{ "$ref": "#/$defs/a" }],
            "$defs": { "a": { "$ref": "#/$defs/b" }, "b": { "$ref": "#/$defs/a" } },
        }).to_string()),
        ("in-a-chain", chain(5_000)),
        ("of-a-tree", json!({
            "type": "object", "properties": { "x": { "$ref": "#/$defs/node" } },
            "$defs": { "node": { "type": "object", "properties": { "child": { "$ref": "#/$defs/node" } } } },
        }).to_string()),
        ("by-anchor", with(json!({ "x": { "$dynamicRef": "#node" } }))),
        ("doubled", doubled(60)),
        ("many-parts", with(Value::Object(many(5000).collect()))),
        ("pattern-that-looks-back", with(json!({ "x": { "type": "string", "pattern": "(a)\\1" } }))),
        ("pattern-that-looks-ahead", with(json!({ "x": { "type": "string", "pattern": "(?=a)b" } }))),
        ("pattern-of-patterns", with(json!({ "x": { "type": "string", "pattern": "((a{1,500}){1,500}){1,500}" } }))),
        ("pattern-unclosed", with(json!({ "x": { "type": "string", "pattern": "(" } }))),
    ]
}
