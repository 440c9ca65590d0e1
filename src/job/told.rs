//! How is a JSON error told to people? Its words, short, and the place as a JSON pointer.

pub(crate) use crate::objects::pointer;

/// The words of a JSON error: short, and without line and column where those count in a text that nobody has seen.
pub(crate) fn said(error: &serde_json::Error) -> String {
    const MOST: usize = 240;
    let words = error.to_string();
    let words = words.rsplit_once(" at line ").map_or(words.as_str(), |(words, _)| words);
    // What chrono says of a time that it cannot read names neither the thing nor the way out.
    if ["input contains invalid characters", "premature end of input", "input is out of range"].contains(&words) {
        return "a time should stand as 2026-05-04T09:30:00Z".to_owned();
    }
    // What serde_json says where one of a few texts should stand and something else does.
    if words == "expected value" {
        return "one of the format's words should stand here, in quotes".to_owned();
    }
    match words.char_indices().nth(MOST) {
        Some((end, _)) => format!("{} …", &words[..end]),
        None => words.to_owned(),
    }
}
