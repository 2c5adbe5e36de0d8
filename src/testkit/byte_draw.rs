//! Choices drawn from bytes. 0 is always the simplest choice, so that a failing case shrinks
//! to a simple one.

/// Draws from a list of bytes; past its end every byte is 0.
pub struct ByteDraw<'a> {
    bytes: std::slice::Iter<'a, u8>,
}

impl<'a> ByteDraw<'a> {
    pub fn new(bytes: &'a [u8]) -> Self {
        Self {
            bytes: bytes.iter(),
        }
    }

    pub fn byte(&mut self) -> u8 {
        self.bytes.next().copied().unwrap_or(0)
    }

    /// A number below `n`.
    pub fn below(&mut self, n: usize) -> usize {
        usize::from(self.byte()) * n / 256
    }

    /// True in this percentage of cases.
    pub fn chance(&mut self, percent: usize) -> bool {
        self.below(100) >= 100 - percent
    }

    /// One of these; `None` where there are none.
    pub fn pick<T: Copy>(&mut self, from: &[T]) -> Option<T> {
        let at = self.below(from.len().max(1));
        from.get(at).copied()
    }
}
