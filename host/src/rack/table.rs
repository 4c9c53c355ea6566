//! The thread rack as a table: a CSV file (RFC 4180), as any spreadsheet saves it.
//!
//! The first row names the columns, in any order. Columns are parted by commas or semicolons,
//! whichever the first row has more of; a line `sep=;` before it, which some spreadsheets write, says it.

use super::file::{Colour, Rack, RackThread, USUAL_WEIGHT, WEIGHTS};
use crate::diagnostics::{Diagnostic, Failed, MOST_TOLD};
use crate::json::nearest::did_you_mean;
use csv_core::{ReadFieldResult, ReaderBuilder};
use std::collections::BTreeSet;
use std::ops::Range;
use std::path::Path;

/// What a column holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Column {
    Code,
    Name,
    Colour,
    Weight,
}

const COLUMNS: [(&str, Column); 4] = [
    ("code", Column::Code),
    ("name", Column::Name),
    ("colour", Column::Colour),
    ("weight", Column::Weight),
];

/// A field: its text, and its bytes in the file with the quotes around it.
#[derive(Clone, Debug)]
struct Field {
    text: String,
    range: Range<usize>,
}

/// Reads a rack from a table.
///
/// # Errors
/// Every problem with the file, each with its place.
pub fn read(file: &Path, text: &str) -> Result<Rack, Failed> {
    let point = |problem: Diagnostic, range: Range<usize>| problem.in_file(file).at(text, range);
    let mut problems = Vec::new();
    let mut rows = rows(text, &mut |problem, range| {
        if problems.len() < MOST_TOLD {
            problems.push(point(problem, range));
        }
    });
    // A spreadsheet saves the rows below the last thread as rows of nothing.
    rows.retain(|row| row.iter().any(|field| !field.text.trim().is_empty()));
    let mut rows = rows.into_iter();
    let Some(header) = rows.next() else {
        let empty = Diagnostic::error("empty-rack", "the rack holds no thread");
        return Err(point(empty.help(FORM), 0..0).into());
    };
    let columns = columns(&header, &mut |problem, range| {
        problems.push(point(problem, range));
    });
    let unclosed = problems.iter().any(|problem| problem.code == "open-quote");
    let mut threads = Vec::new();
    let mut codes = BTreeSet::new();
    while let Some(row) = rows.next() {
        if problems.len() >= MOST_TOLD {
            break;
        }
        let mut tell = |problem: Diagnostic, range| problems.push(point(problem, range));
        if row.len() != header.len() {
            // A quote that is never closed has taken the rest of the file into the row.
            if unclosed && rows.len() == 0 {
                continue;
            }
            let message = format!(
                "this row has {} fields, and the first row has {}",
                row.len(),
                header.len()
            );
            let range = row[0].range.start..row[row.len() - 1].range.end;
            let odd = Diagnostic::error("misfit", message);
            tell(
                odd.help("Put a name that holds a comma or a semicolon in quotes."),
                range,
            );
            continue;
        }
        threads.extend(thread(&columns, &row, &mut codes, &mut tell));
    }
    if threads.is_empty() && problems.is_empty() {
        let empty = Diagnostic::error("empty-rack", "the rack holds no thread");
        problems.push(point(empty, text.len()..text.len()));
    }
    if problems.is_empty() {
        let name = file.file_stem().unwrap_or_default().to_string_lossy();
        return Ok(Rack {
            schema: String::new(),
            name: name.into_owned(),
            threads,
        });
    }
    problems.sort_by_key(|problem| problem.range.as_ref().map_or(0, |range| range.start));
    Err(Failed(problems))
}

const FORM: &str = "The first row names the columns: code, name, colour and, if wanted, weight. One thread a row follows.";

type Tell<'a> = &'a mut dyn FnMut(Diagnostic, Range<usize>);

/// The rows of the table, each with at least one field.
fn rows(text: &str, tell: Tell<'_>) -> Vec<Vec<Field>> {
    let mark = if text.starts_with('\u{feff}') { 3 } else { 0 };
    let first = text[mark..].lines().next().unwrap_or_default();
    let (delimiter, start) = match first.trim_end().to_ascii_lowercase().as_str() {
        "sep=;" => (b';', mark + first.len()),
        "sep=," => (b',', mark + first.len()),
        _ if first.matches(';').count() > first.matches(',').count() => (b';', mark),
        _ => (b',', mark),
    };
    let mut reader = ReaderBuilder::new().delimiter(delimiter).build();
    let bytes = text.as_bytes();
    let mut rows = Vec::new();
    let mut row: Vec<Field> = Vec::new();
    let mut at = start;
    // A field is never longer than the text it stands in.
    let mut buffer = vec![0; text.len() + 1];
    loop {
        let (result, taken, put) = reader.read_field(&bytes[at..], &mut buffer);
        let before = at;
        at += taken;
        let record_end = match result {
            ReadFieldResult::Field { record_end } => record_end,
            // All the text is in one piece, so that the next call tells the last field.
            ReadFieldResult::InputEmpty if taken > 0 || put > 0 => {
                let (last, _, more) = reader.read_field(&[], &mut buffer[put..]);
                if let ReadFieldResult::Field { .. } = last {
                    let value = String::from_utf8_lossy(&buffer[..put + more]).into_owned();
                    row.push(field(text, before..at, delimiter, value, tell));
                }
                break;
            }
            _ => break,
        };
        let value = String::from_utf8_lossy(&buffer[..put]).into_owned();
        row.push(field(text, before..at, delimiter, value, tell));
        if record_end {
            rows.push(std::mem::take(&mut row));
        }
    }
    if !row.is_empty() {
        rows.push(row);
    }
    rows
}

/// A field from the bytes that the reader took for it, which end with what parts it from the next.
fn field(text: &str, taken: Range<usize>, delimiter: u8, value: String, tell: Tell<'_>) -> Field {
    let raw = &text[taken.clone()];
    let inner = raw.trim_start_matches(['\r', '\n']);
    let start = taken.end - inner.len();
    let inner = inner.trim_end_matches(['\r', '\n']);
    let inner = inner.strip_suffix(char::from(delimiter)).unwrap_or(inner);
    let range = start..start + inner.len();
    if let Some(quoted) = inner.strip_prefix('"') {
        let rest = quoted.replace("\"\"", "");
        match rest.find('"') {
            None => {
                let open = Diagnostic::error("open-quote", "this quote is never closed");
                tell(
                    open.help("Close it, or write it twice where it is meant itself."),
                    start..start + 1,
                );
            }
            Some(end) if end + 1 < rest.len() => {
                let stray = Diagnostic::error("stray-quote", "something follows the closing quote");
                tell(
                    stray.help("Write a quote inside quotes twice."),
                    range.clone(),
                );
            }
            Some(_) => {}
        }
    }
    Field { text: value, range }
}

/// What each column holds; a column that is not known holds nothing.
fn columns(header: &[Field], tell: Tell<'_>) -> Vec<Option<Column>> {
    let mut found: Vec<Option<Column>> = Vec::new();
    for field in header {
        let name = field.text.trim().to_lowercase();
        let column = COLUMNS.iter().find(|(known, _)| *known == name);
        let column = column.map(|(_, column)| *column);
        if column.is_none() {
            let known = COLUMNS.iter().map(|(known, _)| *known);
            let unknown = Diagnostic::error(
                "unknown-name",
                format!("there is no column \"{}\"", field.text.trim()),
            );
            tell(
                unknown.help(did_you_mean(&name, known)),
                field.range.clone(),
            );
        } else if found.contains(&column) {
            let twice =
                Diagnostic::error("given-twice", format!("column \"{name}\" is given twice"));
            tell(twice.help("Keep one of the two."), field.range.clone());
        }
        found.push(column);
    }
    for (name, column) in COLUMNS {
        if column != Column::Weight && !found.contains(&Some(column)) {
            let missing =
                Diagnostic::error("missing-name", format!("there is no column \"{name}\""));
            let range = header[0].range.start..header[header.len() - 1].range.end;
            tell(missing.help(FORM), range);
        }
    }
    found
}

/// The thread of a row. None where something in it is wrong or missing.
fn thread(
    columns: &[Option<Column>],
    row: &[Field],
    codes: &mut BTreeSet<String>,
    tell: Tell<'_>,
) -> Option<RackThread> {
    let mut thread = RackThread {
        code: String::new(),
        name: String::new(),
        colour: String::new(),
        weight: USUAL_WEIGHT,
    };
    let mut sound = true;
    for (column, field) in columns.iter().zip(row) {
        let text = field.text.trim();
        let mut wrong = |problem: Diagnostic| {
            sound = false;
            tell(problem, field.range.clone());
        };
        match column {
            Some(Column::Code) => {
                text.clone_into(&mut thread.code);
                if !text.is_empty() && !codes.insert(text.to_owned()) {
                    wrong(super::file::code_twice(text));
                }
            }
            Some(Column::Name) => text.clone_into(&mut thread.name),
            Some(Column::Colour) if Colour::parse(text).is_some() => {
                text.clone_into(&mut thread.colour);
            }
            Some(Column::Colour) => wrong(super::file::no_colour(text)),
            Some(Column::Weight) if text.is_empty() => {}
            Some(Column::Weight) => match text.parse() {
                Ok(weight) if WEIGHTS.contains(&weight) => thread.weight = weight,
                Ok(_) | Err(_) => wrong(Diagnostic::error(
                    "out-of-range",
                    format!(
                        "\"weight\" is {text}, and must be a whole number from {} to {}",
                        WEIGHTS.start(),
                        WEIGHTS.end()
                    ),
                )),
            },
            None => {}
        }
    }
    sound.then_some(thread)
}

#[cfg(test)]
mod tests;
