//! What the phone can do: photo worker, files, share, wake lock. Thin over the web platform.
