//! Figures as they are told.

/// `value` to so many decimals, as reports and worksheets have it.
pub(crate) fn rounded(value: f64, decimals: i32) -> f64 {
    let scale = 10f64.powi(decimals);
    // Adding 0 makes a 0 of what would be written as -0.
    (value * scale).round() / scale + 0.0
}
