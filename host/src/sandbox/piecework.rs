//! Piecework: a design step gives out pieces of its work, and each is worked on in a store of its own, on as
//! many cores as there are, unless what comes of it is known.
//!
//! The step waits meanwhile. It runs on a stack of its own, which is small, so the pieces are not worked on
//! there: they are left on a [`Desk`], and whoever drives the call fetches them between two slices of it.

use super::bindings::piecework_plugin::PieceworkPluginPre;
use super::call::{Call, CallError, Unanswered};
use super::clock::Clock;
use super::session::Session;
use super::{Limits, Log, Plugin, Sandbox};
use rayon::prelude::*;
use sha2::Digest as _;
use std::future::poll_fn;
use std::sync::atomic::{AtomicU64, AtomicUsize, Ordering};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::task::Poll;

/// The most pieces that a call may give out: ten for each object of the largest designs. Each takes a store, if
/// only for a moment.
pub const PIECES: usize = 100_000;

/// SHA-256 over a plugin's bytes, its settings and a piece.
pub type PieceKey = [u8; 32];

/// What came of a piece.
#[derive(Clone, Debug, PartialEq)]
pub struct Worked {
    /// As the step reads it.
    pub bytes: Vec<u8>,
    /// What was said meanwhile.
    pub log: Log,
    /// How much work it was, in units. It counts again each time, so that a limit holds or not whatever is
    /// known.
    pub work: u64,
}

/// Where what comes of pieces is kept from one run to the next.
pub trait PieceCache: Sync {
    /// What came of the piece with this key, if that is known.
    fn get(&self, key: &PieceKey) -> Option<Arc<Worked>>;
    /// Keeps it.
    fn put(&self, key: PieceKey, worked: Arc<Worked>);
}

/// Where a call leaves the pieces that it gives out, and finds what came of them.
#[derive(Clone, Default)]
pub(super) struct Desk(Arc<Mutex<OnDesk>>);

#[derive(Default)]
enum OnDesk {
    #[default]
    Nothing,
    Pieces(Vec<Vec<u8>>),
    Done(Done),
}

/// What came of pieces, and what was said over them, in their order.
pub(super) type Done = (Vec<Vec<u8>>, Vec<Log>);

impl Desk {
    /// Leaves pieces and waits until they are done.
    pub async fn give_out(&self, pieces: Vec<Vec<u8>>) -> Done {
        *self.hold() = OnDesk::Pieces(pieces);
        poll_fn(|_| {
            let mut desk = self.hold();
            match std::mem::take(&mut *desk) {
                OnDesk::Done(done) => Poll::Ready(done),
                waiting => {
                    *desk = waiting;
                    Poll::Pending
                }
            }
        })
        .await
    }

    fn fetch(&self) -> Option<Vec<Vec<u8>>> {
        let mut desk = self.hold();
        match std::mem::take(&mut *desk) {
            OnDesk::Pieces(pieces) => Some(pieces),
            other => {
                *desk = other;
                None
            }
        }
    }

    fn hold(&self) -> MutexGuard<'_, OnDesk> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// Those who work on the pieces of one call.
pub(super) struct Hands<'a> {
    sandbox: &'a Sandbox,
    plugin: &'a Plugin,
    worker: &'a PieceworkPluginPre<Session>,
    settings: &'a str,
    cache: Option<&'a dyn PieceCache>,
    /// Where the call leaves its pieces.
    pub desk: Desk,
    left: Left,
    failed: Option<Unanswered>,
}

/// What is left of a call's limits for its pieces.
struct Left {
    pieces: usize,
    work: u64,
    bytes: usize,
}

impl<'a> Hands<'a> {
    pub fn new(
        sandbox: &'a Sandbox,
        plugin: &'a Plugin,
        worker: &'a PieceworkPluginPre<Session>,
        settings: &'a str,
        cache: Option<&'a dyn PieceCache>,
    ) -> Self {
        let Limits {
            work_millions,
            answer_mib,
            ..
        } = sandbox.limits;
        Self {
            sandbox,
            plugin,
            worker,
            settings,
            cache,
            desk: Desk::default(),
            left: Left {
                pieces: PIECES,
                work: work_millions.saturating_mul(1_000_000),
                bytes: answer_mib << 20,
            },
            failed: None,
        }
    }

    /// Works on what lies on the desk, if anything does, before the time of `clock` is over. Says whether the
    /// step may go on.
    pub fn work(&mut self, clock: Clock) -> bool {
        let Some(pieces) = self.desk.fetch() else {
            return true;
        };
        match self.work_on(&pieces, clock) {
            Ok(done) => {
                *self.desk.hold() = OnDesk::Done(done);
                true
            }
            Err(why) => {
                self.failed = Some(why);
                false
            }
        }
    }

    /// Why the step may not go on.
    pub fn failed(self) -> Option<Unanswered> {
        self.failed
    }

    fn work_on(&mut self, pieces: &[Vec<u8>], clock: Clock) -> Result<Done, Unanswered> {
        let left = self.left.pieces.checked_sub(pieces.len());
        self.left.pieces = left.ok_or(CallError::Pieces(PIECES))?;
        let (work, bytes) = (AtomicU64::new(0), AtomicUsize::new(0));
        let too_much = || {
            work.load(Ordering::Relaxed) > self.left.work
                || bytes.load(Ordering::Relaxed) > self.left.bytes
        };
        let worked: Vec<Option<Result<Arc<Worked>, Unanswered>>> = pieces
            .par_iter()
            .map(|piece| {
                // Sums only grow: whichever pieces come first, in the end there is too much or there is not.
                if too_much() {
                    return None;
                }
                let worked = self.known_or_worked(piece, clock);
                if let Ok(worked) = &worked {
                    work.fetch_add(worked.work, Ordering::Relaxed);
                    let said = worked.log.bytes();
                    bytes.fetch_add(worked.bytes.len() + said, Ordering::Relaxed);
                }
                Some(worked)
            })
            .collect();
        let (work, bytes) = (work.into_inner(), bytes.into_inner());
        let limits = &self.sandbox.limits;
        if work > self.left.work {
            return Err(CallError::Work(limits.work_millions).into());
        }
        if bytes > self.left.bytes {
            return Err(CallError::Answers(limits.answer_mib).into());
        }
        self.left.work -= work;
        self.left.bytes -= bytes;
        let (mut done, mut logs) = (Vec::new(), Vec::new());
        for worked in worked.into_iter().flatten() {
            let worked = Arc::unwrap_or_clone(worked?);
            done.push(worked.bytes);
            logs.push(worked.log);
        }
        Ok((done, logs))
    }

    fn known_or_worked(&self, piece: &[u8], clock: Clock) -> Result<Arc<Worked>, Unanswered> {
        let Some(cache) = self.cache else {
            return self.work_on_one(piece, clock);
        };
        let key = self.key(piece);
        if let Some(worked) = cache.get(&key) {
            return Ok(worked);
        }
        let worked = self.work_on_one(piece, clock)?;
        cache.put(key, Arc::clone(&worked));
        Ok(worked)
    }

    fn work_on_one(&self, piece: &[u8], clock: Clock) -> Result<Arc<Worked>, Unanswered> {
        let call = Call {
            limits: &self.sandbox.limits,
            work: self.left.work,
            clock,
            progress: None,
            hands: None,
        };
        let (answer, work) = self.sandbox.run(call, async |store| {
            let world = self.worker.instantiate_async(&mut *store).await?;
            let worker = world.hoopwright_step_piece_worker();
            let done = worker.call_work(store, piece, self.settings).await?;
            Ok(Ok(done))
        });
        let answer = answer?;
        Ok(Arc::new(Worked {
            bytes: answer.value,
            log: answer.log,
            work,
        }))
    }

    fn key(&self, piece: &[u8]) -> PieceKey {
        let mut hash = self.plugin.key_with(self.settings);
        hash.update(piece);
        hash.finalize().into()
    }
}
