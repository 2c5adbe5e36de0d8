//! Commands in the order of the taps: none is lost, and they are handled one at a time.

use std::cell::RefCell;
use std::collections::VecDeque;

use lidoff_job::Stamp;

use super::command::Command;

/// A queued command, with the data of its screen.
#[derive(Debug)]
pub struct Queued<T> {
    /// The command.
    pub command: Command,
    /// When the technician tapped.
    pub at: Stamp,
    /// Data of the screen, returned with the command.
    pub given: T,
}

/// Whether a command was queued.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Pushed {
    /// It will be handled in its turn.
    Queued,
    /// It is a double tap, and the first one is still to be handled.
    Repeated,
}

/// Commands in the order of the taps.
#[derive(Debug)]
pub struct CommandQueue<T> {
    waiting: VecDeque<Queued<T>>,
    in_flight: Option<Command>,
}

impl<T> Default for CommandQueue<T> {
    fn default() -> Self {
        Self {
            waiting: VecDeque::new(),
            in_flight: None,
        }
    }
}

impl<T> CommandQueue<T> {
    /// Appends a command to the queue.
    pub fn push(&mut self, command: Command, at: Stamp, given: T) -> Pushed {
        let waiting = self.waiting.iter().map(|queued| &queued.command);
        let mut before = waiting.chain(&self.in_flight);
        if before.any(|earlier| command.repeats(earlier)) {
            return Pushed::Repeated;
        }
        self.waiting.push_back(Queued { command, at, given });
        Pushed::Queued
    }

    /// The next command, unless one is in flight. It is then in flight until
    /// [`finish`](Self::finish) is called.
    pub fn start(&mut self) -> Option<Queued<T>> {
        if self.in_flight.is_some() {
            return None;
        }
        let next = self.waiting.pop_front()?;
        self.in_flight = Some(next.command.clone());
        Some(next)
    }

    /// The command in flight has ended, successfully or not.
    pub fn finish(&mut self) {
        self.in_flight = None;
    }

    /// Whether the queue is empty and no command is in flight.
    pub fn is_idle(&self) -> bool {
        self.waiting.is_empty() && self.in_flight.is_none()
    }
}

/// Handles all commands of the queue in turn, and those that arrive meanwhile. `handle`
/// carries out one command completely. If another call is already doing this, it returns at
/// once.
pub async fn run_queue<T>(
    queue: &RefCell<CommandQueue<T>>,
    mut handle: impl AsyncFnMut(Queued<T>),
) {
    loop {
        let Some(next) = queue.borrow_mut().start() else {
            return;
        };
        handle(next).await;
        queue.borrow_mut().finish();
    }
}
