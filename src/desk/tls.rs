//! How does the desk prove who it is? By certificate files that someone else made; by a certificate authority of its own,
//! made at the first start, kept on this machine, told to each phone once; or by one that every phone knows ([`super::acme`]).

use std::fs;
use std::io::Write as _;
use std::net::IpAddr;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use rcgen::{
    BasicConstraints, CertificateParams, DistinguishedName, DnType, ExtendedKeyUsagePurpose, IsCa, Issuer, KeyPair,
    KeyUsagePurpose, PKCS_ECDSA_P256_SHA256, SanType,
};
use rustls::ServerConfig;
use rustls::crypto::aws_lc_rs;
use rustls::pki_types::pem::PemObject;
use rustls::pki_types::{CertificateDer, PrivateKeyDer};
use sha2::{Digest, Sha256};
use url::{Host, Url};

use super::acme::{Acme, Keeper};
use super::store::copy::hex;

/// How long the desk's own certificate holds: what Apple's systems take at most from an authority that a user has trusted
/// (<https://support.apple.com/en-us/103769>: 825 days; from memory), and a margin. A new one is made at each start.
const HOLDS_DAYS: i64 = 397;
/// How long its authority holds.
const AUTHORITY_HOLDS_DAYS: i64 = 10 * 365;

/// How a desk speaks TLS.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Tls {
    /// By files: a certificate with what leads to its authority, and its key, both PEM.
    Files {
        /// The certificates.
        certificates: PathBuf,
        /// The key.
        key: PathBuf,
    },
    /// By an authority of its own, kept in this folder.
    Own(PathBuf),
    /// By an authority that gives certificates for public names.
    Acme(Acme),
}

/// Why TLS is not to be had.
#[derive(Debug, thiserror::Error)]
pub enum TlsError {
    /// A file.
    #[error("{file}: {why}")]
    File {
        /// Which.
        file: PathBuf,
        /// Why.
        why: String,
    },
    /// Certificate and key do not fit, or are of a kind that is not spoken.
    #[error("this certificate and this key cannot be used: {0}")]
    Unfit(rustls::Error),
    /// A certificate could not be made.
    #[error("no certificate could be made: {0}")]
    Made(#[from] rcgen::Error),
}

/// What the server needs.
#[derive(Debug)]
pub struct Identity {
    /// For the server.
    pub config: Arc<ServerConfig>,
    /// The authority's certificate for phones to trust, PEM; none for files from elsewhere.
    pub authority: Option<String>,
    /// What keeps the certificate good while the desk runs; none where it is good for longer than that.
    pub keeper: Option<Keeper>,
}

impl Tls {
    /// The address at which phones reach the desk, where it follows from this.
    pub fn public(&self) -> Option<Url> {
        match self {
            Self::Acme(acme) => acme.public(),
            Self::Files { .. } | Self::Own(_) => None,
        }
    }

    /// Reads or makes what the server needs to answer under these names.
    ///
    /// # Errors
    /// Where files cannot be read, written or used.
    pub fn identity(self, public: Option<&Url>, addresses: &[IpAddr]) -> Result<Identity, TlsError> {
        match self {
            Self::Files { certificates, key } => {
                let told = |file: &Path| {
                    let file = file.to_owned();
                    move |error: rustls::pki_types::pem::Error| TlsError::File {
                        file,
                        why: format!("{error}; a PEM file is needed"),
                    }
                };
                let chain = CertificateDer::pem_file_iter(&certificates)
                    .and_then(|found| found.collect::<Result<Vec<_>, _>>())
                    .map_err(told(&certificates))?;
                if chain.is_empty() {
                    let why = "there is no certificate in it; a PEM file that begins with BEGIN CERTIFICATE is needed";
                    return Err(TlsError::File { file: certificates, why: why.to_owned() });
                }
                let secret = PrivateKeyDer::from_pem_file(&key).map_err(told(&key))?;
                Ok(Identity { config: config(chain, secret)?, authority: None, keeper: None })
            }
            Self::Own(folder) => {
                let authority = Authority::in_folder(&folder)?;
                let (chain, secret) = authority.certify(public, addresses)?;
                Ok(Identity { config: config(chain, secret)?, authority: Some(authority.certificate), keeper: None })
            }
            Self::Acme(acme) => {
                let (config, keeper) = acme.begin()?;
                Ok(Identity { config, authority: None, keeper: Some(keeper) })
            }
        }
    }
}

fn config(chain: Vec<CertificateDer<'static>>, key: PrivateKeyDer<'static>) -> Result<Arc<ServerConfig>, TlsError> {
    let builder = ServerConfig::builder_with_provider(Arc::new(aws_lc_rs::default_provider()));
    let builder = builder.with_safe_default_protocol_versions().map_err(TlsError::Unfit)?;
    let mut config = builder.with_no_client_auth().with_single_cert(chain, key).map_err(TlsError::Unfit)?;
    config.alpn_protocols = vec![b"http/1.1".to_vec()];
    Ok(Arc::new(config))
}

/// The desk's own authority.
struct Authority {
    key: KeyPair,
    /// PEM.
    certificate: String,
}

impl Authority {
    /// The one that is kept there; made where there is none.
    fn in_folder(folder: &Path) -> Result<Self, TlsError> {
        let (certificate, key) = (folder.join("authority.pem"), folder.join("authority.key.pem"));
        let cannot =
            |file: &Path, error: &std::io::Error| TlsError::File { file: file.to_owned(), why: error.to_string() };
        if key.exists() {
            let secret = fs::read_to_string(&key).map_err(|error| cannot(&key, &error))?;
            let pem = fs::read_to_string(&certificate).map_err(|error| cannot(&certificate, &error))?;
            let damaged = |error: rcgen::Error| TlsError::File {
                file: key.clone(),
                why: format!(
                    "{error}; put it back from a copy, or remove both files: each phone then has to trust the desk anew"
                ),
            };
            return Ok(Self { key: KeyPair::from_pem(&secret).map_err(damaged)?, certificate: pem });
        }
        fs::create_dir_all(folder).map_err(|error| cannot(folder, &error))?;
        let secret = KeyPair::generate_for(&PKCS_ECDSA_P256_SHA256)?;
        let made = authority(&secret).self_signed(&secret)?.pem();
        // The key last: while it is not there, nothing was made.
        fs::write(&certificate, &made).map_err(|error| cannot(&certificate, &error))?;
        write_secret(&key, &secret.serialize_pem()).map_err(|error| cannot(&key, &error))?;
        Ok(Self { key: secret, certificate: made })
    }

    /// A certificate for a server of these names and addresses, with its key.
    fn certify(
        &self,
        public: Option<&Url>,
        addresses: &[IpAddr],
    ) -> Result<(Vec<CertificateDer<'static>>, PrivateKeyDer<'static>), TlsError> {
        let mut params = CertificateParams::new(["localhost".to_owned()])?;
        let mut names: Vec<IpAddr> = addresses.to_vec();
        match public.and_then(Url::host) {
            Some(Host::Domain(name)) => params.subject_alt_names.push(SanType::DnsName(name.try_into()?)),
            Some(Host::Ipv4(address)) => names.push(address.into()),
            Some(Host::Ipv6(address)) => names.push(address.into()),
            None => {}
        }
        names.sort_unstable();
        names.dedup();
        params.subject_alt_names.extend(names.into_iter().map(SanType::IpAddress));
        params.distinguished_name = DistinguishedName::new();
        params.distinguished_name.push(DnType::CommonName, "Loomwalk desk");
        params.extended_key_usages = vec![ExtendedKeyUsagePurpose::ServerAuth];
        params.key_usages = vec![KeyUsagePurpose::DigitalSignature];
        params.use_authority_key_identifier_extension = true;
        (params.not_before, params.not_after) = span(HOLDS_DAYS);
        let key = KeyPair::generate_for(&PKCS_ECDSA_P256_SHA256)?;
        let of_authority = authority(&self.key);
        let certificate = params.signed_by(&key, &Issuer::from_params(&of_authority, &self.key))?;
        let secret = PrivateKeyDer::try_from(key.serialize_der()).map_err(|_| rcgen::Error::CouldNotParseKeyPair)?;
        Ok((vec![certificate.der().clone()], secret))
    }
}

/// What the authority says of itself; the same for the same key.
fn authority(key: &KeyPair) -> CertificateParams {
    let mut params = CertificateParams::default();
    let mark = hex(&Sha256::digest(key.public_key_raw())[..3]);
    params.distinguished_name = DistinguishedName::new();
    params.distinguished_name.push(DnType::CommonName, format!("Loomwalk desk authority {mark}"));
    params.is_ca = IsCa::Ca(BasicConstraints::Constrained(0));
    params.key_usages = vec![KeyUsagePurpose::KeyCertSign, KeyUsagePurpose::CrlSign];
    (params.not_before, params.not_after) = span(AUTHORITY_HOLDS_DAYS);
    params
}

/// From yesterday, because phones' clocks differ, for so many days.
fn span(days: i64) -> (time::OffsetDateTime, time::OffsetDateTime) {
    let now = time::OffsetDateTime::now_utc();
    (now - time::Duration::days(1), now + time::Duration::days(days))
}

/// Writes a file that was not there, for this user alone, to the disk.
#[cfg(unix)]
pub(super) fn write_secret(file: &Path, text: &str) -> std::io::Result<()> {
    use std::os::unix::fs::OpenOptionsExt;
    let mut file = fs::OpenOptions::new().write(true).create_new(true).mode(0o600).open(file)?;
    file.write_all(text.as_bytes())?;
    file.sync_all()
}

/// Writes a file that was not there, to the disk.
#[cfg(not(unix))]
pub(super) fn write_secret(file: &Path, text: &str) -> std::io::Result<()> {
    let mut file = fs::OpenOptions::new().write(true).create_new(true).open(file)?;
    file.write_all(text.as_bytes())?;
    file.sync_all()
}
