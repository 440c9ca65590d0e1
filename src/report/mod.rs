//! The hand-over page: one self-contained HTML document, made from a bundle, the same everywhere.
