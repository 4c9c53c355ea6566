//! Shows a case that fuzzing found: what the step gets, and what is wrong with what it sews.
//!
//! ```sh
//! cargo run --release -p hoopwright-craft --bin case -- satin-column FILE...
//! ```

use hoopwright_craft::any::{Case, sound};
use hoopwright_craft::runs::Step;
use std::error::Error;
use std::time::Instant;

fn main() -> Result<(), Box<dyn Error>> {
    let mut arguments = std::env::args().skip(1);
    let name = arguments.next().unwrap_or_default();
    let step = [Step::RegionFill, Step::SatinColumn]
        .into_iter()
        .find(|step| step.name() == name)
        .ok_or("usage: case (region-fill | satin-column) FILE...")?;
    for file in arguments {
        let case = Case::of(step, &std::fs::read(&file)?);
        println!("{file}: {case:#?}");
        let begun = Instant::now();
        let outcome = case.sew()?;
        println!("it took {:?}", begun.elapsed());
        for finding in &outcome.findings {
            println!("finding: {}", finding.message);
        }
        for wrong in sound::wrongs(&case, &outcome) {
            println!("wrong: {wrong}");
        }
    }
    Ok(())
}
