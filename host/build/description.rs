//! What a stock step says of itself, asked of the step itself while the program is built: so that the
//! program can list, describe and check steps before it has compiled any.

use std::error::Error;
use wasmi::{Engine, ExternType, Func, Linker, Module, Store, Val};

/// The contract's record `description` is so many strings: name, version, summary, manual and schema.
const FIELDS: usize = 5;

/// Calls `describe` of a core module in an interpreter.
pub fn of(module: &[u8]) -> Result<[String; FIELDS], Box<dyn Error>> {
    let engine = Engine::default();
    let module = Module::new(&engine, module)?;
    let mut store = Store::new(&engine, ());
    let mut linker = Linker::<()>::new(&engine);
    for import in module.imports() {
        if let ExternType::Func(kind) = import.ty() {
            let refuse = |_: wasmi::Caller<()>, _: &[Val], _: &mut [Val]| {
                Err(wasmi::Error::new("it calls the host"))
            };
            let refuse = Func::new(&mut store, kind.clone(), refuse);
            linker.define(import.module(), import.name(), refuse)?;
        }
    }
    let instance = linker.instantiate_and_start(&mut store, &module)?;
    let export = module
        .exports()
        .map(|export| export.name())
        .find(|name| name.starts_with("hoopwright:step/") && name.ends_with("#describe"))
        .ok_or("it has no function describe")?;
    let describe = instance.get_typed_func::<(), i32>(&store, export)?;
    let place = describe.call(&mut store, ())? as u32 as usize;
    let memory = instance.get_memory(&store, "memory").ok_or("no memory")?;
    let memory = memory.data(&store);
    // By the component model's canonical ABI a record of strings lies there as pairs of address and length.
    let mut fields: [String; FIELDS] = Default::default();
    for (i, field) in fields.iter_mut().enumerate() {
        let start = number(memory, place + 8 * i)?;
        let length = number(memory, place + 8 * i + 4)?;
        let text = memory.get(start..start + length).ok_or(OUTSIDE)?;
        *field = String::from_utf8(text.to_vec())?;
    }
    Ok(fields)
}

const OUTSIDE: &str = "its answer lies outside of its memory";

fn number(memory: &[u8], at: usize) -> Result<usize, &'static str> {
    let bytes = memory.get(at..at + 4).ok_or(OUTSIDE)?;
    let bytes = bytes.try_into().map_err(|_| OUTSIDE)?;
    Ok(u32::from_le_bytes(bytes) as usize)
}
