//! How is one certificate ordered?

use std::time::Duration;

use chrono::{DateTime, Utc};
use instant_acme::{
    Account, AuthorizationStatus, ChallengeType, Error, Identifier, NewAccount, NewOrder, Order, OrderStatus, Problem,
    RetryPolicy,
};
use rcgen::{CertificateParams, CustomExtension, DistinguishedName, KeyPair, PKCS_ECDSA_P256_SHA256};
use rustls::crypto::aws_lc_rs;
use rustls::pki_types::PrivateKeyDer;
use rustls::sign::CertifiedKey;

use super::kept::{Certificate, Folder};
use super::served::{Served, Unusable};
use super::{Acme, Contact, Name, day};
use crate::desk::tls::TlsError;

/// How long an authority may take to look, and how long to write the certificate.
const LOOKS: RetryPolicy = RetryPolicy::new().timeout(Duration::from_secs(2 * 60));
/// The authority does not know the account any more (RFC 8555 §6.7).
const NO_ACCOUNT: &str = "urn:ietf:params:acme:error:accountDoesNotExist";

/// Why no certificate came.
#[derive(Debug, thiserror::Error)]
pub(super) enum OrderError {
    /// The network, or the authority's own word.
    #[error("{}", with_causes(.0))]
    Acme(#[from] Error),
    /// The authority has looked, and not found this desk.
    #[error(
        "the authority looked for this desk at port 443 of the name, and did not find it: {0}; lead that port here"
    )]
    NotFound(Problem),
    /// It offers other ways of proof only.
    #[error("the authority does not offer tls-alpn-01, the proof that this desk can give; it needs another directory")]
    NoSuchProof,
    /// The order came to nothing.
    #[error("the authority has put the order down as {0:?} and does not say why")]
    Ended(OrderStatus),
    /// No end.
    #[error("it has taken more than {0} minutes")]
    TooLong(u64),
    /// It is no longer good, or not yet.
    #[error(
        "what came is good from {} to {}, which does not fit the clock of this machine; set the clock",
        day(*.0), day(*.1)
    )]
    Clock(DateTime<Utc>, DateTime<Utc>),
    /// It cannot be shown.
    #[error("what came cannot be used: {0}")]
    Unusable(#[from] Unusable),
    /// The answer to the authority could not be made.
    #[error("the answer to the authority could not be made: {0}")]
    Answer(String),
    /// The account's file.
    #[error(transparent)]
    File(#[from] TlsError),
}

/// Orders a certificate. The authority is answered through `served` while this runs.
///
/// # Errors
/// Why none came.
pub(super) async fn order(acme: &Acme, folder: &Folder, served: &Served) -> Result<Certificate, OrderError> {
    let mut order = match begin(acme, folder, true).await {
        // An authority that was set up anew has forgotten all accounts.
        Err(OrderError::Acme(Error::Api(problem))) if problem.r#type.as_deref() == Some(NO_ACCOUNT) => {
            begin(acme, folder, false).await?
        }
        begun => begun?,
    };
    let mut asked = order.authorizations();
    while let Some(found) = asked.next().await {
        let mut found = found?;
        if found.status == AuthorizationStatus::Valid {
            continue;
        }
        let mut challenge = found.challenge(ChallengeType::TlsAlpn01).ok_or(OrderError::NoSuchProof)?;
        served.answer(Some(answer(&acme.name, challenge.key_authorization().digest().as_ref())?));
        challenge.set_ready().await?;
    }
    match order.poll_ready(&LOOKS).await {
        Ok(OrderStatus::Ready) => {}
        Ok(other) => return Err(why(&mut order).await.map_or(OrderError::Ended(other), OrderError::NotFound)),
        Err(error) => return Err(why(&mut order).await.map_or(OrderError::Acme(error), OrderError::NotFound)),
    }
    let key = order.finalize().await?;
    let chain = order.poll_certificate(&LOOKS).await?;
    Ok(Certificate { chain, key })
}

/// An order by the account that is kept, or by one that is made now and kept.
async fn begin(acme: &Acme, folder: &Folder, kept: bool) -> Result<Order, OrderError> {
    // Whoever makes a TLS client without naming its cryptography, as the ACME client does, gets this; that it is set
    // already is as well.
    let _ = aws_lc_rs::default_provider().install_default();
    let builder = || match &acme.root {
        Some(root) => Account::builder_with_root(root),
        None => Account::builder(),
    };
    let (directory, contact) = (acme.directory(), acme.contact.as_ref());
    let known = if kept { folder.account(directory, contact)? } else { None };
    let contacts: Vec<&str> = contact.iter().map(|Contact(mail)| mail.as_str()).collect();
    let account = match known {
        Some((credentials, told)) => {
            let account = builder()?.from_credentials(credentials).await?;
            if !told {
                account.update_contacts(&contacts).await?;
                if let Some((credentials, _)) = folder.account(directory, contact)? {
                    folder.keep_account(directory, contact, credentials)?;
                }
            }
            account
        }
        None => {
            let new = NewAccount { contact: &contacts, terms_of_service_agreed: true, only_return_existing: false };
            let (account, credentials) = builder()?.create(&new, directory.to_owned(), None).await?;
            folder.keep_account(directory, contact, credentials)?;
            account
        }
    };
    Ok(account.new_order(&NewOrder::new(&[Identifier::Dns(acme.name.as_str().to_owned())])).await?)
}

/// An error with what is behind it: of a connection that fails the outermost says only that it does.
fn with_causes(error: &dyn std::error::Error) -> String {
    let causes = std::iter::successors(Some(error), |error| error.source()).map(ToString::to_string);
    let mut said: Vec<String> = causes.collect();
    said.dedup();
    said.join(": ")
}

/// What the authority says of its look at the name.
async fn why(order: &mut Order) -> Option<Problem> {
    let mut asked = order.authorizations();
    while let Some(found) = asked.next().await {
        let mut found = found.ok()?;
        let state = found.refresh().await.ok()?;
        if let Some(problem) = state.challenges.iter().find_map(|challenge| challenge.error.clone()) {
            return Some(problem);
        }
    }
    None
}

/// The certificate that answers: for this name, with the digest in it, signed by itself (RFC 8737 §3).
fn answer(name: &Name, digest: &[u8]) -> Result<CertifiedKey, OrderError> {
    let wrong = |error: rcgen::Error| OrderError::Answer(error.to_string());
    // `new_acme_identifier` takes nothing else.
    if digest.len() != 32 {
        return Err(OrderError::Answer("the digest is not of SHA-256".to_owned()));
    }
    let mut params = CertificateParams::new([name.as_str().to_owned()]).map_err(wrong)?;
    params.distinguished_name = DistinguishedName::new();
    params.custom_extensions = vec![CustomExtension::new_acme_identifier(digest)];
    let key = KeyPair::generate_for(&PKCS_ECDSA_P256_SHA256).map_err(wrong)?;
    let certificate = params.self_signed(&key).map_err(wrong)?.der().clone();
    let key = PrivateKeyDer::try_from(key.serialize_der()).map_err(|error| OrderError::Answer(error.to_owned()))?;
    let key = aws_lc_rs::sign::any_ecdsa_type(&key).map_err(|error| OrderError::Answer(error.to_string()))?;
    // Not `from_der`: that reads the certificate, and does not know the extension, which has to be critical.
    Ok(CertifiedKey::new(vec![certificate], key))
}
