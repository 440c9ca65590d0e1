//! What of it is kept on the disk, so that a start needs no new order?

use std::fs;
use std::path::{Path, PathBuf};

use instant_acme::AccountCredentials;
use serde::de::DeserializeOwned;
use serde::{Deserialize, Serialize};

use super::{Contact, Name, file_error};
use crate::desk::tls::{TlsError, write_secret};

/// A certificate and its key, PEM.
#[derive(Serialize, Deserialize)]
pub(super) struct Certificate {
    /// What leads to the authority stands behind it.
    pub(super) chain: String,
    pub(super) key: String,
}

#[derive(Serialize, Deserialize)]
struct KeptCertificate {
    /// By which authority's directory, and for what: another order needs another.
    directory: String,
    name: String,
    #[serde(flatten)]
    certificate: Certificate,
}

#[derive(Serialize, Deserialize)]
struct KeptAccount {
    directory: String,
    contact: Option<String>,
    credentials: AccountCredentials,
}

/// The folder with both.
#[derive(Debug)]
pub(super) struct Folder {
    folder: PathBuf,
}

impl Folder {
    pub(super) fn new(folder: &Path) -> Self {
        Self { folder: folder.to_owned() }
    }

    /// The certificate that this authority has given for this name.
    ///
    /// # Errors
    /// Where the file cannot be read. One that is damaged is said to be, and ordered anew.
    pub(super) fn certificate(&self, directory: &str, name: &Name) -> Result<Option<Certificate>, TlsError> {
        let kept: Option<KeptCertificate> = read(&self.certificate_file())?;
        Ok(kept.filter(|kept| kept.directory == directory && kept.name == name.as_str()).map(|kept| kept.certificate))
    }

    /// Keeps it.
    pub(super) fn keep_certificate(
        &self,
        directory: &str,
        name: &Name,
        certificate: Certificate,
    ) -> Result<(), TlsError> {
        let kept = KeptCertificate { directory: directory.to_owned(), name: name.as_str().to_owned(), certificate };
        self.write(&self.certificate_file(), &kept)
    }

    /// The account with this authority, and whether it knows of this contact.
    pub(super) fn account(
        &self,
        directory: &str,
        contact: Option<&Contact>,
    ) -> Result<Option<(AccountCredentials, bool)>, TlsError> {
        let kept: Option<KeptAccount> = read(&self.account_file())?;
        let kept = kept.filter(|kept| kept.directory == directory);
        Ok(kept.map(|kept| (kept.credentials, kept.contact.as_deref() == contact.map(|contact| contact.0.as_str()))))
    }

    /// Keeps it.
    pub(super) fn keep_account(
        &self,
        directory: &str,
        contact: Option<&Contact>,
        credentials: AccountCredentials,
    ) -> Result<(), TlsError> {
        let contact = contact.map(|contact| contact.0.clone());
        self.write(&self.account_file(), &KeptAccount { directory: directory.to_owned(), contact, credentials })
    }

    fn certificate_file(&self) -> PathBuf {
        self.folder.join("acme.certificate.json")
    }

    fn account_file(&self) -> PathBuf {
        self.folder.join("acme.account.json")
    }

    /// Whole or not at all, and for the desk's eyes alone.
    fn write(&self, file: &Path, what: &impl Serialize) -> Result<(), TlsError> {
        let unfinished = file.with_extension("new");
        let text = serde_json::to_string_pretty(what).map_err(|error| file_error(file, error))?;
        let written = fs::create_dir_all(&self.folder)
            .and_then(|()| match fs::remove_file(&unfinished) {
                Err(error) if error.kind() != std::io::ErrorKind::NotFound => Err(error),
                _ => Ok(()),
            })
            .and_then(|()| write_secret(&unfinished, &text))
            .and_then(|()| fs::rename(&unfinished, file));
        written.map_err(|error| file_error(file, error))
    }
}

fn read<T: DeserializeOwned>(file: &Path) -> Result<Option<T>, TlsError> {
    match fs::read(file) {
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => Ok(None),
        Err(error) => Err(file_error(file, error)),
        Ok(bytes) => Ok(serde_json::from_slice(&bytes)
            .inspect_err(|error| eprintln!("desk: {} is damaged and not used: {error}", file.display()))
            .ok()),
    }
}
