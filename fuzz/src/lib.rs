//! What do the targets share? Each feeds one reader of what others have written: `reads` says what must hold of any input,
//! `mutate` how an input of JSON becomes another, and `targets` which inputs are kept for which.
//!
//! `reads` and `targets` know nothing of libFuzzer: tests/fuzz_kept.rs includes them and feeds them what is kept.

pub mod mutate;
pub mod reads;
pub mod targets;

use libfuzzer_sys::Corpus;

/// Of JSON only what was read is worth going on from: wrong files are one step away from good ones.
pub fn corpus(was_read: bool) -> Corpus {
    if was_read { Corpus::Keep } else { Corpus::Reject }
}

/// A target that feeds a reader bytes changed at random.
#[macro_export]
macro_rules! target {
    ($read:path) => {
        libfuzzer_sys::fuzz_target!(|bytes: &[u8]| -> libfuzzer_sys::Corpus { $crate::corpus($read(bytes)) });
    };
}

/// A target that feeds a reader JSON with changed values; `$schemas` have the words of its format.
#[macro_export]
macro_rules! json_target {
    ($read:path, [$($schema:literal),*], $mend:expr) => {
        static FORMAT: std::sync::LazyLock<$crate::mutate::Format> = std::sync::LazyLock::new(|| {
            $crate::mutate::Format::of(&[$(include_str!(concat!("../../public/schema/", $schema, ".schema.json"))),*], $mend)
        });
        libfuzzer_sys::fuzz_mutator!(|data: &mut [u8], size: usize, max_size: usize, seed: u32| {
            $crate::mutate::mutate(data, size, max_size, seed, &FORMAT)
        });
        $crate::target!($read);
    };
    ($read:path, [$($schema:literal),*]) => {
        $crate::json_target!($read, [$($schema),*], |_| {});
    };
}
