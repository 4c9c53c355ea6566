//! Shows a case that fuzzing found: what the step gets, as JSON, and what is wrong with what it sews.
//!
//! ```sh
//! cargo run --release -p hoopwright-craft --bin case -- satin-column tests/fuzz/artifacts/… >what.json
//! cargo run --release -p hoopwright-craft --bin case -- what.json
//! ```

use hoopwright_craft::any::{Case, sound};
use hoopwright_craft::runs::Step;
use std::error::Error;
use std::time::Instant;

fn main() -> Result<(), Box<dyn Error>> {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let case = match &arguments[..] {
        [file] => serde_json::from_slice(&std::fs::read(file)?)?,
        [name, file] => {
            let step = [Step::RegionFill, Step::SatinColumn]
                .into_iter()
                .find(|step| step.name() == name)
                .ok_or_else(|| format!("{name} makes no fills"))?;
            Case::of(step, &std::fs::read(file)?)
        }
        _ => return Err("usage: case FILE.json | case (region-fill | satin-column) BYTES".into()),
    };
    println!("{}", serde_json::to_string(&case)?);
    let begun = Instant::now();
    let outcome = case.sew()?;
    eprintln!("it took {:?}", begun.elapsed());
    for finding in &outcome.findings {
        eprintln!("finding: {}", finding.message);
    }
    for wrong in sound::wrongs(&case, &outcome) {
        eprintln!("wrong: {wrong}");
    }
    Ok(())
}
