//! Which of colleagues' photographs and recordings come to this device.

use sync::{Book as _, Fetches, State};

use super::{OfficeBook, describe, relay};
use crate::door::{Door, LeftView, OfficeView, draft::name, error::DoorError};

/// All of them as they come, or those of inspections for which somebody asks.
pub fn fetch_colleagues(door: &Door, all: bool) -> Result<OfficeView, DoorError> {
    change(door, |state| {
        let is_all = state.fetches == Fetches::All;
        if is_all != all {
            state.fetches = if all { Fetches::All } else { Fetches::Asked([].into()) };
        }
    })
}

/// Fetches from now on what belongs to an inspection.
pub fn fetch(door: &Door, inspection: &str) -> Result<OfficeView, DoorError> {
    let inspection = name(inspection)?;
    change(door, |state| state.fetch(&inspection))
}

/// What of an inspection is at the office and not here.
pub fn left(door: &Door, inspection: &str) -> Result<LeftView, DoorError> {
    let inspection = name(inspection)?;
    let state = OfficeBook::new(&mut door.book(), door.source.as_ref()).state().map_err(relay)?;
    let of_it = || state.awaited.iter().filter(|one| one.inspection.as_ref() == Some(&inspection));
    let awaited = of_it().filter(|one| state.fetches(one)).count();
    Ok(LeftView { left: of_it().count() - awaited, awaited })
}

fn change(door: &Door, change: impl FnOnce(&mut State)) -> Result<OfficeView, DoorError> {
    {
        let mut book = door.book();
        let mut lent = OfficeBook::new(&mut book, door.source.as_ref());
        let mut state = lent.state().map_err(relay)?;
        change(&mut state);
        lent.keep_state(&state).map_err(relay)?;
    }
    describe(door)
}
