//! The line to a server: statements out, rows back, each with a time by which it must be answered.

use std::future::Future;
use std::sync::Arc;
use std::time::Duration;

use rustls::pki_types::CertificateDer;
use rustls::pki_types::pem::PemObject;
use rustls::{ClientConfig, RootCertStore};
use tokio::runtime::{Builder, Runtime};
use tokio_postgres::config::{Host, SslMode};
use tokio_postgres::error::SqlState;
use tokio_postgres::types::{ToSql, Type};
use tokio_postgres::{Client, Config, Error, Row};
use tokio_postgres_rustls::MakeRustlsConnect;

use crate::book::address::Address;
use crate::book::trouble::Trouble;

/// How long a server may take to answer at all.
const TO_CONNECT: Duration = Duration::from_secs(10);
/// How long it may take for one statement, or the next row of one; longer than it may wait for a
/// lock (`LOCKS`).
const TO_ANSWER: Duration = Duration::from_secs(45);

/// What every session begins with. Who holds a lock and is not heard of any more loses it. Settings
/// of a role or a database must not change how rows read.
const BEGIN: &str = "SET search_path = stintbook, pg_catalog; SET lock_timeout = '30s'; \
     SET idle_in_transaction_session_timeout = '25s'; SET client_min_messages = warning; \
     SET jit = off";

/// A parameter of a statement, with its type.
pub(super) type Given<'a> = (&'a (dyn ToSql + Sync), Type);

/// Why a statement brought nothing.
#[derive(Debug)]
pub(super) enum Snag {
    /// The connection is no more.
    Lost(String),
    /// Another transaction was in the way; from the start once more (13.5 of PostgreSQL's
    /// documentation: 40001, 40P01).
    Again,
    /// Another has what was asked for without waiting.
    Taken,
    Told(Trouble),
}

impl From<Snag> for Trouble {
    fn from(snag: Snag) -> Self {
        match snag {
            Snag::Lost(cause) => Self::Gone(cause),
            Snag::Again => Self::Busy,
            Snag::Taken => Self::Moved,
            Snag::Told(trouble) => trouble,
        }
    }
}

impl From<Error> for Snag {
    fn from(error: Error) -> Self {
        let Some(told) = error.as_db_error() else {
            return match error.is_closed() || source(&error).is_some() {
                true => Self::Lost(said(&error)),
                false => Self::Told(Trouble::Other(said(&error))),
            };
        };
        let message = told.message().to_owned();
        let code = told.code();
        match code.code() {
            "40001" | "40P01" => Self::Again,
            "55P03" => Self::Taken,
            "25006" => Self::Told(Trouble::Replica),
            "42501" => Self::Told(Trouble::NotAllowed(message)),
            "53100" => Self::Told(Trouble::Full),
            "3D000" => Self::Told(Trouble::NoDatabase),
            "28P01" | "28000" => Self::Told(Trouble::NotLetIn(message)),
            _ if *code == SqlState::UNDEFINED_TABLE || *code == SqlState::INVALID_SCHEMA_NAME => {
                Self::Told(Trouble::NoBook)
            }
            // Shutting down, starting up, a connection that is ended, too many of them.
            "57P01" | "57P02" | "57P03" | "57P05" | "25P03" | "53300" => Self::Lost(message),
            other if other.starts_with("08") => Self::Lost(message),
            _ => Self::Told(Trouble::Other(message)),
        }
    }
}

fn source(error: &Error) -> Option<&(dyn std::error::Error + 'static)> {
    std::error::Error::source(error)
}

/// What the system says, without what stands around it.
fn said(error: &Error) -> String {
    source(error).map_or_else(|| error.to_string(), ToString::to_string)
}

/// One session on a server.
pub(super) struct Link {
    runtime: Runtime,
    client: Client,
    /// To know its cache by: host, port, database and role.
    pub(super) whose: String,
}

impl std::fmt::Debug for Link {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        out.debug_struct("Link").field("whose", &self.whose).finish_non_exhaustive()
    }
}

impl Link {
    pub(super) fn to(address: &Address) -> Result<Self, Snag> {
        let (config, root) = config_of(address).map_err(Snag::Told)?;
        let whose = whose(&config);
        let tls = tls(root.as_deref()).map_err(Snag::Told)?;
        let runtime = Builder::new_current_thread()
            .enable_all()
            .build()
            .map_err(|error| Snag::Told(Trouble::Other(error.to_string())))?;
        let client = runtime.block_on(async {
            let connected = tokio::time::timeout(TO_CONNECT, config.connect(tls)).await;
            let slow = |_| Snag::Lost("its server does not answer".to_owned());
            let (client, connection) = connected.map_err(slow)?.map_err(refused)?;
            tokio::spawn(connection);
            Ok::<_, Snag>(client)
        })?;
        let link = Self { runtime, client, whose };
        link.run(BEGIN)?;
        Ok(link)
    }

    /// Statements without parameters, several with `;` between them.
    pub(super) fn run(&self, sql: &str) -> Result<(), Snag> {
        self.wait(self.client.batch_execute(sql))
    }

    pub(super) fn rows(&self, sql: &str, given: &[Given]) -> Result<Vec<Row>, Snag> {
        self.wait(self.client.query_typed(sql, given))
    }

    pub(super) fn row(&self, sql: &str, given: &[Given]) -> Result<Row, Snag> {
        let none = || Snag::Told(Trouble::Damaged("a row is not there".to_owned()));
        self.rows(sql, given)?.into_iter().next().ok_or_else(none)
    }

    /// Shows every row to `see`; none is held longer than that.
    pub(super) fn each<E: From<Snag>>(
        &self,
        sql: &str,
        given: &[Given],
        mut see: impl FnMut(&Row) -> Result<(), E>,
    ) -> Result<(), E> {
        use futures_util::TryStreamExt;
        self.runtime.block_on(async {
            let given = given.iter().map(|(value, of)| (*value, of.clone()));
            let begun = in_time(self.client.query_typed_raw(sql, given.collect::<Vec<_>>())).await;
            let mut rows = std::pin::pin!(begun?);
            while let Some(row) = in_time(rows.try_next()).await? {
                see(&row)?;
            }
            Ok(())
        })
    }

    /// Sends rows in PostgreSQL's binary form; `write` puts them down one by one.
    pub(super) fn copy_in(
        &self,
        sql: &str,
        types: &[Type],
        rows: &[Vec<Box<dyn ToSql + Sync + Send>>],
    ) -> Result<(), Snag> {
        use tokio_postgres::binary_copy::BinaryCopyInWriter;
        self.runtime.block_on(async {
            let sink = in_time(self.client.copy_in(sql)).await?;
            let mut writer = std::pin::pin!(BinaryCopyInWriter::new(sink, types));
            for row in rows {
                let values: Vec<&(dyn ToSql + Sync)> =
                    row.iter().map(|value| &**value as &(dyn ToSql + Sync)).collect();
                in_time(writer.as_mut().write(&values)).await?;
            }
            in_time(writer.finish()).await?;
            Ok(())
        })
    }

    fn wait<T>(&self, asked: impl Future<Output = Result<T, Error>>) -> Result<T, Snag> {
        self.runtime.block_on(in_time(asked))
    }
}

async fn in_time<T>(asked: impl Future<Output = Result<T, Error>>) -> Result<T, Snag> {
    match tokio::time::timeout(TO_ANSWER, asked).await {
        Ok(answered) => Ok(answered?),
        Err(_) => Err(Snag::Lost(format!("it has not answered for {} s", TO_ANSWER.as_secs()))),
    }
}

/// An error while connecting.
fn refused(error: Error) -> Snag {
    if error.as_db_error().is_some() {
        return error.into();
    }
    let cause = said(&error);
    if cause.contains("certificate") || cause.contains("TLS") || error.to_string().contains("TLS") {
        return Snag::Told(Trouble::Unsafe(cause));
    }
    match cause.contains("password") {
        true => Snag::Told(Trouble::NotLetIn(cause)),
        false => Snag::Lost(cause),
    }
}

/// The address as the driver takes it, and the file of the authority that signs for the server.
fn config_of(address: &Address) -> Result<(Config, Option<String>), Trouble> {
    let (start, options) = address.url().split_once('?').unwrap_or((address.url(), ""));
    let mut root = None;
    let mut told_mode = false;
    let mut kept = Vec::new();
    for option in options.split('&').filter(|option| !option.is_empty()) {
        match option.split_once('=') {
            Some(("sslrootcert", file)) => root = Some(file.to_owned()),
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
    let mut config: Config = url.parse().map_err(|error: Error| Trouble::Address(said(&error)))?;
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
    if !told_mode {
        let mode = if config.get_hosts().iter().all(is_here) {
            SslMode::Disable
        } else {
            SslMode::Require
        };
        config.ssl_mode(mode);
    }
    config.application_name("stintbook");
    config.keepalives_idle(Duration::from_secs(20));
    config.keepalives_interval(Duration::from_secs(5));
    config.keepalives_retries(3);
    config.tcp_user_timeout(TO_ANSWER);
    Ok((config, root))
}

/// Whether nobody listens between.
fn is_here(host: &Host) -> bool {
    match host {
        Host::Tcp(name) => matches!(name.as_str(), "localhost" | "127.0.0.1" | "::1"),
        #[cfg(unix)]
        Host::Unix(_) => true,
    }
}

fn whose(config: &Config) -> String {
    let hosts: Vec<String> = config
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
        config.get_ports(),
        config.get_dbname().unwrap_or_default(),
        config.get_user().unwrap_or_default()
    )
}

fn tls(root: Option<&str>) -> Result<MakeRustlsConnect, Trouble> {
    let mut roots = RootCertStore::empty();
    match root {
        None => roots.extend(webpki_roots::TLS_SERVER_ROOTS.iter().cloned()),
        Some(file) => {
            let unread = |cause: String| Trouble::Unsafe(format!("`{file}`: {cause}"));
            let all =
                CertificateDer::pem_file_iter(file).map_err(|error| unread(error.to_string()))?;
            for one in all {
                let one = one.map_err(|error| unread(error.to_string()))?;
                roots.add(one).map_err(|error| unread(error.to_string()))?;
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
