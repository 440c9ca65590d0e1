//! What is still to be sent?
