//! What is inside a photograph's file? Finds and blanks the place where it was taken, nothing else.
