//! Is this a whole bundle? From bytes to a [`Bundle`](super::file::Bundle), or why not.
