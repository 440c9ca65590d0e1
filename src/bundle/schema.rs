//! The JSON Schemas (draft 2020-12) of our files, made from the types.
