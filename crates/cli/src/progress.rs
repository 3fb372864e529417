//! Progress on standard error: each step once, over itself on a terminal.

use std::{
    io::{self, IsTerminal as _, Write as _},
    ops::ControlFlow,
    sync::{Mutex, PoisonError},
};

use api::Step;

/// Writes steps as they come.
pub struct Reporter {
    last: Mutex<Option<Step>>,
    quiet: bool,
}

impl Reporter {
    pub fn new(quiet: bool) -> Self {
        Self { last: Mutex::new(None), quiet }
    }

    /// Writes a step that was not the last one; always goes on.
    pub fn tell(&self, step: Step) -> ControlFlow<()> {
        if self.quiet {
            return ControlFlow::Continue(());
        }
        let mut last = self.last.lock().unwrap_or_else(PoisonError::into_inner);
        // Threads may overtake each other; a count never goes back.
        let is_older = matches!((*last, step), (Some(Step::Photographs { done: last, .. }), Step::Photographs { done, .. }) if done <= last);
        if *last != Some(step) && !is_older {
            *last = Some(step);
            write(step);
        }
        ControlFlow::Continue(())
    }

    /// Ends the line on a terminal.
    pub fn finish(&self) {
        let began = self.last.lock().unwrap_or_else(PoisonError::into_inner).is_some();
        if began && io::stderr().is_terminal() {
            let _ = io::stderr().write_all(b"\r\x1b[K");
        }
    }
}

/// Progress that nobody can see is no reason to stop.
fn write(step: Step) {
    let mut err = io::stderr().lock();
    let _ = if err.is_terminal() { write!(err, "\r\x1b[K{step}") } else { writeln!(err, "{step}") };
    let _ = err.flush();
}
