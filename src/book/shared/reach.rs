//! How a server is reached: what its address says, as the driver takes it, and whom to believe that
//! it is that server.

use std::sync::Arc;
use std::time::Duration;

use rustls::pki_types::CertificateDer;
use rustls::pki_types::pem::PemObject;
use rustls::{ClientConfig, RootCertStore};
use tokio_postgres::config::{Host, SslMode};
use tokio_postgres::{Config, Error};
use tokio_postgres_rustls::MakeRustlsConnect;

use super::link::said;
use crate::book::address::Address;
use crate::book::trouble::Trouble;

/// How long a server may be silent, unless `wait` says otherwise.
const TO_ANSWER: Duration = Duration::from_secs(45);

/// What an address says.
pub(super) struct Reach {
    pub(super) config: Config,
    /// The file of the authority that signs for the server, where it is not one of the web's.
    root: Option<String>,
    /// How long it may take for one statement, or the next row of one.
    pub(super) to_answer: Duration,
}

impl Reach {
    /// # Errors
    /// An address that cannot be read.
    pub(super) fn of(address: &Address) -> Result<Self, Trouble> {
        let (start, options) = address.url().split_once('?').unwrap_or((address.url(), ""));
        let (mut root, mut to_answer, mut told_mode) = (None, TO_ANSWER, false);
        let mut kept = Vec::new();
        for option in options.split('&').filter(|option| !option.is_empty()) {
            match option.split_once('=') {
                Some(("sslrootcert", file)) => root = Some(file.to_owned()),
                Some(("wait", seconds)) => to_answer = waited(seconds)?,
                // What is encrypted is always held against a certificate here.
                Some(("sslmode", "verify-full" | "verify-ca")) => {
                    told_mode = true;
                    kept.push("sslmode=require");
                }
                Some(("sslmode", _)) => {
                    told_mode = true;
                    kept.push(option);
                }
                _ => kept.push(option),
            }
        }
        let url =
            if kept.is_empty() { start.to_owned() } else { format!("{start}?{}", kept.join("&")) };
        let mut config: Config =
            url.parse().map_err(|error: Error| Trouble::Address(said(&error)))?;
        complete(&mut config)?;
        // An authority is named to have what it signs for looked at.
        if !told_mode && (root.is_some() || !config.get_hosts().iter().all(is_here)) {
            config.ssl_mode(SslMode::Require);
        } else if !told_mode {
            config.ssl_mode(SslMode::Disable);
        }
        config.tcp_user_timeout(to_answer);
        Ok(Self { config, root, to_answer })
    }

    /// To know its cache by: host, port, database and role.
    pub(super) fn whose(&self) -> String {
        let hosts: Vec<String> = self
            .config
            .get_hosts()
            .iter()
            .map(|host| match host {
                Host::Tcp(name) => name.clone(),
                #[cfg(unix)]
                Host::Unix(path) => path.display().to_string(),
            })
            .collect();
        format!(
            "{}:{:?}/{}@{}",
            hosts.join(","),
            self.config.get_ports(),
            self.config.get_dbname().unwrap_or_default(),
            self.config.get_user().unwrap_or_default()
        )
    }

    /// # Errors
    /// A file of an authority that is none.
    pub(super) fn tls(&self) -> Result<MakeRustlsConnect, Trouble> {
        let mut roots = RootCertStore::empty();
        match &self.root {
            None => roots.extend(webpki_roots::TLS_SERVER_ROOTS.iter().cloned()),
            Some(file) => {
                let unread = |cause: String| Trouble::Unsafe(format!("`{file}`: {cause}"));
                let all = CertificateDer::pem_file_iter(file)
                    .map_err(|error| unread(error.to_string()))?;
                for one in all {
                    let one = one.map_err(|error| unread(error.to_string()))?;
                    roots.add(one).map_err(|error| unread(error.to_string()))?;
                }
                if roots.is_empty() {
                    return Err(unread("no certificate is in it".to_owned()));
                }
            }
        }
        let ring = Arc::new(rustls::crypto::ring::default_provider());
        let config = ClientConfig::builder_with_provider(ring)
            .with_safe_default_protocol_versions()
            .map_err(|error| Trouble::Unsafe(error.to_string()))?
            .with_root_certificates(roots)
            .with_no_client_auth();
        Ok(MakeRustlsConnect::new(config))
    }
}

/// What the address leaves to the surroundings.
fn complete(config: &mut Config) -> Result<(), Trouble> {
    if config.get_password().is_none()
        && let Ok(password) = std::env::var("PGPASSWORD")
    {
        config.password(password);
    }
    if config.get_user().is_none()
        && let Ok(user) = std::env::var("PGUSER").or_else(|_| std::env::var("USER"))
    {
        config.user(user);
    }
    if config.get_hosts().is_empty() {
        config.host("localhost");
    }
    if config.get_dbname().is_none() {
        return Err(Trouble::Address("it names no database".to_owned()));
    }
    config.application_name("stintbook");
    config.keepalives_idle(Duration::from_secs(20));
    config.keepalives_interval(Duration::from_secs(5));
    config.keepalives_retries(3);
    Ok(())
}

/// From two seconds to an hour.
fn waited(seconds: &str) -> Result<Duration, Trouble> {
    let found = seconds.parse().ok().filter(|seconds| (2..=3600).contains(seconds));
    let unread = || {
        let what = format!("`wait={seconds}` is no number of seconds from 2 to 3600");
        Trouble::Address(what)
    };
    found.map(Duration::from_secs).ok_or_else(unread)
}

/// Whether nobody listens between.
fn is_here(host: &Host) -> bool {
    match host {
        Host::Tcp(name) => matches!(name.as_str(), "localhost" | "127.0.0.1" | "::1"),
        #[cfg(unix)]
        Host::Unix(_) => true,
    }
}
