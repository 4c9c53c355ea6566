//! The stock steps as native code.

use hoopwright_sdk::Step;

/// The stock step of this name.
pub fn step(name: &str) -> Step {
    match name {
        "align" => hoopwright_align::step(),
        "border-angles" => hoopwright_border_angles::step(),
        "cut-layers" => hoopwright_cut_layers::step(),
        "drawn-marks" => hoopwright_drawn_marks::step(),
        "join-outlines" => hoopwright_join_outlines::step(),
        "line-run" => hoopwright_line_run::step(),
        "region-fill" => hoopwright_region_fill::step(),
        "repeat" => hoopwright_repeat::step(),
        "satin-column" => hoopwright_satin_column::step(),
        "sew-order" => hoopwright_sew_order::step(),
        "single-pieces" => hoopwright_single_pieces::step(),
        "snap-ends" => hoopwright_snap_ends::step(),
        "starts-and-finishes" => hoopwright_starts_and_finishes::step(),
        "ties-and-trims" => hoopwright_ties_and_trims::step(),
        "transform" => hoopwright_transform::step(),
        "tuck-under" => hoopwright_tuck_under::step(),
        other => panic!("the stock step {other} has no native twin here"),
    }
}

/// Settings for the steps that the owl has no use for, to try them on the sewn owl.
pub fn settings_of_unused(name: &str) -> &'static str {
    match name {
        "repeat" => r#"{ "arrangement": "round", "count": 3 }"#,
        "border-angles" | "snap-ends" | "tuck-under" => "{}",
        "transform" => r#"{ "turn": 20, "mirror": "left-right", "keep-original": true }"#,
        other => panic!("the owl uses {other}, or it is tried here"),
    }
}
