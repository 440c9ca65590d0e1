//! How does a body come in? Piece by piece, no longer than allowed, and not slower than a patient desk waits.

use std::time::Duration;

use axum::body::{Body, BodyDataStream, Bytes};
use axum::http::{HeaderMap, header};
use futures::StreamExt;
use tokio::time::Instant;

use super::problem::Refusal;

/// How much of a body that is too large is still read and thrown away, in multiples of its limit.
///
/// A client that is cut off while it sends never sees the answer, takes it for a broken network and sends it all again.
const HEAR_OUT: u64 = 4;

/// How long a whole body may take, in multiples of how late a piece may be: as long as the app is patient.
const WHOLE: u32 = 20;

/// A request's body.
pub struct Incoming {
    stream: BodyDataStream,
    taken: u64,
    limit: u64,
    idle: Duration,
    ends: Instant,
}

impl Incoming {
    /// A body of at most `limit` bytes; each piece may be `idle` late, and the whole 20 times as much. What is declared too large is refused at once.
    pub async fn new(headers: &HeaderMap, body: Body, limit: u64, idle: Duration) -> Result<Self, Refusal> {
        let mut incoming =
            Self { stream: body.into_data_stream(), taken: 0, limit, idle, ends: Instant::now() + idle * WHOLE };
        let declared = headers.get(header::CONTENT_LENGTH).and_then(|length| length.to_str().ok()?.parse().ok());
        if declared.is_some_and(|bytes: u64| bytes > limit) {
            // Who asks first (`Expect: 100-continue`) gets the answer before sending anything.
            if !headers.contains_key(header::EXPECT) {
                incoming.hear_out().await;
            }
            return Err(Refusal::TooLarge(limit));
        }
        Ok(incoming)
    }

    /// The next piece; none at the end.
    pub async fn next(&mut self) -> Result<Option<Bytes>, Refusal> {
        let longest = self.ends.min(Instant::now() + self.idle);
        let piece = tokio::time::timeout_at(longest, self.stream.next())
            .await
            .map_err(|_| Refusal::TooSlow(self.idle.as_secs()))?;
        let Some(piece) = piece.transpose().map_err(|_| Refusal::BrokeOff)? else { return Ok(None) };
        self.taken += piece.len() as u64;
        if self.taken > self.limit {
            self.hear_out().await;
            return Err(Refusal::TooLarge(self.limit));
        }
        Ok(Some(piece))
    }

    /// All of it.
    pub async fn all(mut self) -> Result<Bytes, Refusal> {
        let mut whole = Vec::new();
        while let Some(piece) = self.next().await? {
            whole.extend_from_slice(&piece);
        }
        Ok(whole.into())
    }

    async fn hear_out(&mut self) {
        let most = self.limit.saturating_mul(HEAR_OUT);
        let longest = |ends: Instant, idle| ends.min(Instant::now() + idle);
        while let Ok(Some(Ok(piece))) = tokio::time::timeout_at(longest(self.ends, self.idle), self.stream.next()).await
        {
            self.taken += piece.len() as u64;
            if self.taken > most {
                return;
            }
        }
    }
}
