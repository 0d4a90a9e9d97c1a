//! What a build without the feature `tls` says of certificates.

use std::io;
use std::path::Path;

use tokio::net::TcpStream;

use super::certificate::Uncertified;

/// There is none.
#[derive(Clone, Debug)]
pub enum Tls {}

impl Tls {
    /// # Errors
    /// Always: how to come by what can.
    pub fn of(_: &Path, _: &Path) -> Result<Self, Uncertified> {
        Err(Uncertified::Unbuilt)
    }

    /// Never: there is none to greet anyone.
    ///
    /// # Errors
    /// None.
    pub async fn greet(&self, _: TcpStream) -> io::Result<TcpStream> {
        match *self {}
    }
}
