//! `stintbook serve`: the book in a browser.

use std::net::SocketAddr;

use super::context::Context;
use super::failure::{Failure, Status};
use crate::desk::{Access, Commands, Desk, serve};
use crate::report::layout::paragraph;
use crate::report::receipt;

#[derive(Debug, clap::Args)]
#[command(after_help = "Example:\n  stintbook serve\n\n\
    Then open http://127.0.0.1:7717 in a browser on this machine. Ctrl-C ends it. Once somebody \
    has an account (`stintbook access`), everyone signs in, and it may listen elsewhere too, as on \
    0.0.0.0:7717. What is sent in a house's network can be read there, passphrases too, unless a \
    proxy in front speaks TLS.")]
pub struct Serving {
    /// Where to listen.
    #[arg(long, value_name = "ADDRESS:PORT", default_value = "127.0.0.1:7717")]
    listen: SocketAddr,
    /// A name by which browsers may ask for it, beside its number and `localhost`; may be given
    /// several times.
    #[arg(long, value_name = "NAME")]
    host: Vec<String>,
    /// A proxy in front of it speaks TLS with browsers.
    #[arg(long)]
    behind_tls: bool,
}

pub fn run(
    context: &Context,
    asked: &Serving,
    commands: Box<dyn Commands>,
) -> Result<Status, Failure> {
    let address = asked.listen;
    if !address.ip().is_loopback() && Access::of(&context.book).accounts()?.is_empty() {
        return Err(Failure::wrong(format!(
            "`{address}` can be reached from other machines, and nobody would have to sign in; \
             listen on 127.0.0.1, or let somebody in first with `stintbook access add`"
        )));
    }
    // Kept open, so that the files beside the book are not made and deleted at each request.
    let _open = context.open_to_read()?;
    context.catalogue()?;
    let ready = |address: SocketAddr| {
        // Whoever closed the terminal is still served.
        let _ = context.print(&paragraph(&receipt::serving(&address), context.width, ""));
    };
    let desk = Desk::new(commands, address).named(&asked.host);
    let desk = desk.behind_tls(asked.behind_tls);
    serve(desk, address, ready).map_err(|error| {
        Failure::Storage(format!(
            "could not listen on {address}: {error}; name another port with --listen"
        ))
    })?;
    Ok(Status::Done)
}
