//! The desk: serves the app, receives bundles, shows the jobs to the service writer.
