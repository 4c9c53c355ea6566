//! One call of a step, with its limits, in a store of its own.

use super::bindings::messages::{Description, Failure};
use super::bindings::model::{Design, Object, Thread};
use super::clock::{Clock, SLICE};
use super::code::World;
use super::guard::{Refused, TABLE_ENTRIES};
use super::piecework::{Hands, PieceCache};
use super::session::{Progress, Session, printable};
use super::{Limits, Log, Plugin, Sandbox};
use crate::diagnostics::{Choice, Diagnostic};
use std::time::Duration;
use thiserror::Error;
use wasmtime::{Store, Trap};

/// The most work of a plugin that says what it is, in million units.
pub const DESCRIBE_MILLIONS: u64 = 1_000;

/// Under what a call runs.
pub(super) struct Call<'a> {
    pub limits: &'a Limits,
    /// The most work, in units.
    pub work: u64,
    pub clock: Clock,
    pub progress: Option<Progress>,
    /// Who works on the pieces that it gives out, if it may.
    pub hands: Option<Hands<'a>>,
}

impl<'a> Call<'a> {
    /// A call that begins now, with all of its limits.
    fn begin(limits: &'a Limits) -> Self {
        Self {
            limits,
            work: limits.work_millions.saturating_mul(1_000_000),
            clock: Clock::start(Duration::from_secs(limits.seconds)),
            progress: None,
            hands: None,
        }
    }
}

/// What a call gave.
#[derive(Clone, Debug, PartialEq)]
pub struct Answer<T> {
    /// The changed object or design, not yet checked.
    pub value: T,
    /// What the step said meanwhile.
    pub log: Log,
}

/// Why a call gave nothing.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum CallError {
    /// The step itself said why, as a sentence.
    #[error("{}", .0.message)]
    Failure(Failure),
    /// The step's code panicked.
    #[error("its code panicked: {0}")]
    Panic(String),
    /// The step used up its work.
    #[error("it used up its limit of {0} million units of work")]
    Work(u64),
    /// The step ran too long.
    #[error("it ran for more than its limit of {0} s")]
    Time(u64),
    /// The step asked for too much memory.
    #[error("it asked for more than its limit of {0} MiB of memory")]
    Memory(usize),
    /// The step asked for too many table entries.
    #[error("it asked for more than {0} table entries")]
    Tables(usize),
    /// The step handed back too much.
    #[error("it handed back more than its limit of {0} MiB")]
    Answer(usize),
    /// The step handed back too much for all objects, or all pieces, together.
    #[error("it handed back more than its limit of {0} MiB, all its answers together")]
    Answers(usize),
    /// The step gave out too many pieces.
    #[error("it gave out more than {0} pieces of its work")]
    Pieces(usize),
    /// The step calls itself too deep.
    #[error("its code calls itself too deep")]
    Stack,
    /// The step's code could not be made ready for this machine.
    #[error("{}", .0.message)]
    Unready(Box<Diagnostic>),
    /// The step's functions take or give other records than the contract's.
    #[error("its functions do not fit the contract: {0}")]
    Misfit(String),
    /// Anything else that ends Wasm code.
    #[error("its code broke down: {0}")]
    Trap(String),
}

/// A call that gave nothing.
#[derive(Clone, Debug, PartialEq, Error)]
#[error("{why}")]
pub struct Unanswered {
    /// Why.
    pub why: CallError,
    /// What the step said before.
    pub log: Log,
}

impl From<CallError> for Unanswered {
    /// A step that was not called said nothing.
    fn from(why: CallError) -> Self {
        Self {
            why,
            log: Log::default(),
        }
    }
}

impl CallError {
    /// What to do about it.
    pub fn help(&self) -> Option<String> {
        let words = match self {
            Self::Failure(failure) => return failure.help.clone(),
            Self::Unready(why) => return why.help.clone(),
            Self::Panic(_) | Self::Trap(_) | Self::Stack | Self::Tables(_) | Self::Pieces(_) => {
                "This is a fault in the plugin; send its maker this message and the artwork."
            }
            Self::Misfit(_) => "Build it with an unchanged sdk/wit.",
            Self::Work(_) | Self::Time(_) => {
                "The artwork may be that large, or the step may never end: to find out, double the limit."
            }
            Self::Memory(_) => "If the artwork is truly that large, raise the limit.",
            Self::Answer(_) | Self::Answers(_) => {
                "Better split the artwork; if it is truly that large, raise the limit."
            }
        };
        Some(words.to_owned())
    }

    /// What the help's last words ask to choose otherwise.
    pub fn choice(&self) -> Option<Choice> {
        Some(match self {
            Self::Work(_) => Choice::Work,
            Self::Time(_) => Choice::Time,
            Self::Memory(_) => Choice::Memory,
            Self::Answer(_) | Self::Answers(_) => Choice::Answer,
            Self::Unready(why) => return why.choice,
            Self::Failure(_)
            | Self::Panic(_)
            | Self::Tables(_)
            | Self::Pieces(_)
            | Self::Stack
            | Self::Misfit(_)
            | Self::Trap(_) => return None,
        })
    }
}

impl Sandbox {
    /// Calls an object step.
    ///
    /// # Errors
    /// What the step said, or how it ended.
    ///
    /// # Panics
    /// When `plugin` is a design step.
    pub fn call_object(
        &self,
        plugin: &Plugin,
        object: &Object,
        thread: &Thread,
        settings: &str,
    ) -> Result<Answer<Object>, Unanswered> {
        let World::Object(pre) = plugin.world(self)? else {
            panic!("{} is a design step", plugin.name);
        };
        let call = Call::begin(&self.limits);
        let (answer, _) = self.run(call, async |store| {
            let world = pre.instantiate_async(&mut *store).await?;
            let step = world.hoopwright_step_object_step();
            step.call_process(store, object, thread, settings).await
        });
        answer
    }

    /// Calls a design step with the places of the `selected` objects. What comes of the pieces that it may give
    /// out is taken from `cache`, and kept there.
    ///
    /// # Errors
    /// What the step said, or how it ended.
    ///
    /// # Panics
    /// When `plugin` is an object step.
    pub fn call_design(
        &self,
        plugin: &Plugin,
        design: &Design,
        selected: &[u32],
        settings: &str,
        progress: Option<Progress>,
        cache: Option<&dyn PieceCache>,
    ) -> Result<Answer<Design>, Unanswered> {
        let World::Design(pre, worker) = plugin.world(self)? else {
            panic!("{} is an object step", plugin.name);
        };
        let hands = worker.as_ref();
        let call = Call {
            progress,
            hands: hands.map(|worker| Hands::new(self, plugin, worker, settings, cache)),
            ..Call::begin(&self.limits)
        };
        let (answer, _) = self.run(call, async |store| {
            let world = pre.instantiate_async(&mut *store).await?;
            let step = world.hoopwright_step_design_step();
            step.call_process(store, design, selected, settings).await
        });
        answer
    }

    /// Asks a plugin what it is.
    pub(super) fn describe(&self, world: &World) -> Result<Description, CallError> {
        // It has nothing to work on, and is asked of every plugin in a folder.
        let limits = Limits {
            work_millions: self.limits.work_millions.min(DESCRIBE_MILLIONS),
            ..self.limits
        };
        let (answer, _) = self.run(Call::begin(&limits), async |store| {
            let description = match world {
                World::Object(pre) => {
                    let world = pre.instantiate_async(&mut *store).await?;
                    let step = world.hoopwright_step_object_step();
                    step.call_describe(store).await?
                }
                World::Design(pre, _) => {
                    let world = pre.instantiate_async(&mut *store).await?;
                    let step = world.hoopwright_step_design_step();
                    step.call_describe(store).await?
                }
            };
            Ok(Ok(description))
        });
        answer
            .map(|answer| answer.value)
            .map_err(|unanswered| unanswered.why)
    }

    /// Runs a call in a store of its own. Also gives how much work it was, in units.
    pub(super) fn run<T>(
        &self,
        call: Call<'_>,
        enter: impl AsyncFnOnce(&mut Store<Session>) -> wasmtime::Result<Result<T, Failure>>,
    ) -> (Result<Answer<T>, Unanswered>, u64) {
        let Call {
            limits,
            work,
            clock,
            progress,
            mut hands,
        } = call;
        let desk = hands.as_ref().map(|hands| hands.desk.clone());
        let mut store = Store::new(&self.engine, Session::new(limits, clock, progress, desk));
        store.limiter(|session| &mut session.guard);
        store.set_hostcall_fuel(limits.answer_mib << 20);
        let given = store.set_fuel(work);
        let sliced = given.and_then(|()| store.fuel_async_yield_interval(Some(SLICE)));
        let meanwhile = || hands.as_mut().is_none_or(|hands| hands.work(clock));
        let answer = sliced.and_then(|()| {
            clock
                .run(enter(&mut store), meanwhile)
                .unwrap_or_else(|| Err(Trap::Interrupt.into()))
        });
        let done = work - store.get_fuel().unwrap_or(0);
        let mut session = store.into_data();
        if let Some(piece) = hands.and_then(Hands::failed) {
            session.hear(piece.log);
            let log = session.log;
            return (
                Err(Unanswered {
                    why: piece.why,
                    log,
                }),
                done,
            );
        }
        let log = std::mem::take(&mut session.log);
        let answer = match answer {
            Ok(Ok(value)) => Ok(Answer { value, log }),
            Ok(Err(failure)) => {
                let why = CallError::Failure(Failure {
                    message: printable(failure.message),
                    object: failure.object.map(printable),
                    help: failure.help.map(printable),
                });
                Err(Unanswered { why, log })
            }
            Err(error) => {
                let why = why(&error, &session, limits);
                Err(Unanswered { why, log })
            }
        };
        (answer, done)
    }
}

/// Why the engine ended a call.
fn why(error: &wasmtime::Error, session: &Session, limits: &Limits) -> CallError {
    if let Some(message) = &session.panic {
        return CallError::Panic(message.clone());
    }
    match session.guard.refused {
        Some(Refused::Memory) => return CallError::Memory(limits.memory_mib),
        Some(Refused::TableEntries) => return CallError::Tables(TABLE_ENTRIES),
        None => {}
    }
    let text = format!("{error:#}");
    match error.downcast_ref::<Trap>() {
        Some(Trap::OutOfFuel) => CallError::Work(limits.work_millions),
        Some(Trap::Interrupt) => CallError::Time(limits.seconds),
        Some(Trap::StackOverflow) => CallError::Stack,
        Some(trap) => CallError::Trap(trap.to_string()),
        None if text.contains("fuel allocated for hostcalls") => {
            CallError::Answer(limits.answer_mib)
        }
        // Types are compared when the functions are first asked for.
        None if text.contains("failed to convert function") => CallError::Misfit(printable(text)),
        // The rest of the chain says where in the plugin it was, in numbers that help nobody.
        None => CallError::Trap(printable(error.root_cause().to_string())),
    }
}
