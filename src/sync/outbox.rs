//! Carries out what is decided: sends when there is a network.
