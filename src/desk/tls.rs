//! What is sent between a browser and the desk, hidden from whoever is in between.

use std::io;
use std::path::Path;
use std::sync::Arc;

use tokio::net::TcpStream;
use tokio_rustls::TlsAcceptor;
use tokio_rustls::rustls::ServerConfig;
use tokio_rustls::rustls::crypto::ring::default_provider;
use tokio_rustls::rustls::pki_types::pem::{Error as PemError, PemObject};
use tokio_rustls::rustls::pki_types::{CertificateDer, PrivateKeyDer};
use tokio_rustls::server::TlsStream;

use super::certificate::Uncertified;

/// The desk's own certificate, as it was when the desk was started.
#[derive(Clone)]
pub struct Tls(TlsAcceptor);

impl std::fmt::Debug for Tls {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        out.debug_struct("Tls").finish_non_exhaustive()
    }
}

impl Tls {
    /// Of two PEM files: a certificate with those that vouch for it behind it, and its key.
    ///
    /// # Errors
    /// A file that cannot be read or has none; a key of another certificate.
    pub fn of(certificate: &Path, key: &Path) -> Result<Self, Uncertified> {
        let unread = |file: &Path, what, error: PemError| match error {
            PemError::Io(cause) => Uncertified::Unread(file.to_owned(), cause),
            PemError::NoItemsFound => Uncertified::Lacking(file.to_owned(), what),
            other => Uncertified::Malformed(file.to_owned(), other.to_string()),
        };
        let is_of = |error| unread(certificate, "certificate", error);
        let chain = CertificateDer::pem_file_iter(certificate).map_err(is_of)?;
        let chain: Vec<CertificateDer> = chain.collect::<Result<_, _>>().map_err(is_of)?;
        if chain.is_empty() {
            return Err(is_of(PemError::NoItemsFound));
        }
        let secret =
            PrivateKeyDer::from_pem_file(key).map_err(|error| unread(key, "key", error))?;
        let unfit = |error: tokio_rustls::rustls::Error| {
            Uncertified::Unfit(certificate.to_owned(), key.to_owned(), error.to_string())
        };
        let config = ServerConfig::builder_with_provider(Arc::new(default_provider()))
            .with_safe_default_protocol_versions()
            .map_err(unfit)?
            .with_no_client_auth()
            .with_single_cert(chain, secret)
            .map_err(unfit)?;
        Ok(Self(TlsAcceptor::from(Arc::new(config))))
    }

    /// Greets whoever connected.
    ///
    /// # Errors
    /// Someone who speaks something else, or who trusts another.
    pub async fn greet(&self, stream: TcpStream) -> io::Result<TlsStream<TcpStream>> {
        self.0.accept(stream).await
    }
}
