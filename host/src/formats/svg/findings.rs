//! Findings, kept short: of each kind only the first few are told one by one.

use super::source::{Source, tag_range};
use crate::diagnostics::{Diagnostic, EACH, Severity};
use roxmltree::Node;
use std::collections::{BTreeMap, BTreeSet};

struct Kind {
    severity: Severity,
    count: usize,
}

pub(super) struct Findings<'s, 'a> {
    source: &'s Source<'a>,
    told: Vec<Diagnostic>,
    /// How often there was something to say, told or not.
    pub said: usize,
    kinds: BTreeMap<&'static str, Kind>,
    known: BTreeSet<(&'static str, usize, String)>,
}

impl<'s, 'a> Findings<'s, 'a> {
    pub fn new(source: &'s Source<'a>) -> Self {
        Self {
            source,
            told: Vec::new(),
            said: 0,
            kinds: BTreeMap::new(),
            known: BTreeSet::new(),
        }
    }

    /// Adds a finding about `node`. The same one about the same element is told once, however
    /// often a `use` shows it. Gives the finding's place where it is told.
    pub fn about(
        &mut self,
        node: Option<Node<'_, '_>>,
        severity: Severity,
        code: &'static str,
        message: impl Into<String>,
        help: &'static str,
    ) -> Option<usize> {
        self.said += 1;
        let count = self.kinds.get(code).map_or(0, |kind| kind.count);
        let message = message.into();
        let start = node.map_or(0, |node| tag_range(node).start);
        if !self.known.insert((code, start, message.clone())) {
            return None;
        }
        let kind = self
            .kinds
            .entry(code)
            .or_insert(Kind { severity, count: 0 });
        kind.severity = kind.severity.max(severity);
        kind.count += 1;
        if count >= EACH {
            return None;
        }
        let mut diagnostic = Diagnostic::new(severity, code, message);
        if !help.is_empty() {
            diagnostic = diagnostic.help(help);
        }
        self.told.push(match node {
            Some(node) => self.source.place(diagnostic, node),
            None => diagnostic.in_file(self.source.file),
        });
        Some(self.told.len() - 1)
    }

    /// Names the object that a told finding is about.
    pub fn name_object(&mut self, finding: usize, id: &str) {
        if let Some(told) = self.told.get_mut(finding) {
            told.object = Some(id.to_owned());
        }
    }

    /// Adds a warning about `node`.
    pub fn warning(
        &mut self,
        node: Option<Node<'_, '_>>,
        code: &'static str,
        message: impl Into<String>,
        help: &'static str,
    ) {
        self.about(node, Severity::Warning, code, message, help);
    }

    /// Adds a note about `node`.
    pub fn note(
        &mut self,
        node: Option<Node<'_, '_>>,
        code: &'static str,
        message: impl Into<String>,
        help: &'static str,
    ) {
        self.about(node, Severity::Note, code, message, help);
    }

    /// Adds an error.
    pub fn error(&mut self, error: Diagnostic) {
        self.told.push(error);
    }

    /// Errors first, then all in the file's order, then how many more of each kind there are.
    pub fn into_sorted(self) -> Vec<Diagnostic> {
        let mut told = self.told;
        told.sort_by_key(|diagnostic| {
            let start = diagnostic.range.as_ref().map_or(0, |range| range.start);
            (diagnostic.severity != Severity::Error, start)
        });
        for (code, kind) in self.kinds {
            if kind.count > EACH {
                let more = kind.count - EACH;
                told.push(Diagnostic::more(kind.severity, code, more).in_file(self.source.file));
            }
        }
        told
    }
}
