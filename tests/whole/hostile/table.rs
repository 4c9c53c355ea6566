//! SECURITY.md tells every limit with the figure that the program has.

use crate::files::{hoopwright, root};

/// The rows of the table: what is limited, the figure, the option.
fn rows() -> Vec<[String; 3]> {
    let text = std::fs::read_to_string(root().join("SECURITY.md")).unwrap();
    text.lines()
        .filter(|line| line.starts_with("| ") && !line.starts_with("| what"))
        .map(|line| {
            let cells: Vec<&str> = line.trim_matches('|').split('|').map(str::trim).collect();
            [cells[0], cells[1], cells[2]].map(str::to_owned)
        })
        .collect()
}

#[test]
fn every_option_stands_in_the_table_with_its_default() {
    let output = hoopwright().args(["run", "--help"]).output().unwrap();
    let help = String::from_utf8(output.stdout).unwrap();
    let limits = help.split("Limits:").nth(1).unwrap();
    let rows = rows();
    let mut told = 0;
    for option in limits.split("\n      --").skip(1) {
        let name = option.split_whitespace().next().unwrap();
        let Some((_, default)) = option.split_once("[default: ") else {
            continue;
        };
        let default = default.split(']').next().unwrap();
        let row = rows
            .iter()
            .find(|[_, _, cell]| *cell == format!("`--{name}`"))
            .unwrap_or_else(|| panic!("--{name} is not in SECURITY.md"));
        let figure: String = row[1].chars().filter(char::is_ascii_digit).collect();
        assert_eq!(figure, default, "--{name}");
        told += 1;
    }
    assert_eq!(told, 9);
}
