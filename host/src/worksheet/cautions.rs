//! What to take care of at the machine. Common practice, with no single source; the machine's own
//! manual and the rules of the workplace go before it.

/// What goes before everything.
pub const FIRST: &str =
    "The machine's manual and the rules of your workplace go before anything on this sheet.";

/// The lines on every worksheet.
pub const ALL: [&str; 6] = [
    "Sew a sample on the same fabric and stabilizer first. A file that was checked is no proof that it sews safely.",
    FIRST,
    "Check that the hoop clears the needle, the presser foot and the machine's arm, and trace the design's edge before sewing.",
    "Keep hands, hair and sleeves out of the hoop and away from the needle while the machine runs.",
    "Stop the machine before you thread it, change a needle or reach into the hoop.",
    "Wear eye protection: needles break.",
];
