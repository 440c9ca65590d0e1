//! How does a desk with a public name come by a certificate that every phone knows, and how does it stay good?
//!
//! An authority gives it by ACME (RFC 8555) for proof that the name leads here: it opens a TLS connection to port 443 of
//! the name and looks for an answer that only this desk can give (tls-alpn-01, RFC 8737). So no other port and no other
//! program is needed. `order` is one such order, `served` what is shown to whom, `kept` what stays on the disk.

mod kept;
mod order;
mod served;

use std::path::{Path, PathBuf};
use std::str::FromStr;
use std::sync::Arc;
use std::time::Duration;

use chrono::{DateTime, TimeDelta, Utc};
use instant_acme::LetsEncrypt;
use rustls::ServerConfig;
use rustls::crypto::aws_lc_rs;
use rustls::pki_types::pem::PemObject;
use rustls::pki_types::{CertificateDer, DnsName};
use url::{Host, Url};

use self::kept::Folder;
use self::order::OrderError;
use self::served::Served;
use super::store::now;
use super::tls::TlsError;

/// The longest sleep: the wall clock is read again after it, because a machine may have been suspended, or its clock set.
const HOUR: Duration = Duration::from_secs(60 * 60);
/// How long one order may take, in which an authority may ask from several places.
const ORDER: Duration = Duration::from_secs(5 * 60);
/// The pause after the first try that failed; it doubles up to an hour. So there are five tries in the first hour, as many
/// as Let's Encrypt takes (<https://letsencrypt.org/docs/rate-limits/>, authorization failures per identifier per account).
const PAUSE: Duration = Duration::from_secs(2 * 60);

/// A name under which the whole internet finds this desk, such as `desk.example.org`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Name(String);

impl Name {
    /// In lower case, as DNS has it.
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

/// Not such a name.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error(
    "this is not a name for which a certificate can be had; write one full name such as desk.example.org, no address, no port, \
     no star"
)]
pub struct NotAName;

impl FromStr for Name {
    type Err = NotAName;
    fn from_str(text: &str) -> Result<Self, NotAName> {
        match Host::parse(text.trim_end_matches('.')) {
            Ok(Host::Domain(name)) if DnsName::try_from(name.as_str()).is_ok() => Ok(Self(name)),
            _ => Err(NotAName),
        }
    }
}

/// Where the authority may write to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Contact(String);

/// Not an address for mail.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("this is not an address for mail; write it as mailto:you@example.org")]
pub struct NotAContact;

impl FromStr for Contact {
    type Err = NotAContact;
    fn from_str(text: &str) -> Result<Self, NotAContact> {
        let url = Url::parse(text).map_err(|_| NotAContact)?;
        let (who, place) = url.path().split_once('@').ok_or(NotAContact)?;
        let good = url.scheme() == "mailto" && !who.is_empty() && !place.is_empty() && url.query().is_none();
        if good { Ok(Self(text.to_owned())) } else { Err(NotAContact) }
    }
}

/// What is asked of which authority.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Acme {
    /// For what.
    pub name: Name,
    /// Where the authority may write to, if it may.
    pub contact: Option<Contact>,
    /// The authority's directory, where it is not Let's Encrypt's.
    pub directory: Option<Url>,
    /// The certificate by which the directory itself is known, PEM, where it is none that this machine knows anyway.
    pub root: Option<PathBuf>,
    /// Where account and certificate are kept.
    pub folder: PathBuf,
}

impl Acme {
    fn directory(&self) -> &str {
        self.directory.as_ref().map_or(LetsEncrypt::Production.url(), Url::as_str)
    }

    /// The address at which phones reach the desk: the authority has to reach it at the same port.
    pub fn public(&self) -> Option<Url> {
        Url::parse(&format!("https://{}/", self.name.as_str())).ok()
    }

    /// What the server needs, and what keeps it good; with the certificate that is kept, if one is.
    ///
    /// # Errors
    /// Where the folder cannot be read, or the directory's own certificate.
    pub(super) fn begin(self) -> Result<(Arc<ServerConfig>, Keeper), TlsError> {
        if let Some(root) = &self.root {
            let told = |error| TlsError::File { file: root.clone(), why: format!("{error}; a PEM file is needed") };
            CertificateDer::from_pem_file(root).map_err(told)?;
        }
        let provider = Arc::new(aws_lc_rs::default_provider());
        let served = Arc::new(Served::new(self.name.clone()));
        let builder = ServerConfig::builder_with_provider(provider);
        let builder = builder.with_safe_default_protocol_versions().map_err(TlsError::Unfit)?;
        let mut config = builder.with_no_client_auth().with_cert_resolver(served.clone());
        // The server's preference decides: whoever offers both gets the desk.
        config.alpn_protocols = vec![b"http/1.1".to_vec(), served::CHALLENGE.to_vec()];
        let folder = Folder::new(&self.folder);
        let good = match folder.certificate(self.directory(), &self.name)? {
            Some(kept) => match served.show(&kept) {
                Ok(good) => Some(good),
                Err(error) => {
                    eprintln!("desk: the certificate that was kept cannot be used, another is ordered: {error}");
                    None
                }
            },
            None => None,
        };
        Ok((Arc::new(config), Keeper { acme: self, folder, served, good }))
    }
}

/// From when until when a certificate is good.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Good {
    from: DateTime<Utc>,
    until: DateTime<Utc>,
}

impl Good {
    /// When the next one is to be ordered: after two thirds, as Let's Encrypt advises
    /// (<https://letsencrypt.org/docs/integration-guide/>).
    fn due(self) -> DateTime<Utc> {
        self.from + (self.until - self.from) * 2 / 3
    }
}

/// Keeps a certificate good, as long as it is let run.
#[derive(Debug)]
pub struct Keeper {
    acme: Acme,
    folder: Folder,
    served: Arc<Served>,
    good: Option<Good>,
}

impl Keeper {
    /// How things stand, for the terminal.
    pub fn told(&self) -> String {
        let (name, at) = (self.acme.name.as_str(), self.acme.directory());
        match self.good {
            Some(good) => {
                format!("Its certificate for {name} is good until {}, and renewed by itself from {at}", day(good.until))
            }
            None => format!(
                "Its certificate for {name} is being ordered from {at}, which will look at port 443 of {name}: that has to \
                 lead here"
            ),
        }
    }

    /// Orders when it is time to, for ever. What goes wrong is said, and tried again.
    pub async fn keep(mut self) {
        let mut failed = 0;
        loop {
            let until = self.good.map_or(TimeDelta::zero(), |good| good.due() - now());
            if let Ok(until) = until.to_std()
                && !until.is_zero()
            {
                tokio::time::sleep(until.min(HOUR)).await;
                continue;
            }
            let name = self.acme.name.clone();
            match self.renew().await {
                Ok(good) => {
                    failed = 0;
                    eprintln!("desk: a new certificate for {}, good until {}", name.as_str(), day(good.until));
                }
                Err(error) => {
                    let wait = pause(failed);
                    failed += 1;
                    let minutes = wait.as_secs() / 60;
                    eprintln!("desk: no certificate for {}: {error}; tried again in {minutes} minutes", name.as_str());
                    tokio::time::sleep(wait).await;
                }
            }
        }
    }

    async fn renew(&mut self) -> Result<Good, OrderError> {
        let ordered = tokio::time::timeout(ORDER, order::order(&self.acme, &self.folder, &self.served)).await;
        self.served.answer(None);
        let fresh = ordered.map_err(|_| OrderError::TooLong(ORDER.as_secs() / 60))??;
        let good = self.served.show(&fresh)?;
        // Shown already: that it cannot be kept costs an order at the next start, and nothing before.
        if let Err(error) = self.folder.keep_certificate(self.acme.directory(), &self.acme.name, fresh) {
            eprintln!("desk: {error}; the next start has to order a certificate again");
        }
        self.good = Some(good);
        // Else a clock that is wrong would order without end.
        if good.due() <= now() { Err(OrderError::Clock(good.from, good.until)) } else { Ok(good) }
    }
}

fn pause(failed: u32) -> Duration {
    (PAUSE * 2_u32.saturating_pow(failed.min(10))).min(HOUR)
}

fn day(at: DateTime<Utc>) -> String {
    at.format("%Y-%m-%d %H:%M UTC").to_string()
}

/// What could not be done with a file, as the other ways of TLS say it.
fn file_error(file: &Path, why: impl std::fmt::Display) -> TlsError {
    TlsError::File { file: file.to_owned(), why: why.to_string() }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_is_one_full_name() {
        assert_eq!("Desk.Example.org.".parse(), Ok(Name("desk.example.org".to_owned())));
        assert_eq!("werkstatt-müller.de".parse(), Ok(Name("xn--werkstatt-mller-9vb.de".to_owned())));
        for wrong in
            ["", "192.168.1.5", "[::1]", "*.example.org", "desk.example.org:443", "https://desk.example.org", "a b"]
        {
            assert_eq!(wrong.parse::<Name>(), Err(NotAName), "{wrong}");
        }
    }

    #[test]
    fn a_contact_is_an_address_for_mail() {
        assert!("mailto:shop@example.org".parse::<Contact>().is_ok());
        for wrong in ["shop@example.org", "mailto:shop", "mailto:@example.org", "tel:+1", "mailto:a@b?subject=x"] {
            assert_eq!(wrong.parse::<Contact>(), Err(NotAContact), "{wrong}");
        }
    }

    #[test]
    fn it_is_renewed_when_a_third_is_left() {
        let from = DateTime::UNIX_EPOCH;
        let good = Good { from, until: from + TimeDelta::days(90) };
        assert_eq!(good.due(), from + TimeDelta::days(60));
    }

    #[test]
    fn the_pauses_leave_five_tries_in_the_first_hour_and_then_one() {
        let mut at = Duration::ZERO;
        let mut tries = Vec::new();
        for failed in 0..12 {
            tries.push(at);
            at += pause(failed);
        }
        assert_eq!(tries.iter().filter(|at| **at < HOUR).count(), 5);
        assert_eq!(pause(u32::MAX), HOUR);
    }
}
