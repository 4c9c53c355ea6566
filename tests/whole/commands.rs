//! Commands with what they print, as files: `tests/commands/*.trycmd`.

use crate::files::{root, scratch};

#[test]
fn commands_print_what_is_written_down() {
    trycmd::TestCases::new()
        .default_bin_path(env!("CARGO_BIN_EXE_hoopwright"))
        .env("XDG_CACHE_HOME", scratch().join("cache").display().to_string())
        .env("COLUMNS", "100")
        .env("NO_COLOR", "1")
        .case(root().join("tests/commands/*.trycmd"));
}
