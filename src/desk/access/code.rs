//! What does a code look like that people read off one screen and type into another? Eight signs of Crockford's base 32,
//! in two groups; small letters and letters that look like digits are taken for what was meant.

use std::str::FromStr;

/// Crockford's base 32 (<https://www.crockford.com/base32.html>): no I, L, O and U.
const SIGNS: &[u8; 32] = b"0123456789ABCDEFGHJKMNPQRSTVWXYZ";
/// 40 bits: a guess in ten minutes' worth of tries is one in a hundred million at best.
const LENGTH: usize = 8;

/// A code.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Code(String);

/// Not a code.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error("a code has eight letters and digits, such as 7K3M-Q9TX")]
pub struct NotACode;

impl Code {
    /// From so many bytes of chance.
    pub fn of(random: [u8; LENGTH]) -> Self {
        Self(random.iter().map(|byte| char::from(SIGNS[usize::from(byte % 32)])).collect())
    }

    /// Without the line in its middle.
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl std::fmt::Display for Code {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let (first, second) = self.0.split_at(LENGTH / 2);
        write!(f, "{first}-{second}")
    }
}

impl FromStr for Code {
    type Err = NotACode;
    fn from_str(text: &str) -> Result<Self, NotACode> {
        let meant = text.chars().filter(|sign| !sign.is_whitespace() && *sign != '-');
        let meant = meant.map(|sign| match sign.to_ascii_uppercase() {
            'O' => '0',
            'I' | 'L' => '1',
            other => other,
        });
        let code: String = meant.take(LENGTH + 1).collect();
        let sound = code.len() == LENGTH && code.bytes().all(|sign| SIGNS.contains(&sign));
        if sound { Ok(Self(code)) } else { Err(NotACode) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_code_is_understood_as_people_type_it() {
        let code = Code::of([0, 1, 31, 32, 200, 7, 10, 255]);
        assert_eq!(code.to_string(), "01Z0-87AZ");
        for typed in ["01Z0-87AZ", "01z087az", " o1z0 87az ", "OIZO-87AZ", "OlZ0-87AZ"] {
            assert_eq!(typed.parse(), Ok(code.clone()), "{typed}");
        }
        for wrong in ["", "01Z0-87A", "01Z0-87AZ0", "01Z0-87AU", "01Z0_87AZ", "é1Z0-87AZ"] {
            assert_eq!(wrong.parse::<Code>(), Err(NotACode), "{wrong}");
        }
    }
}
