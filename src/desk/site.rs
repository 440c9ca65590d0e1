//! How are the app's files served? From the folder that was built, already compressed, with the app's page for
//! every address that is not a file, so that a link into the app works.

use std::io::ErrorKind;
use std::path::{Path, PathBuf};
use std::sync::{Arc, LazyLock};

use axum::Router;
use axum::body::Body;
use axum::extract::{Request, State};
use axum::http::{HeaderValue, StatusCode, header};
use axum::response::{IntoResponse, Response};
use axum::routing::get;
use tower_http::services::{ServeDir, ServeFile};

use super::{framed, pages};
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

/// The app's folder, or only a page that says how to make one.
pub fn routes(app: Option<&Path>) -> Result<Router, NoApp> {
    match app {
        None => Ok(Router::new().route("/", get(pages::no_app)).fallback(pages::no_such_page)),
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
    let mut response = match served {
        Ok(response) => response.map(Body::new),
        Err(error) if matches!(error.kind(), ErrorKind::NotFound | ErrorKind::NotADirectory) => {
            StatusCode::NOT_FOUND.into_response()
        }
        Err(error) => {
            eprintln!("desk: {path}: {error}");
            return StatusCode::INTERNAL_SERVER_ERROR.into_response();
        }
    };
    let found = response.status().is_success() || response.status() == StatusCode::NOT_MODIFIED;
    let caching = if found && carries_hash(&path) { FOR_GOOD } else { ASK_AGAIN };
    response.headers_mut().insert(header::CACHE_CONTROL, caching);
    if let Some(policy) = &*CSP_APP {
        response.headers_mut().insert(header::CONTENT_SECURITY_POLICY, policy.clone());
    }
    response
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
    if last.contains('.') || path.starts_with("/assets/") { Kind::File } else { Kind::Page }
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
        for page in ["/", "/jobs", "/jobs/0189/walk", "/index"] {
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
