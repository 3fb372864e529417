//! What spans several fields: contradictions, each named with its field, what came and what was expected.

mod car;
mod condition_statement;
mod corner;
mod letter;
mod limits;
mod measured;
mod reading;
mod record;
mod reference;

use crate::{inspection::Inspection, parse::Problem};

pub(crate) use condition_statement::{content as statement_content, statement as condition_statement};
pub(crate) use letter::{letter, reply};
pub(crate) use record::record;

/// Every contradiction of an inspection; none when it is whole.
pub(crate) fn inspection(inspection: &Inspection) -> Vec<Problem> {
    let mut problems = Problems::default();
    limits::check(inspection, &mut problems);
    car::check(inspection, &mut problems);
    corner::check(inspection, &mut problems);
    reading::check(inspection, &mut problems);
    measured::check(inspection, &mut problems);
    reference::check(inspection, &mut problems);
    problems.0
}

/// A list that grows.
#[derive(Default)]
pub(crate) struct Problems(Vec<Problem>);

impl Problems {
    /// Adds one where `wrong` holds.
    fn add_if(&mut self, wrong: bool, field: impl Into<String>, message: impl FnOnce() -> String) {
        if wrong {
            self.0.push(Problem::new(field, message()));
        }
    }
}
