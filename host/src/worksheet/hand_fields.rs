//! What is filled in by hand.

/// The fields, in order, and the share of the line that each takes.
pub const ALL: [(&str, f64); 3] = [
    ("Operator", 0.38),
    ("Date", 0.22),
    ("Sample approved by", 0.40),
];
