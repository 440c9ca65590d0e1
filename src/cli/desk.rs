//! `loomwalk desk`: where to listen and what to keep, and nothing else.

use std::path::PathBuf;
use std::process::ExitCode;

use url::Url;

use crate::cli::data;
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
    /// How to speak TLS [default: own in a network, off on this machine alone]
    #[arg(long, value_enum)]
    tls: Option<Way>,
    /// With --tls files: the certificate and what leads to its authority, PEM
    #[arg(long, value_name = "FILE", requires = "tls_key")]
    tls_cert: Option<PathBuf>,
    /// With --tls files: the key, PEM
    #[arg(long, value_name = "FILE", requires = "tls_cert")]
    tls_key: Option<PathBuf>,
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
}

fn public(text: &str) -> Result<Url, String> {
    let url = Url::parse(text).map_err(|error| error.to_string())?;
    let plain = matches!(url.scheme(), "http" | "https") && url.host().is_some() && url.path() == "/";
    if plain { Ok(url) } else { Err("write it as https://name:port/ and nothing behind".to_owned()) }
}

fn settings(args: &Args) -> Result<Settings, String> {
    let Listen(address) = args.listen;
    let way = args.tls.unwrap_or(match &args.tls_cert {
        Some(_) => Way::Files,
        None if address.ip().is_loopback() => Way::Off,
        None => Way::Own,
    });
    let tls = match (way, &args.tls_cert, &args.tls_key) {
        (Way::Off, ..) => None,
        (Way::Own, ..) => {
            let folder = data::folder().ok_or("the user's data folder is not known; use --tls files")?;
            Some(Tls::Own(folder.join("tls")))
        }
        (Way::Files, Some(certificates), Some(key)) => {
            Some(Tls::Files { certificates: certificates.clone(), key: key.clone() })
        }
        (Way::Files, ..) => return Err("--tls files needs --tls-cert and --tls-key".to_owned()),
    };
    Ok(Settings {
        listen: args.listen,
        store: data::store(args.store.as_ref())?,
        app: args.app.clone(),
        public: args.public_url.clone(),
        tls,
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
