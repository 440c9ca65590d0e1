//! Where are the objects? In a folder, or in an object store that a URL names.

use std::path::PathBuf;
use std::str::FromStr;
use std::sync::Arc;

use object_store::local::LocalFileSystem;
use object_store::memory::InMemory;
use object_store::prefix::PrefixStore;
use object_store::{ObjectStore, ObjectStoreScheme};
use url::Url;

use super::{StoreError, sweep};

/// Bytes of one object that a folder takes at a time.
const FOLDER_PIECE: usize = 1 << 20;
/// The same of an object store: below this a part of an upload may not lie (Amazon S3 API, "Multipart upload limits").
const CLOUD_PIECE: usize = 5 << 20;

/// Where a desk keeps what it receives.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Place {
    /// A folder.
    Folder(PathBuf),
    /// A bucket or a container, and perhaps a prefix in it. How to get in stands in the environment.
    Cloud(Url),
    /// Nowhere: gone with the program. For tests.
    Memory,
}

/// Why the address of a store is refused.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum PlaceError {
    /// Not a URL.
    #[error("this is not a URL; write a folder as file:///path/to/folder, a bucket as s3://bucket/prefix")]
    NotAUrl,
    /// A kind of place that nobody here can write to.
    #[error("nothing can be kept at {0}://…; write file:///path/to/folder, s3://…, gs://…, az://… or abfs://…")]
    NotAPlace(String),
    /// A name and a password in the address would stand in every log.
    #[error("leave the password out of the address: it is read from the environment (AWS_…, GOOGLE_…, AZURE_…)")]
    Password,
}

impl FromStr for Place {
    type Err = PlaceError;
    fn from_str(text: &str) -> Result<Self, PlaceError> {
        let url = Url::parse(text).map_err(|_| PlaceError::NotAUrl)?;
        if url.scheme() == "file" {
            return url.to_file_path().map(Self::Folder).map_err(|()| PlaceError::NotAUrl);
        }
        if url.password().is_some() {
            return Err(PlaceError::Password);
        }
        match ObjectStoreScheme::parse(&url) {
            Ok((
                ObjectStoreScheme::AmazonS3 | ObjectStoreScheme::GoogleCloudStorage | ObjectStoreScheme::MicrosoftAzure,
                _,
            )) => Ok(Self::Cloud(url)),
            _ => Err(PlaceError::NotAPlace(url.scheme().to_owned())),
        }
    }
}

impl Place {
    /// Whether both are one place, as far as can be seen: a folder has as many names as links lead to it.
    pub fn is(&self, other: &Self) -> bool {
        match (self, other) {
            (Self::Folder(one), Self::Folder(other)) => match (one.canonicalize(), other.canonicalize()) {
                (Ok(one), Ok(other)) => one == other,
                // Of two of which one is not there each is another.
                _ => one == other,
            },
            (Self::Cloud(one), Self::Cloud(other)) => {
                one.as_str().trim_end_matches('/') == other.as_str().trim_end_matches('/')
            }
            _ => false,
        }
    }
}

impl std::fmt::Display for Place {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Folder(folder) => write!(f, "{}", folder.display()),
            Self::Cloud(url) => write!(f, "{url}"),
            Self::Memory => f.write_str("memory"),
        }
    }
}

/// The objects there, and how many bytes of one are written at a time.
/// `told`: what the environment says of how to get in, by name.
pub(super) fn open(
    place: &Place,
    told: impl IntoIterator<Item = (String, String)>,
) -> Result<(Arc<dyn ObjectStore>, usize), StoreError> {
    match place {
        Place::Folder(folder) => {
            let objects = LocalFileSystem::new_with_prefix(folder)
                .map_err(|source| StoreError::Read { at: place.to_string(), source })?;
            Ok((Arc::new(objects.with_fsync(true)), FOLDER_PIECE))
        }
        Place::Cloud(url) => {
            let cannot = |source| StoreError::Read { at: place.to_string(), source };
            let told = told.into_iter().map(|(name, value)| (name.to_ascii_lowercase(), value));
            let (objects, prefix) = object_store::parse_url_opts(url, told).map_err(cannot)?;
            let objects: Arc<dyn ObjectStore> = Arc::from(objects);
            let within: Arc<dyn ObjectStore> =
                if prefix.as_ref().is_empty() { objects } else { Arc::new(PrefixStore::new(objects, prefix)) };
            Ok((within, CLOUD_PIECE))
        }
        Place::Memory => Ok((Arc::new(InMemory::new()), FOLDER_PIECE)),
    }
}

/// Makes the folder where it is not there.
pub(super) fn make(place: &Place) -> Result<(), StoreError> {
    let Place::Folder(folder) = place else { return Ok(()) };
    std::fs::create_dir_all(folder).map_err(|source| StoreError::Open { place: place.to_string(), source })
}

/// Whether a store may be at a place. A folder is looked at from outside: to be opened, it would have to be there.
pub(super) fn may_hold_one(place: &Place) -> Result<bool, StoreError> {
    let Place::Folder(folder) = place else { return Ok(true) };
    let seen = folder.join("desk.json").try_exists();
    seen.map_err(|source| StoreError::Open { place: place.to_string(), source })
}

/// Takes away what a killed desk left half-written at a place that is a store of ours. Object stores leave nothing.
pub(super) fn tidy(place: &Place) -> Result<(), StoreError> {
    let Place::Folder(folder) = place else { return Ok(()) };
    sweep::half_written(folder).map_err(|source| StoreError::Open { place: place.to_string(), source })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_store_is_named_by_a_url() {
        let place = |text: &str| text.parse::<Place>();
        assert_eq!(place("file:///srv/my%20jobs"), Ok(Place::Folder("/srv/my jobs".into())));
        assert_eq!(place("file://localhost/srv"), Ok(Place::Folder("/srv".into())));
        for cloud in ["s3://bucket/jobs", "gs://bucket", "az://container/x", "abfs://container/x"] {
            assert!(matches!(place(cloud), Ok(Place::Cloud(_))), "{cloud}");
        }
        assert_eq!(place("/srv/jobs"), Err(PlaceError::NotAUrl));
        assert_eq!(place("file://elsewhere/srv"), Err(PlaceError::NotAUrl));
        assert_eq!(place("ftp://host/x"), Err(PlaceError::NotAPlace("ftp".to_owned())));
        assert_eq!(place("http://host/x"), Err(PlaceError::NotAPlace("http".to_owned())));
        assert_eq!(place("s3://me:secret@bucket/x"), Err(PlaceError::Password));
    }
}
