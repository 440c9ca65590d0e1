//! `loomwalk access`: who may come in to the desks of a store, without going through one of them.

use std::io::{BufRead, IsTerminal};
use std::process::ExitCode;

use crate::cli::circuit::say;
use crate::cli::data;
use crate::desk::access::audit::{self, Deed};
use crate::desk::access::{Access, PasswordError, Purpose};
use crate::desk::store::{Place, Store, StoreError};

/// Arguments of `loomwalk access`.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The store: file:///…, s3://… [default: loomwalk in the user's data folder]
    #[arg(long, value_name = "URL", global = true)]
    store: Option<Place>,
    #[command(subcommand)]
    what: What,
}

#[derive(Debug, clap::Subcommand)]
enum What {
    /// A code to pair a phone with
    Code {
        /// To choose the service writer's password instead
        #[arg(long)]
        begin: bool,
    },
    /// A token for a program that sends here
    Token {
        /// How it is to be called in the list
        #[arg(long)]
        name: String,
    },
    /// Who is paired
    Phones,
    /// Shuts a phone out
    Revoke {
        /// The beginning of its id, as `phones` shows it
        id: String,
    },
    /// Chooses the service writer's password, read from the standard input; who is signed in has to sign in again
    Password,
}

/// Why it was not done.
#[derive(Debug, thiserror::Error)]
enum AccessError {
    #[error(transparent)]
    Store(#[from] StoreError),
    #[error("{0}")]
    Usage(String),
    #[error("the password was not changed: {0}")]
    Password(#[from] PasswordError),
    #[error("the standard input cannot be read: {0}")]
    Input(#[from] std::io::Error),
    #[error("{0}")]
    Output(String),
    #[error("{0} phones have an id that begins so; write more of it")]
    NotOne(usize),
}

/// Runs it.
pub fn run(args: &Args) -> ExitCode {
    data::block_on("loomwalk access", answer(args))
}

async fn answer(args: &Args) -> Result<(), AccessError> {
    let place = data::store(args.store.as_ref()).map_err(AccessError::Usage)?;
    let store = Store::find(&place).await?;
    // Beside the answer, which programs read: a shop may have several.
    eprintln!("Store: {place}");
    let access = Access::of(store.clone());
    let say = |text: String| say(&text).map_err(AccessError::Output);
    let note = async |deed| audit::note(&store, "command line", deed).await;
    match &args.what {
        What::Code { begin: false } => {
            let code = access.make_code(Purpose::Pair).await?;
            note(Deed::CodeShown).await;
            say(format!("Code to pair a phone, good for ten minutes and once: {code}\n"))?;
        }
        What::Code { begin: true } => {
            let code = access.make_code(Purpose::Begin).await?;
            note(Deed::CodeShown).await;
            say(format!("Code to choose the password, good for a day and once: {code}\n"))?;
        }
        What::Token { name } => {
            let (token, phone) = access.pair(name).await?;
            note(Deed::Paired { phone: phone.name }).await;
            say(format!("{token}\n"))?;
        }
        What::Phones => {
            for phone in access.phones().await? {
                let seen =
                    phone.seen_at.map_or_else(|| "never".to_owned(), |at| at.format("%Y-%m-%d %H:%M").to_string());
                let out = if phone.revoked { "  shut out" } else { "" };
                let id = phone.id.get(..12).unwrap_or(&phone.id);
                say(format!("{id}  {}  last here {seen} UTC{out}\n", phone.name))?;
            }
        }
        What::Revoke { id } => {
            let phones = access.phones().await?;
            let meant: Vec<_> = phones.iter().filter(|phone| !phone.revoked && phone.id.starts_with(id)).collect();
            let [phone] = meant.as_slice() else { return Err(AccessError::NotOne(meant.len())) };
            access.revoke(&phone.id).await?;
            note(Deed::Revoked { phone: phone.name.clone() }).await;
            say(format!("{} is shut out; desks that are running notice it within ten seconds\n", phone.name))?;
        }
        What::Password => {
            if std::io::stdin().is_terminal() {
                eprintln!("Type the new password and press Enter; it is shown as you type.");
            }
            let mut password = String::new();
            std::io::stdin().lock().read_line(&mut password)?;
            let password = password.trim_end_matches(['\r', '\n']);
            access.set_password(password, password).await??;
            note(Deed::PasswordSet).await;
            say("The password was changed.\n".to_owned())?;
        }
    }
    Ok(())
}
