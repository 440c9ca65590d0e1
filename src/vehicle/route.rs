//! Which way does a loom go? The cheapest way through zones and passages.
