//! What the page shows, and who waits for news of it.

use super::answer::Answer;
use super::server;
use crate::diagnostics::Diagnostic;
use crate::job::{Products, Sewn};
use crate::pipeline::Tally;
use serde::Serialize;
use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::Duration;
use tiny_http::Request;

/// Pages that may wait for news at once; the longest waiting is answered when one more comes.
const MOST_WAITING: usize = 32;

/// How things stand.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Phase {
    /// A run goes on.
    Sewing,
    /// The picture is of the files as they are.
    UpToDate,
    /// The last run failed; the picture is of the last one that went well.
    Failed,
}

/// What the page shows besides the picture.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct State {
    /// Another text after every change; the page asks for news after this one.
    pub moment: String,
    /// How things stand.
    pub phase: Phase,
    /// The same in words.
    pub words: String,
    /// What was given.
    pub artwork: String,
    /// What was given.
    pub pipeline: String,
    /// The number of the picture; none before the first run that went well.
    pub picture: Option<u64>,
    /// What was sewn in the picture, on one line.
    pub summary: Option<String>,
    /// What was noticed when the picture was sewn.
    pub findings: Vec<Diagnostic>,
    /// Why the last run failed.
    pub errors: Vec<Diagnostic>,
    /// The products' names, without the artwork's.
    pub products: Vec<String>,
    /// The number of the picture that the products belong to; a moment behind the picture.
    pub products_of: Option<u64>,
}

/// What is pinned up for all pages.
pub(super) struct Board {
    pinned: Mutex<Pinned>,
    waiting: Mutex<Vec<Request>>,
}

struct Pinned {
    state: State,
    changes: u64,
    pictures: u64,
    picture: Arc<[u8]>,
    products: BTreeMap<String, Arc<[u8]>>,
}

impl Board {
    pub fn new(artwork: String, pipeline: String) -> Self {
        let state = State {
            moment: String::new(),
            phase: Phase::Sewing,
            words: "Sewing for the first time".to_owned(),
            artwork,
            pipeline,
            picture: None,
            summary: None,
            findings: Vec::new(),
            errors: Vec::new(),
            products: Vec::new(),
            products_of: None,
        };
        let board = Self {
            pinned: Mutex::new(Pinned {
                state,
                changes: 0,
                pictures: 0,
                picture: Arc::default(),
                products: BTreeMap::new(),
            }),
            waiting: Mutex::default(),
        };
        board.change(|_| {});
        board
    }

    /// A run goes on.
    pub fn sewing(&self, words: String) {
        self.change(|pinned| {
            pinned.state.phase = Phase::Sewing;
            pinned.state.words = words;
        });
    }

    /// A run went well. Its picture is shown before its products are there.
    pub fn went_well(&self, sewn: &Sewn, took: &str) {
        self.change(|pinned| {
            pinned.pictures += 1;
            pinned.picture = sewn.preview.as_bytes().into();
            let state = &mut pinned.state;
            state.phase = Phase::UpToDate;
            state.words = format!("Up to date. {took}");
            state.picture = Some(pinned.pictures);
            state.summary = Some(sewn.worksheet.on_one_line());
            state.findings = sewn.told();
            state.errors = Vec::new();
        });
    }

    /// The products of the run that went well.
    pub fn made(&self, products: Products) {
        let findings = products.sewn.told();
        let files = products.files;
        self.change(|pinned| {
            pinned.state.findings = findings;
            pinned.state.products_of = pinned.state.picture;
            pinned.state.products = files.iter().map(|(name, _)| name.clone()).collect();
            let files = files.into_iter();
            pinned.products = files.map(|(name, bytes)| (name, bytes.into())).collect();
        });
    }

    /// A run failed: the last picture and what belongs to it stay.
    pub fn failed(&self, errors: Vec<Diagnostic>) {
        self.change(|pinned| {
            let state = &mut pinned.state;
            state.phase = Phase::Failed;
            state.words = match state.picture {
                Some(_) => "Failed. The picture is of the last run that went well.".to_owned(),
                None => "Failed. There is no picture yet.".to_owned(),
            };
            state.errors = errors;
        });
    }

    /// The state as JSON.
    pub fn state(&self) -> Vec<u8> {
        let state = &self.pinned().state;
        // Plain strings and finite numbers always serialize.
        serde_json::to_vec(state).unwrap_or_default()
    }

    /// The picture of the last run that went well.
    pub fn picture(&self) -> Option<Arc<[u8]>> {
        let pinned = self.pinned();
        pinned.state.picture.map(|_| Arc::clone(&pinned.picture))
    }

    /// A product of the last run that went well.
    pub fn product(&self, name: &str) -> Option<Arc<[u8]>> {
        self.pinned().products.get(name).cloned()
    }

    /// Answers with the state as soon as it is another than at the `moment`. No thread waits with it.
    pub fn news(&self, request: Request, moment: &str) {
        let mut waiting = self.waiting();
        // The state cannot change in between: who changes it then answers those that wait.
        if self.pinned().state.moment == moment {
            waiting.push(request);
            if waiting.len() <= MOST_WAITING {
                return;
            }
            let longest = waiting.remove(0);
            server::send_aside(longest, Answer::json(self.state()));
        } else {
            drop(waiting);
            server::send_aside(request, Answer::json(self.state()));
        }
    }

    fn change(&self, change: impl FnOnce(&mut Pinned)) {
        {
            let mut pinned = self.pinned();
            change(&mut pinned);
            pinned.changes += 1;
            // The process's number: a page that outlives the program must not take the next
            // program's state for its own.
            pinned.state.moment = format!("{}-{}", std::process::id(), pinned.changes);
        }
        let waiting = std::mem::take(&mut *self.waiting());
        for request in waiting {
            server::send_aside(request, Answer::json(self.state()));
        }
    }

    fn pinned(&self) -> MutexGuard<'_, Pinned> {
        self.pinned.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn waiting(&self) -> MutexGuard<'_, Vec<Request>> {
        self.waiting.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// What a run took, in words.
pub(super) fn effort(took: Duration, tally: Tally) -> String {
    let Tally { reused, fresh } = tally;
    format!(
        "{:.2} s; {reused} of {} object results reused",
        took.as_secs_f64(),
        reused + fresh
    )
}
