//! What a plugin is made of, counted before anything of it is compiled: compiling takes time and
//! memory that no limit of a call holds, so only such code is compiled of which that is known.

use wasmparser::{BlockType, CompositeInnerType, FunctionBody, Operator, Parser, Payload};

/// How deep modules and components may lie in each other. A component made of one module needs 2.
pub const DEPTH: usize = 16;
/// Modules and components in one plugin.
pub const MODULES: usize = 64;
/// Functions, types, exports, imports and whatever else is numbered, of each kind.
pub const ITEMS: u32 = 100_000;
/// Parameters, or results, of one function or block of a module.
pub const ARITY: usize = 32;
/// The largest function, in KiB. A JavaScript engine's largest has 170.
pub const FUNCTION_KIB: u64 = 512;
/// Blocks of one function that take or give several values; compilers make hardly any, and the time
/// and memory for them grow with the square of their number.
pub const MANY_VALUED_BLOCKS: usize = 100;
/// The most tangle of one function: for each of its branches, its variables and the blocks that the
/// branch lies in. A JavaScript engine's most tangled has 3 million.
pub const TANGLE: u64 = 6_000_000;
/// The most tangle of all functions. A JavaScript engine has 21 million.
pub const TANGLE_OF_ALL: u64 = 60_000_000;
/// What a branch counts besides.
const BRANCH: u64 = 8;

type Refusal = (String, String);

/// Counts what is in a plugin.
///
/// # Errors
/// A sentence that says what there is too much of, and one that says what to do. Bytes that are not
/// Wasm are refused later, by those who can say why.
pub(super) fn check(plugin: &[u8]) -> Result<(), Refusal> {
    let mut count = Count::default();
    for payload in Parser::new(0).parse_all(plugin) {
        let Ok(payload) = payload else {
            return Ok(());
        };
        if let Some(why) = count.payload(payload) {
            let help = "No step that a compiler makes of a person's code needs as much. Ask its \
                        maker.";
            return Err((why, help.to_owned()));
        }
    }
    Ok(())
}

#[derive(Default)]
struct Count {
    depth: usize,
    modules: usize,
    items: u32,
    tangle: u64,
}

impl Count {
    /// Takes the next piece of a plugin, and says what there is too much of with it.
    fn payload(&mut self, payload: Payload<'_>) -> Option<String> {
        let too_many = |what: &str, most: usize| Some(format!("it has more than {most} {what}"));
        let items = match payload {
            Payload::Version { .. } => {
                self.depth += 1;
                self.modules += 1;
                if self.depth > DEPTH {
                    return Some(format!(
                        "its modules lie more than {DEPTH} deep in each other"
                    ));
                }
                if self.modules > MODULES {
                    return too_many("modules", MODULES);
                }
                0
            }
            Payload::End(_) => {
                self.depth = self.depth.saturating_sub(1);
                0
            }
            Payload::CodeSectionEntry(body) => return self.function(&body),
            Payload::TypeSection(types) => {
                let wide = types.clone().into_iter().flatten().any(|group| {
                    group.types().any(|one| match &one.composite_type.inner {
                        CompositeInnerType::Func(function) => {
                            function.params().len().max(function.results().len()) > ARITY
                        }
                        _ => false,
                    })
                });
                if wide {
                    return Some(format!(
                        "one of its functions or blocks has more than {ARITY} parameters or results"
                    ));
                }
                types.count()
            }
            Payload::ImportSection(items) => items.count(),
            Payload::FunctionSection(items) => items.count(),
            Payload::TableSection(items) => items.count(),
            Payload::MemorySection(items) => items.count(),
            Payload::TagSection(items) => items.count(),
            Payload::GlobalSection(items) => items.count(),
            Payload::ExportSection(items) => items.count(),
            Payload::ElementSection(items) => items.count(),
            Payload::DataSection(items) => items.count(),
            Payload::InstanceSection(items) => items.count(),
            Payload::CoreTypeSection(items) => items.count(),
            Payload::ComponentInstanceSection(items) => items.count(),
            Payload::ComponentAliasSection(items) => items.count(),
            Payload::ComponentTypeSection(items) => items.count(),
            Payload::ComponentCanonicalSection(items) => items.count(),
            Payload::ComponentImportSection(items) => items.count(),
            Payload::ComponentExportSection(items) => items.count(),
            _ => 0,
        };
        self.items = self.items.saturating_add(items);
        (self.items > ITEMS)
            .then(|| format!("it has more than {ITEMS} functions, types, exports and the like"))
    }
    /// What there is too much of with one function more.
    fn function(&mut self, body: &FunctionBody<'_>) -> Option<String> {
        let range = body.range();
        let bytes = range.end.saturating_sub(range.start);
        if bytes > FUNCTION_KIB << 10 {
            return Some(format!(
                "one of its functions is {} KiB large, and the limit is {FUNCTION_KIB} KiB",
                bytes >> 10
            ));
        }
        let locals = body.get_locals_reader().ok()?;
        let declared = locals.into_iter().flatten();
        let declared = declared.fold(0_u64, |sum, (count, _)| sum.saturating_add(count.into()));
        // Whatever is used takes two bytes at least.
        if declared > bytes {
            return Some(format!(
                "one of its functions has {declared} variables, and code of {bytes} bytes only"
            ));
        }
        let (tangle, many_valued) = tangle(body, declared);
        if many_valued > MANY_VALUED_BLOCKS {
            return Some(format!(
                "one of its functions has {many_valued} blocks of several values, and the limit is \
                 {MANY_VALUED_BLOCKS}"
            ));
        }
        self.tangle = self.tangle.saturating_add(tangle);
        if tangle > TANGLE {
            return Some(
                "one of its functions has too many branches for its variables and blocks"
                    .to_owned(),
            );
        }
        (self.tangle > TANGLE_OF_ALL).then(|| {
            "its functions have too many branches for their variables and blocks".to_owned()
        })
    }
}

/// How tangled a function with so many variables is, and how many of its blocks take or give several
/// values. What is not valid is refused later.
fn tangle(body: &FunctionBody<'_>, variables: u64) -> (u64, usize) {
    let (mut tangle, mut depth, mut many_valued) = (0_u64, 0_u64, 0);
    let Ok(mut operators) = body.get_operators_reader() else {
        return (0, 0);
    };
    while let Ok(operator) = operators.read() {
        let branches = match operator {
            Operator::Block { blockty } | Operator::Loop { blockty } | Operator::If { blockty } => {
                depth += 1;
                many_valued += usize::from(matches!(blockty, BlockType::FuncType(_)));
                1
            }
            Operator::TryTable { .. } => {
                depth += 1;
                many_valued += 1;
                1
            }
            Operator::End => {
                depth = depth.saturating_sub(1);
                0
            }
            Operator::Else
            | Operator::BrIf { .. }
            | Operator::BrOnNull { .. }
            | Operator::BrOnNonNull { .. } => 1,
            Operator::BrTable { targets } => 1 + u64::from(targets.len()),
            _ => 0,
        };
        tangle = tangle.saturating_add(branches * (variables + depth + BRANCH));
    }
    (tangle, many_valued)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn refused(text: &str) -> Option<String> {
        let module = wat::parse_str(text).unwrap_or_else(|error| panic!("{error}"));
        check(&module).err().map(|(why, _)| why)
    }

    /// Loops with a branch each, in a function with so many variables that are used.
    fn tangled(loops: usize, variables: usize) -> String {
        let used: String = (1..=variables)
            .map(|i| format!("local.get {i} drop "))
            .collect();
        format!(
            "(func (param i32) (local {}) {} {used})",
            "i32 ".repeat(variables),
            "loop local.get 0 br_if 0 end ".repeat(loops)
        )
    }

    #[test]
    fn plain_code_is_welcome() {
        assert_eq!(refused(&format!("(module {})", tangled(100, 100))), None);
    }

    #[test]
    fn tangle_is_refused_in_one_function_and_in_many() {
        let one = refused(&format!("(module {})", tangled(2000, 2000)));
        assert!(one.is_some_and(|why| why.starts_with("one of its functions has too many")));
        let many = refused(&format!("(module {})", tangled(1000, 1000).repeat(40)));
        assert!(many.is_some_and(|why| why.starts_with("its functions have too many")));
    }

    #[test]
    fn bytes_that_end_too_soon_are_left_to_others() {
        assert_eq!(check(b"\0asm\x01\0\0\0\x01\xff"), Ok(()));
    }
}
