//! What is heading, text, table and picture, in reading order (PDF 1.7, section 14.8).

use super::marks::{Head, Sense};
use krilla::tagging::{Identifier, Node, TableHeaderScope, Tag, TagGroup, TagTree};
use std::num::NonZeroU16;

/// The parts of the document so far.
pub struct Structure {
    title: String,
    picture: String,
    parts: Vec<Part>,
}

enum Part {
    Text(Sense, Vec<Identifier>),
    Table(u32, Vec<Row>),
}

struct Row {
    number: u32,
    cells: Vec<(u32, Head, Vec<Identifier>)>,
}

impl Structure {
    /// Nothing yet of a document of this title, with a picture that shows what `picture` says.
    pub fn new(title: &str, picture: &str) -> Self {
        Self {
            title: title.to_owned(),
            picture: picture.to_owned(),
            parts: Vec::new(),
        }
    }

    /// Adds a piece of a page's content to what it belongs to.
    pub fn add(&mut self, sense: Sense, content: Identifier) {
        match sense {
            Sense::Decor => {}
            Sense::Cell {
                table,
                row,
                column,
                head,
            } => {
                let rows = self.table(table);
                let at = rows.iter().position(|known| known.number == row);
                let at = at.unwrap_or_else(|| {
                    rows.push(Row {
                        number: row,
                        cells: Vec::new(),
                    });
                    rows.len() - 1
                });
                let cells = &mut rows[at].cells;
                match cells.iter_mut().find(|(known, ..)| *known == column) {
                    Some((_, _, contents)) => contents.push(content),
                    None => cells.push((column, head, vec![content])),
                }
            }
            text => {
                if let Some(Part::Text(last, contents)) = self.parts.last_mut()
                    && *last == text
                {
                    contents.push(content);
                } else {
                    self.parts.push(Part::Text(text, vec![content]));
                }
            }
        }
    }

    /// The rows of a table, which may go on over pages.
    fn table(&mut self, number: u32) -> &mut Vec<Row> {
        let is = |part: &Part| matches!(part, Part::Table(known, _) if *known == number);
        let at = self.parts.iter().position(is).unwrap_or_else(|| {
            self.parts.push(Part::Table(number, Vec::new()));
            self.parts.len() - 1
        });
        match &mut self.parts[at] {
            Part::Table(_, rows) => rows,
            Part::Text(..) => unreachable!("it was looked for as a table"),
        }
    }

    /// The whole as tags.
    pub fn into_tree(self) -> TagTree {
        let mut tree = TagTree::new().with_lang(Some("en".to_owned()));
        for part in self.parts {
            let group = match part {
                Part::Text(sense, contents) => {
                    let contents: Vec<Node> = contents.into_iter().map(Node::from).collect();
                    match sense {
                        Sense::Title => {
                            let heading = Tag::Hn(NonZeroU16::MIN, Some(self.title.clone()));
                            TagGroup::with_children(heading, contents)
                        }
                        Sense::Heading(_) => {
                            let second = NonZeroU16::MIN.saturating_add(1);
                            TagGroup::with_children(Tag::Hn(second, None), contents)
                        }
                        Sense::Picture => {
                            let figure = Tag::Figure(Some(self.picture.clone()));
                            TagGroup::with_children(figure, contents)
                        }
                        _ => TagGroup::with_children(Tag::P, contents),
                    }
                }
                Part::Table(_, rows) => table(rows),
            };
            tree.push(group);
        }
        tree
    }
}

fn table(rows: Vec<Row>) -> TagGroup {
    let mut table = TagGroup::new(Tag::Table);
    for mut row in rows {
        row.cells.sort_by_key(|(column, ..)| *column);
        let mut group = TagGroup::new(Tag::TR);
        for (_, head, contents) in row.cells {
            let contents: Vec<Node> = contents.into_iter().map(Node::from).collect();
            group.push(match head {
                Head::Value => TagGroup::with_children(Tag::TD, contents),
                Head::Row => TagGroup::with_children(Tag::TH(TableHeaderScope::Row), contents),
                Head::Column => {
                    TagGroup::with_children(Tag::TH(TableHeaderScope::Column), contents)
                }
            });
        }
        table.push(group);
    }
    table
}
