//! What a step may try when it is called, for both kinds of step, byte by byte.

use super::raw::{ANSWER, FREE, Raw, VALUE, design, object};
use hoopwright::sandbox::Kind;

/// One thing that a step does wrong.
pub struct Deed {
    pub name: &'static str,
    /// Makes the deed of a well-behaved plugin.
    pub make: fn(&mut Raw),
    /// The kinds of step that it is for.
    pub kinds: &'static [Kind],
}

const BOTH: &[Kind] = &[Kind::Object, Kind::Design];

const fn both(name: &'static str, make: fn(&mut Raw)) -> Deed {
    Deed {
        name,
        make,
        kinds: BOTH,
    }
}

const fn of_design(name: &'static str, make: fn(&mut Raw)) -> Deed {
    Deed {
        name,
        make,
        kinds: &[Kind::Design],
    }
}

/// What never ends, or takes what there is.
pub const GREEDY: &[Deed] = &[
    both("endless-loop", |raw| raw.process += "(loop (br 0))"),
    both("endless-recursion", |raw| {
        raw.fields += "(func $deeper call $deeper)";
        raw.process += "(call $deeper)";
    }),
    both("endless-recursion-with-numbers", |raw| {
        raw.fields += "(func $deeper (param f64) (result f64)
            (f64.add (call $deeper (f64.add (local.get 0) (f64.const 1))) (local.get 0)))";
        raw.process += "(drop (call $deeper (f64.const 0)))";
    }),
    both("endless-memory", |raw| {
        raw.process += "(loop (drop (memory.grow (i32.const 16))) (br 0))";
    }),
    both("endless-table", |raw| {
        raw.fields += "(table $pointers 1 funcref)";
        raw.process +=
            "(loop (drop (table.grow $pointers (ref.null func) (i32.const 1000))) (br 0))";
    }),
    both("endless-log", |raw| {
        raw.process += "(loop (call $log (i32.const 1) (i32.const 65536) (i32.const 7)) (br 0))";
    }),
    both("endless-findings", |raw| {
        raw.process += "(loop
            (call $report (i32.const 1) (i32.const 65536) (i32.const 7)
                (i32.const 0) (i32.const 0) (i32.const 0)
                (i32.const 1) (f64.const nan) (f64.const inf)
                (i32.const 0) (i32.const 0) (i32.const 0))
            (br 0))";
    }),
    both("endless-progress", |raw| {
        raw.process += "(loop (call $progress (f64.const nan)) (br 0))";
    }),
    both("endless-memory-in-realloc", |raw| {
        raw.realloc = "(loop (br 0)) (i32.const 0)".to_owned();
    }),
];

/// Answers that are larger than they are.
pub const HUGE: &[Deed] = &[
    // A list of a million texts that are all the same mebibyte.
    both("million-times-the-same", |raw| {
        raw.fields += "(global $text (mut i32) (i32.const 0))";
        let get = |size: u32| {
            format!("(call $realloc (i32.const 0) (i32.const 0) (i32.const 4) (i32.const {size}))")
        };
        raw.process += &format!(
            "(global.set $text {})
             (memory.fill (global.get $text) (i32.const 120) (i32.const 1048576))
             (local.set $j {})
             (loop
                (i32.store (i32.add (local.get $j) (local.get $i)) (global.get $text))
                (i32.store offset=4 (i32.add (local.get $j) (local.get $i)) (i32.const 1048576))
                (br_if 0 (i32.lt_u
                    (local.tee $i (i32.add (local.get $i) (i32.const 8))) (i32.const 8000000))))",
            get(1 << 20),
            get(8_000_000)
        );
        let object = raw.object();
        raw.process += &format!(
            "(i32.store offset={0} {object} (local.get $j))
             (i32.store offset={1} {object} (i32.const 1000000))",
            object::TAGS,
            object::TAGS + 4
        );
    }),
    both("list-of-four-billion", |raw| {
        raw.set_list(object::TAGS, FREE, u32::MAX);
    }),
    // 214,748,365 blocks of 20 bytes are 4 bytes in 32 bits.
    both("list-longer-than-numbers", |raw| {
        raw.set_list(object::STITCHES, FREE, 214_748_365);
    }),
    both("text-of-four-billion", |raw| {
        raw.set_list(object::NAME, 0, u32::MAX);
    }),
    both("million-stitches", |raw| {
        let (block, columns) = (FREE, 131_072);
        raw.pages = 300;
        raw.process += &format!(
            "(i32.store (i32.const {block}) (i32.const 256))
             (i32.store offset=4 (i32.const {block}) (i32.const {columns}))
             (i32.store offset=8 (i32.const {block}) (i32.const 1000000))
             (i32.store offset=12 (i32.const {block}) (i32.const {columns}))
             (i32.store offset=16 (i32.const {block}) (i32.const 1000000))"
        );
        raw.set_list(object::STITCHES, block, 1);
    }),
    of_design("million-objects", |raw| many_objects(raw, 1_000_000)),
    of_design("million-threads", |raw| {
        raw.pages = 600;
        raw.process += &format!(
            "(i32.store (i32.const {}) (i32.const 131072))
             (i32.store (i32.const {}) (i32.const 1000000))",
            design::THREADS,
            design::THREADS + 4
        );
    }),
];

/// Bytes that mean nothing in the contract.
pub const MEANINGLESS: &[Deed] = &[
    both("unknown-result", |raw| {
        raw.process += &format!("(i32.store8 (i32.const {ANSWER}) (i32.const 2))");
    }),
    both("unknown-shape", |raw| raw.set_byte(object::SHAPE, 3)),
    both("unknown-stitch-kind", |raw| raw.set_stitch(4, 0, "0", "0")),
    both("unknown-stitch-role", |raw| {
        raw.set_stitch(0, 255, "0", "0")
    }),
    both("unknown-option", |raw| raw.set_byte(object::ANGLE, 2)),
    both("unknown-log-level", |raw| {
        raw.process += "(call $log (i32.const 3) (i32.const 65536) (i32.const 7))";
    }),
    both("unknown-severity", |raw| {
        raw.process += "(call $report (i32.const 99) (i32.const 65536) (i32.const 7)
            (i32.const 0) (i32.const 0) (i32.const 0)
            (i32.const 0) (f64.const 0) (f64.const 0)
            (i32.const 0) (i32.const 0) (i32.const 0))";
    }),
    both("text-outside-memory", |raw| {
        raw.set_list(object::NAME, 0xffff_fff0, 16);
    }),
    both("list-outside-memory", |raw| {
        raw.set_list(object::STITCHES, 0xffff_fff0, 1);
    }),
    both("list-between-places", |raw| {
        raw.set_list(object::STITCHES, FREE + 1, 1);
    }),
    both("answer-outside-memory", |raw| {
        raw.process += "(return (i32.const -16))";
    }),
    both("answer-between-places", |raw| {
        raw.process += "(return (i32.const 1025))";
    }),
    both("log-outside-memory", |raw| {
        raw.process += "(call $log (i32.const 1) (i32.const -16) (i32.const 4096))";
    }),
    both("text-not-utf-8", |raw| {
        raw.bytes_at(FREE, b"owl \xff\xfe");
        raw.set_list(object::NAME, FREE, 6);
    }),
    // The first two of the three bytes of a euro sign.
    both("text-cut-in-a-letter", |raw| {
        raw.bytes_at(FREE, b"\xe2\x82");
        raw.set_list(object::NAME, FREE, 2);
    }),
    // A surrogate, which UTF-8 has no form for (RFC 3629, section 3).
    both("text-with-surrogate", |raw| {
        raw.bytes_at(FREE, b"\xed\xa0\x80");
        raw.set_list(object::NAME, FREE, 3);
    }),
    both("log-not-utf-8", |raw| {
        raw.bytes_at(FREE, b"\xc0\x80");
        raw.process += &format!("(call $log (i32.const 1) (i32.const {FREE}) (i32.const 2))");
    }),
    both("realloc-outside-memory", |raw| {
        raw.realloc = "(i32.const -16)".to_owned();
    }),
    both("realloc-between-places", |raw| {
        raw.realloc = "(i32.const 4097)".to_owned();
    }),
    both("realloc-traps", |raw| {
        raw.realloc = "unreachable".to_owned()
    }),
    both("realloc-calls-the-host", |raw| {
        raw.realloc = "(call $progress (f64.const 0.5)) (i32.const 4096)".to_owned();
    }),
    // Everything lies in the same place: the object is not what it was.
    both("realloc-always-the-same", |raw| {
        raw.realloc = "(i32.const 4096)".to_owned();
    }),
];

/// Code that breaks down.
pub const BREAKING: &[Deed] = &[
    both("unreachable", |raw| raw.process += "unreachable"),
    both("divided-by-nothing", |raw| {
        raw.process += "(drop (i32.div_s (i32.const 1) (i32.const 0)))";
    }),
    both("memory-that-is-not-there", |raw| {
        raw.process += "(drop (i32.load (i32.const -4)))";
    }),
    both("pointer-to-nothing", |raw| {
        raw.fields += "(table 1 funcref)";
        raw.process += "(call_indirect (i32.const 0))";
    }),
    both("breaks-after-answering", |raw| {
        let step = raw.step();
        raw.fields += &format!(
            "(func (export \"cabi_post_hoopwright:step/{step}@0.1.1#process\") (param i32) unreachable)"
        );
    }),
    both("loops-after-answering", |raw| {
        let step = raw.step();
        raw.fields += &format!(
            "(func (export \"cabi_post_hoopwright:step/{step}@0.1.1#process\") (param i32) (loop (br 0)))"
        );
    }),
    both("panics-with-commands", |raw| {
        raw.bytes_at(FREE, b"\x1b]0;owned\x07\x1b[2Jall is well");
        raw.process +=
            &format!("(call $log (i32.const 2) (i32.const {FREE}) (i32.const 25)) unreachable");
    }),
    both("fails-with-commands", |raw| {
        raw.bytes_at(FREE, b"\x1b[2Jall is well");
        raw.process += &format!(
            "(i32.store8 (i32.const {ANSWER}) (i32.const 1))
             (memory.fill (i32.const {VALUE}) (i32.const 0) (i32.const 40))
             (i32.store (i32.const {VALUE}) (i32.const {FREE}))
             (i32.store offset=4 (i32.const {VALUE}) (i32.const 15))"
        );
    }),
    both("fails-with-a-flood", |raw| {
        raw.process += &format!(
            "(i32.store8 (i32.const {ANSWER}) (i32.const 1))
             (memory.fill (i32.const {VALUE}) (i32.const 0) (i32.const 40))
             (memory.fill (i32.const {FREE}) (i32.const 120) (i32.const 50000))
             (i32.store (i32.const {VALUE}) (i32.const {FREE}))
             (i32.store offset=4 (i32.const {VALUE}) (i32.const 50000))"
        );
    }),
];

/// Designs that may not be.
pub const UNSOUND: &[Deed] = &[
    both("not-a-number", |raw| raw.set_stitch(0, 1, "nan", "0")),
    both("infinite", |raw| raw.set_stitch(0, 1, "0", "-inf")),
    both("far-away", |raw| raw.set_stitch(0, 1, "1e308", "0")),
    both("id-taken-away", |raw| raw.set_list(object::ID, FREE, 0)),
    both("another-thread", |raw| raw.set(object::THREAD, 7)),
    both("id-with-commands", |raw| {
        raw.bytes_at(FREE + 1024, b"\x1b[2J\nerror: x");
        raw.set_list(object::ID, FREE + 1024, 13);
        raw.set_stitch(0, 1, "nan", "0");
    }),
    of_design("all-objects-gone", |raw| {
        raw.process += &format!(
            "(i32.store (i32.const {}) (i32.const 0))",
            design::OBJECTS + 4
        );
    }),
    of_design("other-object-changed", |raw| {
        let object = raw.object();
        raw.process += &format!(
            "(i32.store offset={} {object} (i32.const 0))",
            object::BYTES + object::NAME + 4
        );
    }),
    of_design("same-object-twice", |raw| {
        let object = raw.object();
        raw.process += &format!(
            "(memory.copy (i32.add {object} (i32.const {0})) {object} (i32.const {0}))",
            object::BYTES
        );
    }),
    of_design("threads-gone", |raw| {
        raw.process += &format!(
            "(i32.store (i32.const {}) (i32.const 0))",
            design::THREADS + 4
        );
    }),
    of_design("page-not-a-number", |raw| {
        raw.process += &format!("(f64.store (i32.const {}) (f64.const nan))", design::PAGE);
    }),
];

/// Hands back so many objects of no name, all of zeros.
pub fn many_objects(raw: &mut Raw, number: u32) {
    raw.pages = 32 + number / 372;
    raw.process += &format!(
        "(i32.store (i32.const {}) (i32.const 131072))
         (i32.store (i32.const {}) (i32.const {number}))",
        design::OBJECTS,
        design::OBJECTS + 4
    );
}

/// Gives each of the objects of [`many_objects`] a thread that there is not.
pub fn without_threads(raw: &mut Raw, number: u32) {
    let (first, bytes) = (131_072, object::BYTES);
    raw.process += &format!(
        "(i32.store (i32.const {FREE}) (i32.const {first}))
         (loop $each
           (i32.store (i32.add (i32.load (i32.const {FREE})) (i32.const {})) (i32.const 9999))
           (i32.store (i32.const {FREE}) (i32.add (i32.load (i32.const {FREE})) (i32.const {bytes})))
           (br_if $each (i32.lt_u (i32.load (i32.const {FREE})) (i32.const {}))))",
        object::THREAD,
        first + number * bytes
    );
}

/// A plugin that hands back a text of so many MiB with each object, which no single call may be blamed
/// for.
pub fn much_for_each(mib: u32) -> Raw {
    let mut raw = Raw::new(Kind::Object);
    raw.pages = 32 + 16 * mib;
    let (place, bytes) = (32 << 16, mib << 20);
    raw.process +=
        &format!("(memory.fill (i32.const {place}) (i32.const 120) (i32.const {bytes}))");
    raw.set_list(object::NAME, place, bytes);
    raw
}

/// All deeds that end a call or break a promise.
pub fn all() -> impl Iterator<Item = &'static Deed> {
    [GREEDY, HUGE, MEANINGLESS, BREAKING, UNSOUND]
        .into_iter()
        .flatten()
}

impl Deed {
    /// The plugin that does it.
    pub fn plugin(&self, kind: Kind) -> Raw {
        let mut raw = Raw::new(kind);
        raw.name = named(self.name, kind);
        (self.make)(&mut raw);
        raw
    }
}

/// What the step that does a deed is called.
pub fn named(deed: &str, kind: Kind) -> String {
    match kind {
        Kind::Object => format!("object-{deed}"),
        Kind::Design => format!("design-{deed}"),
    }
}
