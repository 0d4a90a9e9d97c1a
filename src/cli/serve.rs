//! `stintbook serve`: the book in a browser.

use std::net::SocketAddr;
use std::path::PathBuf;

use super::context::Context;
use super::failure::{Failure, Status};
use crate::desk::{Access, Commands, Desk, serve};
use crate::report::layout::paragraph;
use crate::report::receipt;

#[derive(Debug, clap::Args)]
#[command(after_help = "Example:\n  stintbook serve\n\n\
    Then open http://127.0.0.1:7717 in a browser on this machine. Ctrl-C ends it. Once somebody \
    has an account (`stintbook access`), everyone signs in, and it may listen elsewhere too, as on \
    0.0.0.0:7717. What is sent in a house's network can be read there, passphrases too, unless \
    --tls-cert and --tls-key name a certificate, or a proxy in front speaks TLS.")]
pub struct Serving {
    /// Where to listen.
    #[arg(long, value_name = "ADDRESS:PORT", default_value = "127.0.0.1:7717")]
    listen: SocketAddr,
    /// A name by which browsers may ask for it, beside its number and `localhost`; may be given
    /// several times.
    #[arg(long, value_name = "NAME")]
    host: Vec<String>,
    /// A proxy in front of it speaks TLS with browsers.
    #[arg(long, conflicts_with = "tls_cert")]
    behind_tls: bool,
    /// The certificate by which it speaks TLS itself, those that vouch for it behind it; read once,
    /// at the start.
    #[arg(long, value_name = "PEM", requires = "tls_key")]
    tls_cert: Option<PathBuf>,
    /// The key of that certificate.
    #[arg(long, value_name = "PEM", requires = "tls_cert")]
    tls_key: Option<PathBuf>,
}

pub fn run(
    context: &Context,
    asked: &Serving,
    commands: Box<dyn Commands>,
) -> Result<Status, Failure> {
    let address = asked.listen;
    let is_alone = || Ok::<bool, Failure>(Access::of(&context.book).accounts()?.is_empty());
    if !address.ip().is_loopback() && is_alone()? {
        return Err(Failure::wrong(format!(
            "`{address}` can be reached from other machines, and nobody would have to sign in; \
             listen on 127.0.0.1, or let somebody in first with `stintbook access add`"
        )));
    }
    if asked.behind_tls && is_alone()? {
        return Err(Failure::wrong(
            "a proxy passes on whoever comes, and nobody would have to sign in; let somebody in \
             first with `stintbook access add`",
        ));
    }
    context.open_to_read()?;
    context.catalogue()?;
    // From now on it is kept open, and the files beside it are not made and deleted at each request.
    commands.rests();
    let ready = |address: String| {
        // Whoever closed the terminal is still served.
        let _ = context.print(&paragraph(&receipt::serving(&address), context.width, ""));
    };
    let mut desk = Desk::new(commands, address).named(&asked.host);
    if asked.behind_tls {
        desk = desk.behind_tls();
    }
    if let Some((certificate, key)) = asked.tls_cert.as_ref().zip(asked.tls_key.as_ref()) {
        desk =
            desk.with_tls(certificate, key).map_err(|unfit| Failure::wrong(unfit.to_string()))?;
    }
    serve(desk, address, ready).map_err(|error| {
        Failure::Storage(format!(
            "could not listen on {address}: {error}; name another port with --listen"
        ))
    })?;
    Ok(Status::Done)
}
