//! A cap on the bytes of all large bodies together, so that many large requests at once cannot use up the machine.

use std::sync::Arc;

use tokio::sync::{OwnedSemaphorePermit, Semaphore};

use crate::problem::{self, Problem};

/// Bodies up to this length are not counted: as many as there may be connections fit anyway.
pub const UNCOUNTED: usize = 64 * 1024;
const UNIT: usize = 64 * 1024;
/// All counted bodies together (256 MiB).
const ALL: usize = 256 * 1024 * 1024;

/// What is left for large bodies.
#[derive(Debug)]
pub struct Memory(Arc<Semaphore>);

/// Room that one body was given, until it is dropped.
#[derive(Debug)]
pub struct Room {
    held: Option<OwnedSemaphorePermit>,
}

impl Default for Memory {
    fn default() -> Self {
        Self(Arc::new(Semaphore::new(ALL / UNIT)))
    }
}

impl Memory {
    /// How many bytes are given away.
    pub fn taken(&self) -> usize {
        ALL - self.0.available_permits() * UNIT
    }

    /// Room for a body of up to `bytes`.
    ///
    /// # Errors
    /// At once, when other bodies fill the room.
    pub fn room_for(&self, bytes: usize) -> Result<Room, Problem> {
        if bytes <= UNCOUNTED {
            return Ok(Room { held: None });
        }
        let units = units(bytes);
        match self.0.clone().try_acquire_many_owned(units) {
            Ok(permit) => Ok(Room { held: Some(permit) }),
            Err(_) => Err(Problem::new(problem::OVERLOADED, "too many large bodies are being read at once")),
        }
    }

    /// The same, whenever there is some.
    pub async fn wait_for(&self, bytes: usize) -> Room {
        // More than all there is would never come.
        let permit = self.0.clone().acquire_many_owned(units(bytes.min(ALL))).await;
        Room { held: permit.ok() }
    }
}

impl Room {
    /// Gives back what turned out not to be needed.
    pub fn keep(self, bytes: usize) -> Self {
        let held = self.held.and_then(|mut all| {
            let needed = (units(bytes) as usize).min(all.num_permits());
            all.split(needed)
        });
        Self { held }
    }
}

fn units(bytes: usize) -> u32 {
    u32::try_from(bytes.div_ceil(UNIT)).unwrap_or(u32::MAX)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn large_bodies_share_a_limit_and_give_it_back() {
        let memory = Memory::default();
        let most = memory.room_for(ALL - UNIT).unwrap();
        assert!(memory.room_for(2 * UNIT).is_err());
        assert!(memory.room_for(UNCOUNTED).is_ok(), "small bodies always have room");
        drop(most);
        assert!(memory.room_for(2 * UNIT).is_ok());
    }

    #[tokio::test]
    async fn room_that_was_not_needed_is_given_back() {
        let memory = Memory::default();
        let kept = memory.wait_for(ALL).await.keep(3 * UNIT - 1);
        assert!(memory.room_for(ALL - 2 * UNIT).is_err());
        let rest = memory.room_for(ALL - 3 * UNIT).unwrap();
        assert!(memory.room_for(2 * UNIT).is_err());
        drop((kept, rest));
        assert!(memory.room_for(ALL).is_ok());
    }
}
