//! `loomwalk desk`: where to listen and what to keep, and nothing else.

use std::net::IpAddr;
use std::path::PathBuf;
use std::process::ExitCode;

use url::Url;

use crate::cli::data;
use crate::desk::acme::{Acme, Contact, Name};
use crate::desk::serve::{self, Listen, Settings};
use crate::desk::store::Place;
use crate::desk::tls::Tls;

/// Arguments of `loomwalk desk`.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// Address and port to answer at; port 0 takes a free one, 0.0.0.0 answers the whole network
    #[arg(long, value_name = "ADDRESS", default_value = "127.0.0.1:8080")]
    listen: Listen,
    /// What keeps the jobs and their photos: file:///…, s3://…, gs://…, az://… [default: loomwalk in the user's data folder]
    #[arg(long, value_name = "URL")]
    store: Option<Place>,
    /// Folder with the built app; without it the one inside this program, if there is one
    #[arg(long, value_name = "DIR")]
    app: Option<PathBuf>,
    /// The address that phones use, where it is another than the one that is listened on
    #[arg(long, value_name = "URL", value_parser = public)]
    public_url: Option<Url>,
    /// The address of a program before the desk that is believed when it says for whom it asks (X-Forwarded-For); several are
    /// given one by one
    #[arg(long, value_name = "ADDRESS")]
    trusted_proxy: Vec<IpAddr>,
    /// How to speak TLS [default: own in a network, off on this machine alone]
    #[arg(long, value_enum)]
    tls: Option<Way>,
    /// With --tls files: the certificate and what leads to its authority, PEM
    #[arg(long, value_name = "FILE", requires = "tls_key")]
    tls_cert: Option<PathBuf>,
    /// With --tls files: the key, PEM
    #[arg(long, value_name = "FILE", requires = "tls_cert")]
    tls_key: Option<PathBuf>,
    /// With --tls acme: the desk's public name, whose port 443 leads here
    #[arg(long, value_name = "NAME")]
    acme_name: Option<Name>,
    /// With --tls acme: where the authority may write to, mailto:…
    #[arg(long, value_name = "MAIL", requires = "acme_name")]
    acme_contact: Option<Contact>,
    /// With --tls acme: the authority's directory [default: that of Let's Encrypt]
    #[arg(long, value_name = "URL", requires = "acme_name", value_parser = directory)]
    acme_directory: Option<Url>,
    /// With --acme-directory: the certificate by which the directory is known, PEM, where it is a company's own
    #[arg(long, value_name = "FILE", requires = "acme_directory")]
    acme_root: Option<PathBuf>,
}

/// How to speak TLS.
#[derive(Debug, Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
enum Way {
    /// Not at all: on this machine alone, or behind a program that does
    Off,
    /// By a certificate authority that the desk makes for itself
    Own,
    /// By files that someone else made
    Files,
    /// By a certificate for a public name from an authority that all phones know, whose terms are agreed to by this
    Acme,
}

fn public(text: &str) -> Result<Url, String> {
    let url = Url::parse(text).map_err(|error| error.to_string())?;
    let plain = matches!(url.scheme(), "http" | "https") && url.host().is_some() && url.path() == "/";
    if plain { Ok(url) } else { Err("write it as https://name:port/ and nothing behind".to_owned()) }
}

fn directory(text: &str) -> Result<Url, String> {
    let url = Url::parse(text).map_err(|error| error.to_string())?;
    let good = url.scheme() == "https" && url.host().is_some();
    if good { Ok(url) } else { Err("a directory is asked over https only (RFC 8555 §6.1)".to_owned()) }
}

/// The folder with the desk's keys and certificates.
fn tls_folder() -> Result<PathBuf, String> {
    let folder =
        data::folder().ok_or("the user's data folder is not known; use --tls files, or name it in XDG_DATA_HOME")?;
    Ok(folder.join("tls"))
}

fn acme(args: &Args, name: &Name) -> Result<Acme, String> {
    let named = args.public_url.as_ref().and_then(Url::host_str);
    if let Some(other) = named.filter(|named| *named != name.as_str()) {
        return Err(format!(
            "--public-url sends phones to {other}, and the certificate would be for {}; name the same in both",
            name.as_str()
        ));
    }
    Ok(Acme {
        name: name.clone(),
        contact: args.acme_contact.clone(),
        directory: args.acme_directory.clone(),
        root: args.acme_root.clone(),
        folder: tls_folder()?,
    })
}

/// How to speak TLS: as was said, or as the other options say, or by where it listens. What does not go together is refused.
fn tls(args: &Args) -> Result<Option<Tls>, String> {
    let files = args.tls_cert.as_ref().zip(args.tls_key.as_ref());
    let why = match (args.tls, files, &args.acme_name) {
        (None | Some(Way::Files), Some((certificates, key)), None) => {
            return Ok(Some(Tls::Files { certificates: certificates.clone(), key: key.clone() }));
        }
        (None | Some(Way::Acme), None, Some(name)) => return Ok(Some(Tls::Acme(acme(args, name)?))),
        (Some(Way::Off), None, None) => return Ok(None),
        (None, None, None) if args.listen.0.ip().is_loopback() => return Ok(None),
        (None | Some(Way::Own), None, None) => return Ok(Some(Tls::Own(tls_folder()?))),
        (_, Some(_), Some(_)) => "--tls-cert and --acme-name are two ways to a certificate; leave out one of them",
        (Some(_), Some(_), None) => {
            "--tls-cert and --tls-key go with --tls files only; leave them out, or say --tls files"
        }
        (Some(_), None, Some(_)) => "--acme-name goes with --tls acme only; leave it out, or say --tls acme",
        (Some(Way::Files), None, None) => "--tls files needs --tls-cert and --tls-key",
        (Some(Way::Acme), None, None) => {
            "--tls acme needs --acme-name: a certificate is for a public name, such as desk.example.org"
        }
    };
    Err(why.to_owned())
}

fn settings(args: &Args) -> Result<Settings, String> {
    Ok(Settings {
        listen: args.listen,
        store: data::store(args.store.as_ref())?,
        app: args.app.clone(),
        public: args.public_url.clone(),
        tls: tls(args)?,
        proxies: args.trusted_proxy.clone(),
    })
}

/// Runs it.
pub fn run(args: &Args) -> ExitCode {
    let settings = match settings(args) {
        Ok(settings) => settings,
        Err(why) => {
            eprintln!("loomwalk desk: {why}");
            return ExitCode::from(2);
        }
    };
    data::block_on("loomwalk desk", serve::run(settings))
}
