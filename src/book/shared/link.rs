//! The line to a server: statements out, rows back, each with a time by which it must be answered.

use std::future::Future;
use std::time::Duration;

use tokio::runtime::{Builder, Runtime};
use tokio_postgres::error::SqlState;
use tokio_postgres::types::{ToSql, Type};
use tokio_postgres::{Client, Error, Row};

use super::reach::Reach;
use crate::book::address::Address;
use crate::book::trouble::Trouble;

/// How long a server may take to answer at all.
const TO_CONNECT: Duration = Duration::from_secs(10);

/// What every session begins with, where a server may be silent for so long. Who holds a lock and
/// is not heard of any more loses it; a lock is waited for less long than an answer. One who is gone
/// in the middle of a question is not idle to the server, which waits for the rest of it: for that one
/// it asks the network (after two hours, unless told otherwise). Settings of a role or a database must
/// not change how rows read.
fn begin(to_answer: Duration) -> String {
    let (lock, idle) = (to_answer * 2 / 3, to_answer * 5 / 9);
    // Of a third of it, and three times of a ninth more: whole seconds, and 0 would be the usual.
    let (quiet, between) = ((to_answer / 3).as_secs().max(1), (to_answer / 9).as_secs().max(1));
    format!(
        "SET search_path = stintbook, pg_catalog; SET lock_timeout = {}; \
         SET idle_in_transaction_session_timeout = {}; SET client_min_messages = warning; \
         SET tcp_keepalives_idle = {quiet}; SET tcp_keepalives_interval = {between}; \
         SET tcp_keepalives_count = 3; SET jit = off",
        lock.as_millis(),
        idle.as_millis()
    )
}

/// A parameter of a statement, with its type.
pub(super) type Given<'a> = (&'a (dyn ToSql + Sync), Type);

/// Why a statement brought nothing.
#[derive(Debug)]
pub(super) enum Snag {
    /// The connection is no more.
    Lost(String),
    /// The server is there, and will let in again in a while: it starts, or has no place free.
    NotYet(String),
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
            Snag::Lost(cause) | Snag::NotYet(cause) => Self::Gone(cause),
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
            // Starting up or shutting down, too many connections.
            "57P03" | "53300" => Self::NotYet(message),
            // A connection that is ended.
            "57P01" | "57P02" | "57P05" | "25P03" => Self::Lost(message),
            other if other.starts_with("08") => Self::Lost(message),
            _ => Self::Told(Trouble::Other(message)),
        }
    }
}

impl Snag {
    /// What is said of a server that is not there, or not yet; `None` for any other trouble.
    pub(super) fn away(&self) -> Option<&str> {
        match self {
            Self::Lost(cause) | Self::NotYet(cause) => Some(cause),
            Self::Again | Self::Taken | Self::Told(_) => None,
        }
    }
}

fn source(error: &Error) -> Option<&(dyn std::error::Error + 'static)> {
    std::error::Error::source(error)
}

/// What the system says, without what stands around it.
pub(super) fn said(error: &Error) -> String {
    source(error).map_or_else(|| error.to_string(), ToString::to_string)
}

/// One session on a server.
pub(super) struct Link {
    runtime: Runtime,
    client: Client,
    /// How long it may take for one statement, or the next row of one.
    to_answer: Duration,
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
        let reach = Reach::of(address).map_err(Snag::Told)?;
        let tls = reach.tls().map_err(Snag::Told)?;
        let Reach { config, to_answer, .. } = &reach;
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
        let link = Self { runtime, client, to_answer: *to_answer, whose: reach.whose() };
        link.run(&begin(*to_answer))?;
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
            let begun =
                self.in_time(self.client.query_typed_raw(sql, given.collect::<Vec<_>>())).await;
            let mut rows = std::pin::pin!(begun?);
            while let Some(row) = self.in_time(rows.try_next()).await? {
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
            let sink = self.in_time(self.client.copy_in(sql)).await?;
            let mut writer = std::pin::pin!(BinaryCopyInWriter::new(sink, types));
            for row in rows {
                let values: Vec<&(dyn ToSql + Sync)> =
                    row.iter().map(|value| &**value as &(dyn ToSql + Sync)).collect();
                self.in_time(writer.as_mut().write(&values)).await?;
            }
            self.in_time(writer.finish()).await?;
            Ok(())
        })
    }

    fn wait<T>(&self, asked: impl Future<Output = Result<T, Error>>) -> Result<T, Snag> {
        self.runtime.block_on(self.in_time(asked))
    }

    async fn in_time<T>(&self, asked: impl Future<Output = Result<T, Error>>) -> Result<T, Snag> {
        match tokio::time::timeout(self.to_answer, asked).await {
            Ok(answered) => Ok(answered?),
            Err(_) => {
                let seconds = self.to_answer.as_secs();
                Err(Snag::Lost(format!("it has not answered for {seconds} s")))
            }
        }
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
