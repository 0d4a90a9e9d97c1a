//! Certificates, and who trusts them.

use std::net::TcpStream;
use std::path::Path;
use std::sync::Arc;

use rustls::pki_types::pem::PemObject;
use rustls::pki_types::{CertificateDer, ServerName};
use rustls::{ClientConfig, ClientConnection, RootCertStore, StreamOwned};

/// Whom a browser trusts, and by which name it calls them.
#[derive(Clone, Debug)]
pub struct Trust {
    config: Arc<ClientConfig>,
    name: String,
}

impl Trust {
    /// Whoever a certificate of this file vouches for, under this name.
    pub fn of(file: &Path, name: &str) -> Self {
        let mut roots = RootCertStore::empty();
        roots.add(CertificateDer::from_pem_file(file).unwrap()).unwrap();
        let ring = Arc::new(rustls::crypto::ring::default_provider());
        let config = ClientConfig::builder_with_provider(ring)
            .with_safe_default_protocol_versions()
            .unwrap()
            .with_root_certificates(roots)
            .with_no_client_auth();
        Self { config: Arc::new(config), name: name.to_owned() }
    }

    pub fn over(&self, stream: TcpStream) -> StreamOwned<ClientConnection, TcpStream> {
        let name = ServerName::try_from(self.name.clone()).unwrap();
        StreamOwned::new(ClientConnection::new(self.config.clone(), name).unwrap(), stream)
    }
}

/// A certificate for these names and its key, as `NAME.pem` and `NAME.key`.
pub fn certified(folder: &Path, name: &str, names: &[&str]) {
    let names: Vec<String> = names.iter().map(|name| (*name).to_owned()).collect();
    let made = rcgen::generate_simple_self_signed(names).unwrap();
    std::fs::write(folder.join(format!("{name}.pem")), made.cert.pem()).unwrap();
    std::fs::write(folder.join(format!("{name}.key")), made.signing_key.serialize_pem()).unwrap();
}
