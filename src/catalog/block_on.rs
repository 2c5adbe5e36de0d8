//! Work that may rest now and then, done without a rest.

use std::pin::pin;
use std::task::{Context, Poll, Waker};

/// What comes of a future that does not rest.
pub fn block_on<T>(future: impl Future<Output = T>) -> T {
    let mut future = pin!(future);
    let mut context = Context::from_waker(Waker::noop());
    loop {
        if let Poll::Ready(done) = future.as_mut().poll(&mut context) {
            return done;
        }
    }
}
