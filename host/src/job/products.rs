//! Everything that is delivered, drawn and printed.

use super::{Sewn, Writers};
use crate::comparison::{self, Drawn, Score, Source};
use crate::diagnostics::{Diagnostic, Failed};
use crate::preview::{self, PreviewOptions};
use crate::report::Report;
use crate::worksheet::{self, Worksheet};
use serde::Serialize;
use std::collections::BTreeSet;

/// What a job gives. Nothing has been written yet.
#[derive(Clone, Debug)]
pub struct Products {
    /// What it was made of; its findings are whole now.
    pub sewn: Sewn,
    /// How near the stitches come to the artwork; nothing where nothing is drawn.
    pub score: Option<Score>,
    /// The files to write, each with the end of its name.
    pub files: Vec<(String, Vec<u8>)>,
}

/// The machine-readable account of a job.
#[derive(Serialize)]
struct Account<'a> {
    worksheet: &'a Worksheet,
    score: Option<&'a Score>,
    findings: &'a [Diagnostic],
    judgement: &'a Report,
}

impl Sewn {
    /// Draws and prints what is delivered, and lets `writers` make the rest.
    ///
    /// # Errors
    /// There is no memory for a picture, nothing to print with, or a writer's own reason; after everything that was noticed
    /// before it.
    pub fn products(mut self, writers: &Writers) -> Result<Products, Failed> {
        let route = &self.written.route;
        let print = match worksheet::pdf(&self.worksheet, &self.design, route.origin) {
            Ok(print) => print,
            Err(failed) => return Err(failed.after(self.findings)),
        };
        let drawn = Drawn {
            source: match self.artwork.svg() {
                Some((text, scale)) => Source::Svg(text, scale),
                None => Source::Design,
            },
            read: self.artwork.design(),
            wound: &self.wound,
        };
        let marked = PreviewOptions {
            overlay: self.report.overlay(),
            ..PreviewOptions::default()
        };
        let (pictures, compared) = rayon::join(
            || {
                Ok((
                    preview::png(&self.design, &self.options)?,
                    preview::png(&self.design, &marked)?,
                ))
            },
            || comparison::compare(&drawn, &self.design, &self.options),
        );
        self.findings.extend(print.findings);
        let ((picture, marked), compared) = match (pictures, compared) {
            (Ok(pictures), Ok(compared)) => (pictures, compared),
            (Err(problem), _) | (_, Err(problem)) => {
                return Err(Failed::from(problem).after(self.findings));
            }
        };
        self.findings.extend(compared.findings);
        let mut files = match writers.write(&self) {
            Ok(files) => files,
            Err(failed) => return Err(failed.after(self.findings)),
        };
        let account = Account {
            worksheet: &self.worksheet,
            score: compared.score.as_ref(),
            findings: &self.findings,
            judgement: &self.report,
        };
        // Plain structs of strings and finite numbers always serialize.
        let mut account = serde_json::to_vec_pretty(&account).unwrap_or_default();
        account.push(b'\n');
        let drawn = [
            ("preview.png", picture),
            ("compare.png", compared.picture),
            ("report.png", marked),
            ("worksheet.pdf", print.bytes),
            ("report.json", account),
        ];
        let drawn = drawn.map(|(ending, bytes)| (ending.to_owned(), bytes));
        // A writer's product takes the place of one that is drawn here.
        let written: BTreeSet<&str> = writers.endings().collect();
        files.extend(
            drawn
                .into_iter()
                .filter(|(ending, _)| !written.contains(&**ending)),
        );
        Ok(Products {
            sewn: self,
            score: compared.score,
            files,
        })
    }
}
