//! How does the API say no? RFC 9457 problem details, one kind for each reason.

use axum::Json;
use axum::extract::Request;
use axum::http::{HeaderName, HeaderValue, StatusCode, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};

use crate::bundle::error::BundleError;
use crate::desk::shelf::NotOurCursor;
use crate::desk::store::StoreError;
use crate::ids::{BundleId, JobId, NotAPhotoHash, PhotoHash};
use crate::job::log::LogError;
use crate::sync::protocol::Problem;

/// The media type of a problem.
const PROBLEM_JSON: HeaderValue = HeaderValue::from_static("application/problem+json");
/// How many bytes of a photograph in pieces are kept.
pub const UPLOAD_OFFSET: HeaderName = HeaderName::from_static("upload-offset");

/// Why the desk does not do what it was asked for. The text goes to whoever asked.
#[derive(Debug, thiserror::Error)]
pub enum Refusal {
    /// The address does not lead anywhere.
    #[error("nothing lives at {0:?}; the addresses of version 1 are under /api/v1")]
    NoSuchAddress(String),
    /// The address is right, the method is not.
    #[error("this address does not take {0}; the Allow header lists what it takes")]
    NoSuchMethod(String),
    /// A photo's name in the address.
    #[error(transparent)]
    NotAPhotoHash(#[from] NotAPhotoHash),
    /// A job's or bundle's id in the address.
    #[error("{0:?} is not an id: ids are UUIDs such as 01890a5d-ac96-774b-bcce-b302099a8057")]
    NotAnId(String),
    /// A cursor that was not given here.
    #[error(transparent)]
    NotOurCursor(#[from] NotOurCursor),
    /// The desk holds no such job.
    #[error("this desk holds nothing of job {0}; send a bundle first")]
    NoSuchJob(JobId),
    /// The desk holds no such photo.
    #[error("this desk does not hold the photo {0}; PUT it here")]
    NoSuchPhoto(PhotoHash),
    /// More bytes than allowed.
    #[error("the body is larger than {0} bytes, the most that is taken here; nothing was kept")]
    TooLarge(u64),
    /// The bytes came too slowly.
    #[error("no byte came for {0} s; nothing was kept; send it again")]
    TooSlow(u64),
    /// The connection broke off.
    #[error("the body broke off; nothing was kept; send it again")]
    BrokeOff,
    /// The bytes are not the photo that they are said to be.
    #[error("these bytes hash to {found}, not to {named}; nothing was kept; send the photo again from the original")]
    OtherPhoto {
        /// In the address.
        named: PhotoHash,
        /// Of the bytes.
        found: String,
    },
    /// The bundle is not whole.
    #[error(transparent)]
    Bundle(#[from] BundleError),
    /// The address names another job than the bundle.
    #[error("the address names job {address}, the bundle says {body}; nothing was kept")]
    OtherJob {
        /// In the address.
        address: JobId,
        /// In the body.
        body: JobId,
    },
    /// The address names another bundle than the body.
    #[error("the address names bundle {address}, the body says {body}; nothing was kept")]
    OtherBundle {
        /// In the address.
        address: BundleId,
        /// In the body.
        body: BundleId,
    },
    /// The bundle id was used before, for something else.
    #[error("bundle {0} is already kept here with other contents; give a changed bundle a new id; nothing was changed")]
    ReusedBundle(BundleId),
    /// The log contradicts what is held.
    #[error(transparent)]
    Log(#[from] LogError),
    /// The name under which the desk was addressed.
    #[error(
        "this desk does not answer as {0:?}, which a hostile page could arrange; it answers as 127.0.0.1, localhost or \
         [::1], and as the name in --public-url"
    )]
    OtherHost(String),
    /// A page from elsewhere tried to write.
    #[error("this request comes from another site; only the desk's own pages may write here; nothing was kept")]
    OtherSite,
    /// No token, or none that is good here.
    #[error(
        "this phone is not paired with this desk, or was shut out; at the desk, open Phones, choose \"Pair a phone\" and \
         scan or type the code that it shows"
    )]
    NotPaired,
    /// A code that is none.
    #[error("this code is not good (any more): codes hold for ten minutes and once; let the desk show a new one")]
    WrongCode,
    /// Too many tries.
    #[error("too many at once; try again in {0} s")]
    TooMany(u64),
    /// A piece of a photograph that does not go on where the last one ended.
    #[error("the next piece of this photo begins at byte {kept}, not {asked}; nothing was changed; go on from there")]
    OtherOffset {
        /// So many bytes are kept.
        kept: u64,
        /// Where the piece begins.
        asked: u64,
    },
    /// A header that is needed and is not there, or says nothing.
    #[error("this call needs the header {0} with a number of bytes")]
    NoSuchNumber(&'static str),
    /// A body of another kind.
    #[error("this call takes {0}")]
    OtherType(&'static str),
    /// A photograph that cannot be made smaller here.
    #[error("this desk cannot make {0} smaller: it is of a kind that it does not read; ask for it as it is")]
    NotSmall(PhotoHash),
    /// A body that is not what the call takes.
    #[error("the body cannot be read: {0}")]
    Unreadable(String),
    /// The store failed. What exactly is for the desk's own terminal.
    #[error("the desk could not read or write its store; nothing was acknowledged; its terminal says why; try again")]
    Store(#[from] StoreError),
    /// A task of the desk ended early.
    #[error("the desk failed while it worked on this; nothing was acknowledged; try again")]
    Broken(#[from] tokio::task::JoinError),
}

impl Refusal {
    /// The HTTP status.
    pub fn status(&self) -> StatusCode {
        match self {
            Self::NoSuchAddress(_) | Self::NoSuchJob(_) | Self::NoSuchPhoto(_) | Self::NotSmall(_) => {
                StatusCode::NOT_FOUND
            }
            Self::NotPaired => StatusCode::UNAUTHORIZED,
            Self::TooMany(_) => StatusCode::TOO_MANY_REQUESTS,
            Self::OtherOffset { .. } => StatusCode::CONFLICT,
            Self::OtherType(_) => StatusCode::UNSUPPORTED_MEDIA_TYPE,
            Self::WrongCode => StatusCode::FORBIDDEN,
            Self::NoSuchNumber(_) | Self::Unreadable(_) => StatusCode::BAD_REQUEST,
            Self::NoSuchMethod(_) => StatusCode::METHOD_NOT_ALLOWED,
            Self::NotAPhotoHash(_) | Self::NotAnId(_) | Self::NotOurCursor(_) | Self::BrokeOff => {
                StatusCode::BAD_REQUEST
            }
            Self::TooLarge(_) | Self::Bundle(BundleError::TooLarge { .. }) => StatusCode::PAYLOAD_TOO_LARGE,
            Self::TooSlow(_) => StatusCode::REQUEST_TIMEOUT,
            Self::OtherPhoto { .. }
            | Self::Bundle(_)
            | Self::OtherJob { .. }
            | Self::OtherBundle { .. }
            | Self::ReusedBundle(_)
            | Self::Log(_) => StatusCode::UNPROCESSABLE_ENTITY,
            Self::OtherHost(_) => StatusCode::MISDIRECTED_REQUEST,
            Self::OtherSite => StatusCode::FORBIDDEN,
            Self::Store(_) | Self::Broken(_) => StatusCode::INTERNAL_SERVER_ERROR,
        }
    }
}

impl IntoResponse for Refusal {
    fn into_response(self) -> Response {
        match &self {
            Self::Store(error) => eprintln!("desk: {error}"),
            Self::Broken(error) => eprintln!("desk: {error}"),
            _ => {}
        }
        let mut response = respond(self.status(), self.to_string());
        let more = match self {
            Self::NotPaired => Some((header::WWW_AUTHENTICATE, HeaderValue::from_static("Bearer"))),
            Self::TooMany(seconds) => Some((header::RETRY_AFTER, HeaderValue::from(seconds))),
            Self::OtherOffset { kept, .. } => Some((UPLOAD_OFFSET, HeaderValue::from(kept))),
            _ => None,
        };
        response.headers_mut().extend(more);
        response
    }
}

fn respond(status: StatusCode, detail: String) -> Response {
    let title = status.canonical_reason().unwrap_or("Error").to_owned();
    let problem = Problem { type_: "about:blank".to_owned(), title, status: status.as_u16(), detail };
    (status, [(header::CONTENT_TYPE, PROBLEM_JSON)], Json(problem)).into_response()
}

/// Gives errors that the web framework makes by itself (a wrong method, an address that is not UTF-8) the same form.
pub async fn all_errors_as_problems(request: Request, next: Next) -> Response {
    let method = request.method().to_string();
    let response = next.run(request).await;
    let status = response.status();
    let is_error = status.is_client_error() || status.is_server_error();
    if !is_error || response.headers().get(header::CONTENT_TYPE) == Some(&PROBLEM_JSON) {
        return response;
    }
    let allow = response.headers().get(header::ALLOW).cloned();
    let mut problem = if status == StatusCode::METHOD_NOT_ALLOWED {
        Refusal::NoSuchMethod(method).into_response()
    } else {
        respond(status, "the address or its query cannot be read; see the API's version 1".to_owned())
    };
    if let Some(allow) = allow {
        problem.headers_mut().insert(header::ALLOW, allow);
    }
    problem
}
