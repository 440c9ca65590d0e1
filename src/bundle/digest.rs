//! How is a log's digest made? RFC 8785 canonical JSON of the events sorted by id, then SHA-256.
