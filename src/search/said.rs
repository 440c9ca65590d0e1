//! How are a chance and its place in a row said?

/// A chance in whole per cent: never 0 or 100 where it is not quite that.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Whole {
    /// More than nothing, and less than 1 %.
    Under1,
    /// More than 99 %, and not certain.
    Over99,
    /// So many, to be rounded.
    Percent(f64),
}

impl Whole {
    /// Of a chance from 0 to 1.
    pub fn of(chance: f64) -> Self {
        match chance * 100.0 {
            percent if percent <= 0.0 => Self::Percent(0.0),
            percent if percent < 1.0 => Self::Under1,
            percent if percent > 99.0 && percent < 100.0 => Self::Over99,
            percent => Self::Percent(percent),
        }
    }
}

/// A chance as people read it, in whole per cent.
pub fn chance(chance: f64) -> String {
    match Whole::of(chance) {
        Whole::Under1 => "under 1 %".to_owned(),
        Whole::Over99 => "over 99 %".to_owned(),
        Whole::Percent(percent) => format!("{percent:.0} %"),
    }
}

/// A chance in a table, or a minute: two digits that count.
pub fn percent(chance: f64) -> String {
    match chance * 100.0 {
        percent if percent >= 9.95 => format!("{percent:.0} %"),
        percent if percent >= 0.05 || percent <= 0.0 => format!("{percent:.1} %"),
        _ => "under 0.1 %".to_owned(),
    }
}

/// `1st`, `2nd` …
pub fn nth(number: usize) -> String {
    let ending = match (number % 100, number % 10) {
        (11..=13, _) => "th",
        (_, 1) => "st",
        (_, 2) => "nd",
        (_, 3) => "rd",
        _ => "th",
    };
    format!("{number}{ending}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_chance_is_never_said_to_be_0_or_1_where_it_is_not() {
        let said: Vec<String> = [0.0, 1e-9, 0.004, 0.12, 0.995, 1.0].into_iter().map(chance).collect();
        assert_eq!(said, ["0 %", "under 1 %", "under 1 %", "12 %", "over 99 %", "100 %"]);
        assert_eq!([-0.1, 0.01, 0.99].map(chance), ["0 %", "1 %", "99 %"]);
        let said: Vec<String> = [0.0, 1e-9, 0.0005, 0.012, 0.0994, 0.0996, 1.0].into_iter().map(percent).collect();
        assert_eq!(said, ["0.0 %", "under 0.1 %", "0.1 %", "1.2 %", "9.9 %", "10 %", "100 %"]);
    }

    #[test]
    fn turns_are_said_as_in_a_row() {
        let said: Vec<String> = [1, 2, 3, 4, 11, 12, 13, 21, 112].into_iter().map(nth).collect();
        assert_eq!(said, ["1st", "2nd", "3rd", "4th", "11th", "12th", "13th", "21st", "112th"]);
    }
}
