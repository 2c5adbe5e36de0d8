//! Runs a future to completion without pauses.

use std::pin::pin;
use std::task::{Context, Poll, Waker};

/// Polls a future until it is ready, and returns its result.
///
/// ```
/// assert_eq!(lidoff_catalog::block_on(async { 2 + 2 }), 4);
/// ```
pub fn block_on<T>(future: impl Future<Output = T>) -> T {
    let mut future = pin!(future);
    let mut context = Context::from_waker(Waker::noop());
    loop {
        if let Poll::Ready(done) = future.as_mut().poll(&mut context) {
            return done;
        }
    }
}
