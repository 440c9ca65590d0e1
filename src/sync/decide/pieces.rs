//! Which piece of a large photograph goes next?

/// Photographs up to this size are sent whole, bytes: they are through before a second question would be answered.
const WHOLE_UP_TO: u64 = 1_500_000;
/// How much goes at once, bytes.
const PIECE: u32 = 1 << 20;
/// How often the desk may send us back before the photograph is sent whole.
const MOST_SETBACKS: u32 = 4;

/// What the desk says of a photograph that comes in pieces.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PieceAnswer {
    /// It has so many bytes, from the first on.
    Until(u64),
    /// It has all of it.
    Whole,
    /// It knows nothing of pieces.
    Unknown,
}

/// What to do then.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Next {
    /// Send these bytes.
    Piece {
        /// The first of them.
        from: u32,
        /// The first behind them.
        to: u32,
    },
    /// Send it whole, as an older desk wants it.
    Whole,
    /// Nothing: the desk holds it.
    Done,
}

/// A photograph on its way in pieces.
#[derive(Debug, Clone, Copy)]
pub struct Pieces {
    total: u32,
    furthest: u32,
    setbacks: u32,
}

impl Pieces {
    /// `None`: it is small enough to go whole.
    pub fn of(total: u64) -> Option<Self> {
        // A photograph that is longer than four gigabytes is none; the desk says so.
        let total = u32::try_from(total).ok().filter(|total| u64::from(*total) > WHOLE_UP_TO)?;
        Some(Self { total, furthest: 0, setbacks: 0 })
    }

    /// What comes after an answer: the first one is to the question how far it has come, each other one to a piece.
    ///
    /// It ends whatever the desk answers: where it does not get further, the photograph is sent whole.
    pub fn next(&mut self, answer: PieceAnswer) -> Next {
        let until = match answer {
            PieceAnswer::Whole => return Next::Done,
            PieceAnswer::Unknown => return Next::Whole,
            PieceAnswer::Until(until) => until,
        };
        // All of it and still not whole, or more than all of it: it is of something else.
        let Some(from) = u32::try_from(until).ok().filter(|from| *from < self.total) else { return Next::Whole };
        if from <= self.furthest {
            self.setbacks += 1;
            if self.setbacks > MOST_SETBACKS {
                return Next::Whole;
            }
        }
        self.furthest = self.furthest.max(from);
        Next::Piece { from, to: from.saturating_add(PIECE).min(self.total) }
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const TOTAL: u64 = 2_500_000;

    #[test]
    fn a_small_photograph_goes_whole() {
        assert!(Pieces::of(WHOLE_UP_TO).is_none());
        assert!(Pieces::of(WHOLE_UP_TO + 1).is_some());
        assert!(Pieces::of(u64::MAX).is_none());
    }

    #[test]
    fn a_large_one_goes_in_pieces_from_where_the_desk_has_it() {
        let mut pieces = Pieces::of(TOTAL).unwrap();
        assert_eq!(pieces.next(PieceAnswer::Until(0)), Next::Piece { from: 0, to: 1 << 20 });
        assert_eq!(pieces.next(PieceAnswer::Until(1 << 20)), Next::Piece { from: 1 << 20, to: 2 << 20 });
        assert_eq!(pieces.next(PieceAnswer::Until(2 << 20)), Next::Piece { from: 2 << 20, to: 2_500_000 });
        assert_eq!(pieces.next(PieceAnswer::Whole), Next::Done);
        // What was cut off goes on at any byte.
        let mut later = Pieces::of(TOTAL).unwrap();
        assert_eq!(later.next(PieceAnswer::Until(1_234_567)), Next::Piece { from: 1_234_567, to: 2_283_143 });
    }

    #[test]
    fn a_desk_that_knows_no_pieces_gets_it_whole() {
        assert_eq!(Pieces::of(TOTAL).unwrap().next(PieceAnswer::Unknown), Next::Whole);
        for astray in [TOTAL, TOTAL + 1, u64::MAX] {
            assert_eq!(Pieces::of(TOTAL).unwrap().next(PieceAnswer::Until(astray)), Next::Whole, "{astray}");
        }
    }

    #[test]
    fn a_desk_that_loses_what_it_got_is_not_asked_for_ever() {
        let mut pieces = Pieces::of(TOTAL).unwrap();
        let ends = (0..100).map(|_| pieces.next(PieceAnswer::Until(0))).take_while(|next| *next != Next::Whole).count();
        assert_eq!(ends, MOST_SETBACKS as usize);
    }

    proptest! {
        #[test]
        fn it_ends_whatever_the_desk_answers_and_never_sends_nothing(
            total in WHOLE_UP_TO + 1..20_000_000,
            answers in prop::collection::vec(0_u64..21_000_000, 200),
        ) {
            let mut pieces = Pieces::of(total).unwrap();
            let mut ended = false;
            for answer in answers {
                match pieces.next(PieceAnswer::Until(answer)) {
                    Next::Piece { from, to } => prop_assert!(from < to && u64::from(to) <= total && to - from <= PIECE),
                    Next::Whole | Next::Done => { ended = true; break }
                }
            }
            prop_assert!(ended);
        }
    }
}
