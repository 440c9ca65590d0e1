//! Which certificate does a connection get to see?

use std::sync::{Arc, PoisonError, RwLock};

use chrono::DateTime;
use rustls::crypto::aws_lc_rs;
use rustls::pki_types::pem::PemObject;
use rustls::pki_types::{CertificateDer, PrivateKeyDer};
use rustls::server::{ClientHello, ResolvesServerCert};
use rustls::sign::CertifiedKey;
use x509_parser::parse_x509_certificate;

use super::kept::Certificate;
use super::{Good, Name};

/// The protocol by which an authority asks (RFC 8737 §6.2).
pub(super) const CHALLENGE: &[u8] = b"acme-tls/1";

/// Why a certificate cannot be shown.
#[derive(Debug, thiserror::Error)]
pub(super) enum Unusable {
    /// Not PEM.
    #[error("not PEM: {0}")]
    Pem(#[from] rustls::pki_types::pem::Error),
    /// None.
    #[error("there is no certificate in it")]
    Empty,
    /// Certificate and key do not fit.
    #[error("certificate and key do not fit: {0}")]
    Unfit(#[from] rustls::Error),
    /// Not a certificate.
    #[error("it cannot be read: {0}")]
    Unreadable(String),
}

/// What is shown: the certificate to everyone, and while an order is under way the answer to whoever checks it.
#[derive(Debug)]
pub(super) struct Served {
    name: Name,
    shown: RwLock<Shown>,
}

#[derive(Debug, Default)]
struct Shown {
    certificate: Option<Arc<CertifiedKey>>,
    answer: Option<Arc<CertifiedKey>>,
}

impl Served {
    /// Nothing yet: no connection comes about.
    pub(super) fn new(name: Name) -> Self {
        Self { name, shown: RwLock::default() }
    }

    /// Shows a certificate from now on; returns how long it is good.
    pub(super) fn show(&self, kept: &Certificate) -> Result<Good, Unusable> {
        let chain = CertificateDer::pem_slice_iter(kept.chain.as_bytes()).collect::<Result<Vec<_>, _>>()?;
        let good = good(chain.first().ok_or(Unusable::Empty)?)?;
        let key = PrivateKeyDer::from_pem_slice(kept.key.as_bytes())?;
        let key = CertifiedKey::from_der(chain, key, &aws_lc_rs::default_provider())?;
        self.shown.write().unwrap_or_else(PoisonError::into_inner).certificate = Some(Arc::new(key));
        Ok(good)
    }

    /// The answer for the authority; none when it has asked.
    pub(super) fn answer(&self, answer: Option<CertifiedKey>) {
        self.shown.write().unwrap_or_else(PoisonError::into_inner).answer = answer.map(Arc::new);
    }
}

impl ResolvesServerCert for Served {
    fn resolve(&self, hello: ClientHello<'_>) -> Option<Arc<CertifiedKey>> {
        let shown = self.shown.read().unwrap_or_else(PoisonError::into_inner);
        // An authority offers that protocol and no other (RFC 8737 §3).
        let asks = hello.alpn().is_some_and(|offered| offered.eq([CHALLENGE]));
        if !asks {
            return shown.certificate.clone();
        }
        let ours = hello.server_name().is_some_and(|asked| asked.eq_ignore_ascii_case(self.name.as_str()));
        shown.answer.clone().filter(|_| ours)
    }
}

fn good(certificate: &[u8]) -> Result<Good, Unusable> {
    let (_, read) = parse_x509_certificate(certificate).map_err(|error| Unusable::Unreadable(error.to_string()))?;
    let validity = read.validity();
    let at = |time: x509_parser::time::ASN1Time| {
        DateTime::from_timestamp(time.timestamp(), 0)
            .ok_or_else(|| Unusable::Unreadable("its time is out of range".to_owned()))
    };
    Ok(Good { from: at(validity.not_before)?, until: at(validity.not_after)? })
}
