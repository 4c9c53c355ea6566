//! Cookbook 5, `price-estimate`: what a design costs to sew. It changes nothing.

mod count;
mod price;

use count::Count;
use hoopwright_sdk::prelude::*;
use price::Price;

settings! {
    /// Reckons time, thread and price of a sewn design, and says them.
    pub struct PriceEstimate {
        /// How fast the machine sews this design, in stitches per minute. Default 700; machines run
        /// 600 to 1000.
        pub speed: f64 = 700.0, in "stitches per minute", from 100.0 to 1500.0;
        /// How long a trim takes, in seconds. Default 7.
        pub trim: f64 = 7.0, in "s", from 0.0 to 60.0;
        /// How long a change of thread takes, in seconds. Default 15; on a machine with one needle
        /// give the time to thread it anew.
        pub colour_change: f64 = 15.0, in "s", from 0.0 to 600.0;
        /// How long it takes to hoop a piece and to take it out, in minutes. Default 2.
        pub hooping: f64 = 2.0, in "min", from 0.0 to 120.0;
        /// How many pieces are sewn at once, one on each head. Default 1.
        pub heads: u32 = 1, from 1 to 100;
        /// How many pieces the customer orders. Default 1.
        pub pieces: u32 = 1, from 1 to 1_000_000;
        /// What an hour of the machine and its operator costs. Default 40.
        pub hour: f64 = 40.0, in "currency per hour", from 0.0 to 100_000.0;
        /// What the order costs once, whatever it holds: digitizing, the sample. Default 0.
        pub once: f64 = 0.0, in "currency", from 0.0 to 1_000_000.0;
        /// Top thread that 1000 stitches take, in m. Default 5.
        pub top_thread: f64 = 5.0, in "m per 1000 stitches", from 0.0 to 50.0;
        /// Bobbin thread that 1000 stitches take, in m. Default 3.
        pub bobbin_thread: f64 = 3.0, in "m per 1000 stitches", from 0.0 to 50.0;
        /// What 1000 m of thread cost, top or bobbin. Default 2.
        pub thread: f64 = 2.0, in "currency per 1000 m", from 0.0 to 10_000.0;
        /// The word behind a price, such as the currency's letters. Default none.
        pub currency: String = String::new();
    }
}

/// Says what the selected objects cost to sew, and hands the design back as it came.
///
/// # Errors
/// None.
pub fn price_estimate(
    design: Design,
    selected: &[usize],
    settings: &PriceEstimate,
) -> Result<Design, Failure> {
    let count = Count::of(&design, selected);
    if count.stitches == 0 {
        messages::report(
            Finding::warning("Nothing is sewn yet, so there is nothing to reckon a price of.")
                .help("Run this step after all that make stitches, and after ties-and-trims."),
        );
        return Ok(design);
    }
    for sentence in Price::of(count, settings).sentences(count, settings) {
        messages::report(Finding::note(sentence));
    }
    Ok(design)
}

design_step! {
    name: "price-estimate",
    summary: "Reckons what a design costs to sew: time, thread and price.",
    manual: include_str!("../manual.md"),
    settings: PriceEstimate,
    process: price_estimate,
}

#[cfg(test)]
mod tests;
