//! How are the app's files served? From a folder or from inside the program, already compressed, with the app's page for
//! every address that is not a file, so that a link into the app works.

use std::io::ErrorKind;
use std::path::{Path, PathBuf};
use std::sync::{Arc, LazyLock};

use axum::Router;
use axum::body::Body;
use axum::extract::{Request, State};
use axum::http::{HeaderValue, StatusCode, header};
use axum::response::{IntoResponse, Response};
use tower_http::services::{ServeDir, ServeFile};

use super::framed;
use crate::report;

/// What the app's pages may do: run the program that comes with them, and show the pictures that they hold. The one
/// style that may stand inside a page is the report's, which the app shows in a frame.
static CSP_APP: LazyLock<Option<HeaderValue>> = LazyLock::new(|| {
    let policy = format!(
        "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; connect-src 'self'; img-src 'self' blob:; \
         media-src 'self' blob:; style-src 'self'{}; manifest-src 'self'; worker-src 'self'; base-uri 'none'; \
         form-action 'none'; frame-ancestors 'none'",
        framed::source(report::STYLE)
    );
    HeaderValue::from_str(&policy).ok()
});
/// For names that carry a hash of what they name.
const FOR_GOOD: HeaderValue = HeaderValue::from_static("public, max-age=31536000, immutable");
/// For all others: ask each time whether it is still the same.
const ASK_AGAIN: HeaderValue = HeaderValue::from_static("no-cache");

/// The folder is not an app.
#[derive(Debug, thiserror::Error)]
#[error("there is no index.html in {0}; `cargo xtask dist` builds the app into target/dist/web: name that folder")]
pub struct NoApp(PathBuf);

/// The app: in a folder, or else inside this program, or else only a page that says how to make one.
///
/// # Errors
/// Where the folder is none of an app.
pub fn routes(app: Option<&Path>) -> Result<Router, NoApp> {
    match app {
        None => Ok(inside::routes()),
        Some(folder) if folder.join("index.html").is_file() => {
            Ok(Router::new().fallback(file).with_state(Arc::from(folder)))
        }
        Some(folder) => Err(NoApp(folder.to_owned())),
    }
}

async fn file(State(folder): State<Arc<Path>>, request: Request) -> Response {
    let path = request.uri().path().to_owned();
    let served = match kind_of(&path) {
        Kind::Page => ServeFile::new(folder.join("index.html")).precompressed_br().try_call(request).await,
        Kind::File => ServeDir::new(&folder).precompressed_br().try_call(request).await,
    };
    match served {
        Ok(response) => as_the_apps(response.map(Body::new), &path),
        Err(error) if matches!(error.kind(), ErrorKind::NotFound | ErrorKind::NotADirectory) => {
            as_the_apps(StatusCode::NOT_FOUND.into_response(), &path)
        }
        Err(error) => {
            eprintln!("desk: {path}: {error}");
            StatusCode::INTERNAL_SERVER_ERROR.into_response()
        }
    }
}

/// Says how long a file of the app is good for, and what its pages may do.
fn as_the_apps(mut response: Response, path: &str) -> Response {
    let found = response.status().is_success() || response.status() == StatusCode::NOT_MODIFIED;
    let caching = if found && carries_hash(path) { FOR_GOOD } else { ASK_AGAIN };
    response.headers_mut().insert(header::CACHE_CONTROL, caching);
    if let Some(policy) = &*CSP_APP {
        response.headers_mut().insert(header::CONTENT_SECURITY_POLICY, policy.clone());
    }
    response
}

#[cfg(not(feature = "app_inside"))]
mod inside {
    use axum::routing::get;

    use super::Router;
    use crate::desk::pages;

    /// This program was built without the app.
    pub(super) fn routes() -> Router {
        Router::new().route("/", get(pages::no_app)).fallback(pages::no_such_page)
    }
}

/// The app inside the program.
#[cfg(feature = "app_inside")]
mod inside {
    use std::borrow::Cow;

    use axum::body::Bytes;
    use rust_embed::{Embed, EmbeddedFile};

    use super::*;
    use crate::desk::store::copy::hex;

    #[derive(Embed)]
    #[folder = "target/dist/web"]
    struct App;

    pub(super) fn routes() -> Router {
        Router::new().fallback(file)
    }

    async fn file(request: Request) -> Response {
        let path = request.uri().path();
        let name = match kind_of(path) {
            Kind::Page => "index.html",
            Kind::File => path.trim_start_matches('/'),
        };
        let compressed = accepts_brotli(request.headers()).then(|| App::get(&format!("{name}.br"))).flatten();
        let encoded = compressed.is_some();
        // Compressed files are for those who ask for the file itself.
        let Some(found) = compressed.or_else(|| App::get(name)).filter(|_| !name.ends_with(".br")) else {
            return as_the_apps(StatusCode::NOT_FOUND.into_response(), path);
        };
        as_the_apps(answer(&request, found, name, encoded), path)
    }

    fn answer(request: &Request, found: EmbeddedFile, name: &str, encoded: bool) -> Response {
        let tag = format!("\"{}\"", hex(&found.metadata.sha256_hash()[..16]));
        let known =
            request.headers().get(header::IF_NONE_MATCH).is_some_and(|known| known.as_bytes() == tag.as_bytes());
        let headers = [(header::ETAG, tag), (header::VARY, "accept-encoding".to_owned())];
        if known {
            return (StatusCode::NOT_MODIFIED, headers).into_response();
        }
        let kind = [(header::CONTENT_TYPE, media_type(name))];
        // From where it lies in the program: a copy for each who asks, and then reads slowly, would fill the memory.
        let body = match found.data {
            Cow::Borrowed(bytes) => Bytes::from_static(bytes),
            Cow::Owned(bytes) => Bytes::from(bytes),
        };
        let mut response = (headers, kind, body).into_response();
        if encoded {
            response.headers_mut().insert(header::CONTENT_ENCODING, HeaderValue::from_static("br"));
        }
        response
    }

    fn accepts_brotli(headers: &axum::http::HeaderMap) -> bool {
        let accepted = headers.get_all(header::ACCEPT_ENCODING).iter().filter_map(|accepted| accepted.to_str().ok());
        accepted.flat_map(|accepted| accepted.split(',')).any(|coding| {
            let mut parts = coding.split(';').map(str::trim);
            parts.next() == Some("br") && !parts.any(|weight| weight == "q=0")
        })
    }

    /// Of what the app is made of.
    fn media_type(name: &str) -> &'static str {
        match name.rsplit('.').next().unwrap_or_default() {
            "html" => "text/html; charset=utf-8",
            "js" => "text/javascript; charset=utf-8",
            "css" => "text/css; charset=utf-8",
            "wasm" => "application/wasm",
            "json" => "application/json",
            "webmanifest" => "application/manifest+json",
            "svg" => "image/svg+xml",
            "png" => "image/png",
            "jpg" => "image/jpeg",
            _ => "application/octet-stream",
        }
    }
}

#[derive(Debug, PartialEq, Eq)]
enum Kind {
    /// A place in the app: its page finds out which.
    Page,
    /// A file, which is there or not: the app's page in place of a missing script would only hide the loss.
    File,
}

fn kind_of(path: &str) -> Kind {
    let last = path.rsplit('/').next().unwrap_or_default();
    // A place on a wire is called by its metres, as in `point:r0@2.08`: no file.
    let is_file = last.contains('.') && !path.starts_with("/job/");
    if is_file || path.starts_with("/assets/") { Kind::File } else { Kind::Page }
}

/// Whether a file under `/assets/` is named `<name>-<hash>.<extension>`, the hash at least eight hex digits.
fn carries_hash(path: &str) -> bool {
    let Some(name) = path.strip_prefix("/assets/") else { return false };
    let Some((_, tail)) = name.rsplit_once('-') else { return false };
    let hash = tail.split('.').next().unwrap_or_default();
    // dx writes `dxh` before its own.
    let hash = hash.strip_prefix("dxh").unwrap_or(hash);
    hash.len() >= 8 && hash.len() < tail.len() && hash.bytes().all(|byte| byte.is_ascii_hexdigit())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn places_in_the_app_and_files_are_told_apart() {
        for page in ["/", "/jobs", "/job/0189/walk", "/job/0189/point/point:r0@2.08", "/index"] {
            assert_eq!(kind_of(page), Kind::Page, "{page}");
        }
        for file in ["/sw.js", "/manifest.webmanifest", "/assets/missing", "/assets/a/b", "/style/app.css"] {
            assert_eq!(kind_of(file), Kind::File, "{file}");
        }
    }

    #[test]
    fn only_names_with_a_hash_are_kept_for_good() {
        for hashed in ["/assets/loomwalk-dxh5f0e1d2c3b4a.js", "/assets/app-0123abcd.css", "/assets/x/y-0123abcd.wasm"] {
            assert!(carries_hash(hashed), "{hashed}");
        }
        for plain in
            ["/sw.js", "/assets/app.css", "/assets/app-typography.css", "/app-0123abcd.css", "/assets/a-0123abcd"]
        {
            assert!(!carries_hash(plain), "{plain}");
        }
    }
}
