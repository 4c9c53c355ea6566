use super::*;

fn read(text: &str) -> Result<Rack, Vec<Diagnostic>> {
    super::read(Path::new("wall.csv"), text).map_err(|Failed(problems)| problems)
}

/// Code, line and column of each problem.
fn places(text: &str) -> Vec<(&'static str, usize, usize)> {
    let problems = read(text).expect_err("wrong");
    let place = |one: &Diagnostic| {
        assert_eq!(one.file.as_deref(), Some(Path::new("wall.csv")));
        (one.code, one.line.unwrap_or(0), one.column.unwrap_or(0))
    };
    problems.iter().map(place).collect()
}

#[test]
fn columns_come_in_any_order_and_weight_may_be_left_out() {
    let rack = read("colour,code,name\n#ffffff,W01,Snow\n#29231f,S21,Soot\n").expect("sound");
    assert_eq!(rack.name, "wall");
    let soot = &rack.threads[1];
    assert_eq!(
        (soot.code.as_str(), soot.name.as_str(), soot.weight),
        ("S21", "Soot", 40)
    );
}

/// RFC 4180, section 2: quotes, doubled quotes and line breaks inside them, CRLF, and a last line
/// without an end.
#[test]
fn quoted_fields_are_read_as_the_standard_has_it() {
    let text = "code,name,colour,weight\r\n\"A,1\",\"Soot, \"\"fine\"\"\",black,60\r\nB,\"two\nlines\",white,";
    let rack = read(text).expect("sound");
    assert_eq!(rack.threads[0].code, "A,1");
    assert_eq!(rack.threads[0].name, "Soot, \"fine\"");
    assert_eq!((rack.threads[0].weight, rack.threads[1].weight), (60, 40));
    assert_eq!(rack.threads[1].name, "two\nlines");
}

#[test]
fn a_byte_order_mark_and_semicolons_change_nothing() {
    let plain = read("code,name,colour,weight\nR,Émeraude Ψ Ж,#008040,60\n").expect("sound");
    for text in [
        "\u{feff}code,name,colour,weight\nR,Émeraude Ψ Ж,#008040,60\n",
        "code;name;colour;weight\nR;Émeraude Ψ Ж;#008040;60\n",
        "\u{feff}\"Code\"; NAME ;colour;Weight\r\nR;\"Émeraude Ψ Ж\";#008040; 60\r\n;;;\r\n\r\n",
    ] {
        assert_eq!(read(text).expect("sound"), plain, "{text}");
    }
}

/// Common practice of spreadsheets where the comma is in numbers; RFC 4180 does not have it.
#[test]
fn a_line_that_says_what_parts_the_columns_is_no_row() {
    let plain = read("code,name,colour\nR,\"Reed, dark\",#008040\n").expect("sound");
    for text in [
        "sep=;\ncode;name;colour\nR;Reed, dark;#008040\n",
        "\u{feff}SEP=;\r\ncode;name;colour\r\nR;Reed, dark;#008040\r\n",
        "sep=,\ncode,name,colour\nR,\"Reed, dark\",#008040",
    ] {
        assert_eq!(read(text).expect("sound"), plain, "{text}");
    }
    // Places stay those of the file.
    let wrong = "sep=;\ncode;name;colour\nR;Reed;nope\n";
    assert_eq!(places(wrong), [("not-a-colour", 3, 8)]);
    assert_eq!(places("sep=;"), [("empty-rack", 1, 1)]);
}

#[test]
fn everything_wrong_is_told_at_once_with_line_and_column() {
    let text = "code,name,color,weight,weight\nA,Ärmel,nope,40,40\nB,\"x\ny\",red,7,200\nC,short\nD,\"\",red,forty,40\n";
    // "color" is unknown, so that "nope" is not looked at.
    assert_eq!(
        places(text),
        [
            ("missing-name", 1, 1),
            ("unknown-name", 1, 11),
            ("given-twice", 1, 24),
            ("out-of-range", 4, 8),
            ("out-of-range", 4, 10),
            ("misfit", 5, 1),
            ("out-of-range", 6, 10),
        ]
    );
    let problems = read(text).expect_err("wrong");
    assert_eq!(
        problems[1].help.as_deref(),
        Some("Did you mean \"colour\"?")
    );
    assert_eq!(
        places("\u{feff}code;name;colour\nA;Ärmel;nope\n"),
        [("not-a-colour", 2, 9)]
    );
}

#[test]
fn quotes_that_do_not_pair_are_told() {
    let open = "code,name,colour\nA,\"Soot,#000000\nB,Snow,#ffffff\n";
    assert_eq!(places(open), [("open-quote", 2, 3)]);
    let stray = "code,name,colour\nA,\"Soot\" x,#000000\n";
    assert_eq!(places(stray), [("stray-quote", 2, 3)]);
}

#[test]
fn two_threads_of_one_code_are_told() {
    let text = "code,name,colour\nA,Soot,#000000\n,Snow,#ffffff\n,Milk,#fefefe\nA,Tar,#010101\n";
    assert_eq!(places(text), [("given-twice", 5, 1)]);
}

#[test]
fn a_table_without_threads_is_refused() {
    for text in [
        "",
        "\u{feff}",
        "\n\n",
        "code,name,colour\n",
        "code;name;colour\n;;\n",
    ] {
        assert_eq!(places(text).len(), 1, "{text:?}");
        assert_eq!(places(text)[0].0, "empty-rack", "{text:?}");
    }
}

mod random {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        /// Any text at all: an answer, and every problem inside the text.
        #[test]
        fn no_text_panics(text in "[\u{feff}\"',;\r\na-eé0-9#]{0,60}") {
            if let Err(problems) = read(&text) {
                prop_assert!(!problems.is_empty());
                for problem in problems {
                    let range = problem.range.expect("a place");
                    prop_assert!(text.get(range).is_some());
                }
            }
        }

        /// Any names, written by the csv crate, come back.
        #[test]
        fn what_a_writer_quotes_is_read(names in prop::collection::vec("[^\0]{0,12}", 1..5), semicolon: bool) {
            let delimiter = if semicolon { b';' } else { b',' };
            let mut writer = csv::WriterBuilder::new().delimiter(delimiter).from_writer(Vec::new());
            writer.write_record(["name", "code", "colour"]).expect("in memory");
            for (i, name) in names.iter().enumerate() {
                let code = i.to_string();
                writer.write_record([name.as_str(), &code, "red"]).expect("in memory");
            }
            let bytes = writer.into_inner().expect("in memory");
            let rack = read(&String::from_utf8(bytes).expect("UTF-8")).expect("sound");
            let read: Vec<&str> = rack.threads.iter().map(|thread| thread.name.as_str()).collect();
            let given: Vec<&str> = names.iter().map(|name| name.trim()).collect();
            prop_assert_eq!(read, given);
        }
    }
}
