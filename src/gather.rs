//! How do things get into a set or a map without a sort for every kind of thing?
//!
//! The standard library's `collect` sorts what goes into a `BTreeSet` or `BTreeMap` first, and brings along some 4 kB of
//! sorting for each type. A phone downloads all of that. Sets here are small: putting in one after the other is as good.

/// `gather`, in place of `collect`, for what is put together one by one.
pub(crate) trait Gather: Iterator + Sized {
    /// All things in a set or a map. Of equal keys the last counts, as with `collect`.
    fn gather<C: Default + Extend<Self::Item>>(self) -> C {
        let mut all = C::default();
        all.extend(self);
        all
    }
}

impl<I: Iterator> Gather for I {}
