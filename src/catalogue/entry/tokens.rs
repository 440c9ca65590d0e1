//! From text to numbers, words and marks.

/// A piece of text.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Token<'a> {
    /// As written.
    pub(super) text: &'a str,
    pub(super) kind: TokenKind,
    /// Nothing stands between it and the one before.
    pub(super) joined: bool,
}

/// What a piece of text is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum TokenKind {
    /// Digits, with a decimal point or comma.
    Number(f64),
    /// Starts with a letter.
    Word,
    /// Anything else, one character each.
    Mark,
}

impl<'a> Token<'a> {
    pub(super) fn number(&self) -> Option<f64> {
        match self.kind {
            TokenKind::Number(number) => Some(number),
            _ => None,
        }
    }

    /// A whole number of things.
    pub(super) fn whole(&self) -> Option<u32> {
        self.number().and_then(|_| self.text.parse().ok())
    }

    pub(super) fn word(&self) -> Option<&'a str> {
        (self.kind == TokenKind::Word).then_some(self.text)
    }

    pub(super) fn is_mark(&self, mark: char) -> bool {
        self.kind == TokenKind::Mark && self.text.starts_with(mark)
    }

    /// The word in lower case, whatever its kind.
    pub(super) fn lower(&self) -> String {
        self.text.to_lowercase()
    }
}

/// The pieces of a text, in order. Blanks are dropped.
pub(super) fn tokens(text: &str) -> Vec<Token<'_>> {
    let mut out: Vec<Token<'_>> = Vec::new();
    let mut rest = text;
    let mut joined = false;
    while let Some(first) = rest.chars().next() {
        if first.is_whitespace() {
            rest = &rest[first.len_utf8()..];
            joined = false;
            continue;
        }
        let after_number = joined && out.last().is_some_and(|last| last.number().is_some());
        let length = if first.is_ascii_digit() {
            number_length(rest)
        } else if is_times(rest, after_number) {
            first.len_utf8()
        } else if first.is_alphanumeric() {
            let end = rest.find(|letter: char| !letter.is_alphanumeric() && !matches!(letter, '\'' | '’'));
            end.unwrap_or(rest.len())
        } else {
            first.len_utf8()
        };
        let (piece, more) = rest.split_at(length);
        let kind = if first.is_ascii_digit() {
            piece.replace(',', ".").parse().map_or(TokenKind::Mark, TokenKind::Number)
        } else if first.is_alphanumeric() || first == '×' {
            TokenKind::Word
        } else {
            TokenKind::Mark
        };
        out.push(Token { text: piece, kind, joined });
        (rest, joined) = (more, true);
    }
    out
}

/// Bytes of a number at the start of a text: digits, and a point or comma that has digits after it.
fn number_length(text: &str) -> usize {
    let digits = |text: &str| text.bytes().take_while(u8::is_ascii_digit).count();
    let whole = digits(text);
    let after = &text[whole..];
    match after.strip_prefix(['.', ',']).map(digits) {
        Some(decimals) if decimals > 0 => whole + 1 + decimals,
        _ => whole,
    }
}

/// The x of "2x", "x2", "2x21W", "2 × 21": not that of a word.
fn is_times(text: &str, after_number: bool) -> bool {
    let mut letters = text.chars();
    match (letters.next(), letters.next()) {
        (Some('×'), _) => true,
        (Some('x' | 'X'), Some(next)) => next.is_ascii_digit() || (after_number && !next.is_alphabetic()),
        (Some('x' | 'X'), None) => after_number,
        _ => false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_words_and_marks_are_told_apart() {
        let pieces = |text| tokens(text).into_iter().map(|token| token.text).collect::<Vec<_>>().join("|");
        assert_eq!(pieces("2x21W, 0,75mm² BK/YE"), "2|x|21|W|,|0,75|mm²|BK|/|YE");
        assert_eq!(pieces("1. Horn x2 (xenon)"), "1|.|Horn|x|2|(|xenon|)");
        assert_eq!(pieces("P21/5W driver’s 3× F23"), "P21|/|5|W|driver’s|3|×|F23");
        assert_eq!(pieces(" \t"), "");
    }
}
