//! Another try, after a while, where the trouble may pass.

use super::trouble::Trouble;
use crate::diagnostics::Diagnostic;
use std::time::Duration;

/// How often and how patiently something is tried.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Patience {
    /// How often at most without headway, the first time counted.
    pub tries: u32,
    /// The first wait; each next one is twice as long.
    pub first_wait: Duration,
    /// No wait is longer. A registry that asks for more is not waited for.
    pub longest_wait: Duration,
    /// How long a registry may keep silent before the connection counts as broken.
    pub longest_silence: Duration,
}

impl Default for Patience {
    /// Five tries, after waits of 0.5, 1, 2 and 4 seconds; a minute where the registry asks for it;
    /// half a minute of silence.
    fn default() -> Self {
        Self {
            tries: 5,
            first_wait: Duration::from_millis(500),
            longest_wait: Duration::from_secs(60),
            longest_silence: Duration::from_secs(30),
        }
    }
}

impl Patience {
    /// Tries until it works, until it cannot work, or until patience ends. Each wait is told.
    pub(super) fn with<T>(
        self,
        tell: &dyn Fn(Diagnostic),
        mut attempt: impl FnMut() -> Result<T, Trouble>,
    ) -> Result<T, Diagnostic> {
        let mut failed = 0;
        loop {
            let (mut what, not_before, headway) = match attempt() {
                Ok(done) => return Ok(done),
                Err(Trouble::Lasting(diagnostic)) => return Err(diagnostic),
                Err(Trouble::Passing {
                    what,
                    not_before,
                    headway,
                }) => (what, not_before, headway),
            };
            failed = if headway { 1 } else { failed + 1 };
            let wait = not_before.unwrap_or_else(|| self.wait(failed));
            if wait > self.longest_wait {
                what.message += &format!(" and asks to wait {} s", wait.as_secs());
                return Err(what);
            }
            if failed >= self.tries {
                return Err(what);
            }
            tell(Diagnostic::warning(
                "registry-waits",
                format!(
                    "{}; trying again in {:.1} s",
                    what.message,
                    wait.as_secs_f64()
                ),
            ));
            std::thread::sleep(wait);
        }
    }

    /// The wait after so many failures, where the registry asks for none.
    fn wait(self, failed: u32) -> Duration {
        let doubled = 2_u32.saturating_pow(failed.saturating_sub(1));
        self.first_wait
            .saturating_mul(doubled)
            .min(self.longest_wait)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::cell::RefCell;

    const QUICK: Patience = Patience {
        tries: 3,
        first_wait: Duration::from_millis(1),
        longest_wait: Duration::from_millis(20),
        longest_silence: Duration::from_millis(20),
    };

    fn trouble(not_before: Option<Duration>, headway: bool) -> Trouble {
        Trouble::Passing {
            what: Diagnostic::error("busy", "it is busy"),
            not_before,
            headway,
        }
    }

    /// Tries with the outcomes given, and tells how often and what came out.
    fn tried(mut outcomes: Vec<Result<(), Trouble>>) -> (usize, Result<(), Diagnostic>, usize) {
        outcomes.reverse();
        let told = RefCell::new(0);
        let mut count = 0;
        let result = QUICK.with(&|_| *told.borrow_mut() += 1, || {
            count += 1;
            outcomes.pop().expect("tried too often")
        });
        let told = *told.borrow();
        (count, result, told)
    }

    #[test]
    fn goes_on_while_there_is_hope() {
        let busy = || Err(trouble(None, false));
        assert_eq!(tried(vec![busy(), busy(), Ok(())]), (3, Ok(()), 2));
        let (count, result, _) = tried(vec![busy(), busy(), busy()]);
        assert_eq!((count, result.is_err()), (3, true));
        let lasting = || Err(Diagnostic::error("gone", "it is gone").into());
        let (count, result, told) = tried(vec![lasting()]);
        assert_eq!((count, result.is_err(), told), (1, true, 0));
    }

    #[test]
    fn headway_gives_new_patience() {
        let cut = || Err(trouble(None, true));
        let outcomes = vec![cut(), cut(), cut(), cut(), Ok(())];
        assert_eq!(tried(outcomes), (5, Ok(()), 4));
    }

    #[test]
    fn waits_as_asked_but_not_for_ever() {
        let asked = |ms| Err(trouble(Some(Duration::from_millis(ms)), false));
        assert_eq!(tried(vec![asked(2), Ok(())]), (2, Ok(()), 1));
        let (count, result, _) = tried(vec![asked(21)]);
        assert_eq!((count, result.is_err()), (1, true));
    }

    #[test]
    fn waits_grow_to_a_limit() {
        let waits: Vec<_> = (1..=7)
            .map(|failed| QUICK.wait(failed).as_millis())
            .collect();
        assert_eq!(waits, [1, 2, 4, 8, 16, 20, 20]);
        assert_eq!(QUICK.wait(u32::MAX), QUICK.longest_wait);
    }
}
