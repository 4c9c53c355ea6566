//! Plugins written by hand: core modules whose every byte of the canonical ABI is ours, so that they
//! can hand over what no compiler's bindings would.
//!
//! The layout of records in memory is that of the component model's canonical ABI
//! (<https://github.com/WebAssembly/component-model/blob/main/design/mvp/CanonicalABI.md>); the
//! contract's type is laid into the module by `wit-component`.

use crate::files::root;
use hoopwright::sandbox::Kind;
use std::sync::OnceLock;
use wit_component::{StringEncoding, embed_component_metadata};
use wit_parser::{Resolve, WorldId};

/// A plugin's parts, as WebAssembly text. What is not named is well behaved: the object or the design
/// comes back as it went in.
#[derive(Clone, Debug)]
pub struct Raw {
    pub kind: Kind,
    pub name: String,
    pub summary: String,
    pub manual: String,
    pub schema: String,
    /// Further fields of the module: functions, tables, a start function.
    pub fields: String,
    /// The memory's smallest size in pages of 64 KiB.
    pub pages: u32,
    /// Run at the beginning of `describe`.
    pub describe: String,
    /// Run in `process` when the answer lies at [`ANSWER`] already.
    pub process: String,
    /// The body of `cabi_realloc`; it gives an address.
    pub realloc: String,
}

/// Where `process` leaves its answer: the case of the result, and at [`VALUE`] the object or design,
/// or the failure.
pub const ANSWER: u32 = 1024;
/// The object or the design of the answer.
pub const VALUE: u32 = ANSWER + 8;
/// How far an object's fields lie from its beginning.
pub mod object {
    pub const ID: u32 = 0;
    pub const NAME: u32 = 8;
    pub const TAGS: u32 = 16;
    pub const THREAD: u32 = 24;
    pub const SHAPE: u32 = 32;
    pub const ANGLE: u32 = 56;
    pub const STITCHES: u32 = 160;
    pub const BYTES: u32 = 168;
}
/// The addresses of a design's fields in the answer of a design step.
pub mod design {
    use super::VALUE;
    pub const TITLE: u32 = VALUE;
    pub const PAGE: u32 = VALUE + 8;
    pub const THREADS: u32 = VALUE + 40;
    pub const OBJECTS: u32 = VALUE + 48;
}
/// Free for a deed's own use, up to the heap.
pub const FREE: u32 = 4096;
/// Where the plugin's texts and then the memory that it hands out begin.
const TEXTS: u32 = 65_536;

/// Gives memory one piece after the other, and grows as needed.
const BUMP: &str = "
    (local $at i32)
    (local.set $at (i32.and (i32.add (global.get $next) (i32.const 15)) (i32.const -16)))
    (global.set $next (i32.add (local.get $at) (local.get $size)))
    (block $fits
      (loop $grow
        (br_if $fits (i32.le_u (global.get $next) (i32.mul (memory.size) (i32.const 65536))))
        (if (i32.eq (memory.grow (i32.const 16)) (i32.const -1)) (then unreachable))
        (br $grow)))
    (local.get $at)";

impl Raw {
    /// A plugin that does nothing wrong.
    pub fn new(kind: Kind) -> Self {
        Self {
            kind,
            name: "by-hand".to_owned(),
            summary: "Does one thing wrong.".to_owned(),
            manual: String::new(),
            schema: r#"{"type": "object", "additionalProperties": false}"#.to_owned(),
            fields: String::new(),
            pages: 32,
            describe: String::new(),
            process: String::new(),
            realloc: BUMP.to_owned(),
        }
    }

    /// The name of the interface that it exports.
    pub fn step(&self) -> &'static str {
        match self.kind {
            Kind::Object => "object-step",
            Kind::Design => "design-step",
        }
    }

    /// The module in WebAssembly text.
    fn text(&self) -> String {
        let world = self.step();
        let mut texts = Vec::new();
        let mut place = String::new();
        let version = "1.0.0".to_owned();
        let said = [
            &self.name,
            &version,
            &self.summary,
            &self.manual,
            &self.schema,
        ];
        for (i, text) in said.into_iter().enumerate() {
            let field = 256 + 8 * i;
            place += &format!(
                "(i32.store (i32.const {field}) (i32.const {}))
                 (i32.store (i32.const {}) (i32.const {}))\n",
                TEXTS as usize + texts.len(),
                field + 4,
                text.len()
            );
            texts.extend_from_slice(text.as_bytes());
        }
        let heap = TEXTS as usize + texts.len();
        let pages = self.pages.max((heap as u32 >> 16) + 2);
        let data: String = texts.iter().map(|byte| format!("\\{byte:02x}")).collect();
        let Self {
            fields,
            describe,
            process,
            realloc,
            ..
        } = self;
        let (parameters, come_back) = match self.kind {
            Kind::Object => (
                "(param $given i32)".to_owned(),
                format!(
                    "(memory.copy (i32.const {VALUE}) (local.get $given) (i32.const {}))",
                    object::BYTES
                ),
            ),
            Kind::Design => (
                "(param $title i32) (param $title_len i32)
                 (param $x0 f64) (param $y0 f64) (param $x1 f64) (param $y1 f64)
                 (param $threads i32) (param $threads_len i32)
                 (param $objects i32) (param $objects_len i32)
                 (param $selected i32) (param $selected_len i32)
                 (param $settings i32) (param $settings_len i32)"
                    .to_owned(),
                [
                    ("i32", "title", design::TITLE),
                    ("i32", "title_len", design::TITLE + 4),
                    ("f64", "x0", design::PAGE),
                    ("f64", "y0", design::PAGE + 8),
                    ("f64", "x1", design::PAGE + 16),
                    ("f64", "y1", design::PAGE + 24),
                    ("i32", "threads", design::THREADS),
                    ("i32", "threads_len", design::THREADS + 4),
                    ("i32", "objects", design::OBJECTS),
                    ("i32", "objects_len", design::OBJECTS + 4),
                ]
                .map(|(kind, local, at)| {
                    format!("({kind}.store (i32.const {at}) (local.get ${local}))\n")
                })
                .concat(),
            ),
        };
        format!(
            r#"(module
  (import "hoopwright:step/host@0.1.1" "log" (func $log (param i32 i32 i32)))
  (import "hoopwright:step/host@0.1.1" "progress" (func $progress (param f64)))
  (import "hoopwright:step/host@0.1.1" "report"
    (func $report (param i32 i32 i32 i32 i32 i32 i32 f64 f64 i32 i32 i32)))
  (memory (export "memory") {pages})
  (global $next (mut i32) (i32.const {heap}))
  (data (i32.const {TEXTS}) "{data}")
  (func $realloc (export "cabi_realloc")
    (param $old i32) (param $old_size i32) (param $align i32) (param $size i32) (result i32)
    {realloc})
  (func (export "hoopwright:step/{world}@0.1.1#describe") (result i32)
    {describe}
    {place}
    (i32.const 256))
  (func (export "hoopwright:step/{world}@0.1.1#process") {parameters} (result i32)
    (local $i i32) (local $j i32)
    (i32.store (i32.const {ANSWER}) (i32.const 0))
    {come_back}
    {process}
    (i32.const {ANSWER}))
  {fields}
)"#
        )
    }

    /// The first object of the answer, as an expression that gives its address.
    pub fn object(&self) -> String {
        match self.kind {
            Kind::Object => format!("(i32.const {VALUE})"),
            Kind::Design => format!("(i32.load (i32.const {}))", design::OBJECTS),
        }
    }

    /// Stores a whole number in a field of the first object of the answer.
    pub fn set(&mut self, field: u32, value: u32) {
        let object = self.object();
        self.process += &format!("(i32.store offset={field} {object} (i32.const {value}))\n");
    }

    /// Stores a byte in a field of the first object of the answer.
    pub fn set_byte(&mut self, field: u32, value: u8) {
        let object = self.object();
        self.process += &format!("(i32.store8 offset={field} {object} (i32.const {value}))\n");
    }

    /// Makes a text, or a list, of a field of the first object of the answer.
    pub fn set_list(&mut self, field: u32, place: u32, length: u32) {
        self.set(field, place);
        self.set(field + 4, length);
    }

    /// Leaves one block with one stitch in the first object of the answer.
    pub fn set_stitch(&mut self, kind: u8, role: u8, x: &str, y: &str) {
        let (columns, block) = (FREE, FREE + 32);
        self.process += &format!(
            "(f64.store (i32.const {columns}) (f64.const {x}))
             (f64.store offset=8 (i32.const {columns}) (f64.const {y}))
             (i32.store8 (i32.const {block}) (i32.const {kind}))
             (i32.store8 offset=1 (i32.const {block}) (i32.const {role}))
             (i32.store offset=4 (i32.const {block}) (i32.const {columns}))
             (i32.store offset=8 (i32.const {block}) (i32.const 1))
             (i32.store offset=12 (i32.const {block}) (i32.const {}))
             (i32.store offset=16 (i32.const {block}) (i32.const 1))\n",
            columns + 8
        );
        self.set_list(object::STITCHES, block, 1);
    }

    /// Puts bytes where the deed may use them.
    pub fn bytes_at(&mut self, place: u32, bytes: &[u8]) {
        let data: String = bytes.iter().map(|byte| format!("\\{byte:02x}")).collect();
        self.fields += &format!("(data (i32.const {place}) \"{data}\")\n");
    }

    /// The plugin's bytes: a core module with the contract's type.
    pub fn bytes(&self) -> Vec<u8> {
        let text = self.text();
        let module = wat::parse_str(&text).unwrap_or_else(|error| panic!("{error}"));
        with_contract(module, self.kind)
    }
}

/// A core module that claims the contract of a kind of step.
pub fn with_contract(mut module: Vec<u8>, kind: Kind) -> Vec<u8> {
    static CONTRACT: OnceLock<(Resolve, WorldId, WorldId)> = OnceLock::new();
    let (resolve, object, design) = CONTRACT.get_or_init(|| {
        let mut resolve = Resolve::default();
        let (package, _) = resolve.push_dir(root().join("sdk/wit")).unwrap();
        let world = |name| resolve.select_world(&[package], Some(name)).unwrap();
        let worlds = (world("object-plugin"), world("design-plugin"));
        (resolve, worlds.0, worlds.1)
    });
    let world = match kind {
        Kind::Object => *object,
        Kind::Design => *design,
    };
    embed_component_metadata(&mut module, resolve, world, StringEncoding::UTF8, false).unwrap();
    module
}
