//! What it costs.

use crate::PriceEstimate;
use crate::count::Count;

/// Time, thread and money of an order.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Price {
    /// Seconds that the machine takes for one piece.
    pub sewing: f64,
    /// Seconds of the machine and its operator for the whole order.
    pub order: f64,
    /// Metres of top thread for the whole order.
    pub top: f64,
    /// Metres of bobbin thread for the whole order.
    pub bobbin: f64,
    /// Money for the whole order.
    pub total: f64,
}

impl Price {
    pub fn of(count: Count, settings: &PriceEstimate) -> Self {
        let pieces = f64::from(settings.pieces);
        let sewing = count.stitches as f64 / settings.speed * 60.0
            + count.trims as f64 * settings.trim
            + count.colour_changes as f64 * settings.colour_change;
        // The last rounds of a machine with many heads may leave heads without work.
        let rounds = f64::from(settings.pieces.div_ceil(settings.heads));
        let order = rounds * sewing + pieces * settings.hooping * 60.0;
        let thousands = count.stitches as f64 / 1000.0 * pieces;
        let (top, bobbin) = (
            thousands * settings.top_thread,
            thousands * settings.bobbin_thread,
        );
        let total = order / 3600.0 * settings.hour
            + (top + bobbin) / 1000.0 * settings.thread
            + settings.once;
        Self {
            sewing,
            order,
            top,
            bobbin,
            total,
        }
    }

    /// In words: the piece, the order, the price.
    pub fn sentences(&self, count: Count, settings: &PriceEstimate) -> [String; 3] {
        let pieces = many(settings.pieces.into(), "piece");
        let word = settings.currency.trim();
        let money = |amount: f64| format!("{amount:.2} {word}").trim_end().to_owned();
        [
            format!(
                "A piece has {}, {} and {}: {} of sewing.",
                many(count.stitches, "stitch"),
                many(count.trims, "trim"),
                many(count.colour_changes, "colour change"),
                time(self.sewing)
            ),
            format!(
                "{pieces}: {} with hooping, {:.1} m of top thread and {:.1} m of bobbin thread.",
                time(self.order),
                self.top,
                self.bobbin
            ),
            format!(
                "Price of {pieces}: {}, which is {} a piece.",
                money(self.total),
                money(self.total / f64::from(settings.pieces))
            ),
        ]
    }
}

/// So many of a thing.
fn many(count: u64, thing: &str) -> String {
    let ending = match (count, thing.ends_with("ch")) {
        (1, _) => "",
        (_, true) => "es",
        (_, false) => "s",
    };
    format!("{count} {thing}{ending}")
}

/// Hours, minutes and seconds, as far as there are any.
fn time(seconds: f64) -> String {
    // Whole seconds; what is too long for the number is as long as it holds.
    let seconds = seconds.round() as u64;
    let (hours, minutes, seconds) = (seconds / 3600, seconds / 60 % 60, seconds % 60);
    match (hours, minutes) {
        (0, 0) => format!("{seconds} s"),
        (0, _) => format!("{minutes} min {seconds} s"),
        _ => format!("{hours} h {minutes} min"),
    }
}
