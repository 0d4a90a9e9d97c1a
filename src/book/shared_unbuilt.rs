//! What stands for books on servers in a program that was built without them.

use std::convert::Infallible;
use std::path::Path;

use rusqlite::Connection;

use super::address::Address;
use super::error::{BookError, Failure, StorageError};
use super::hand::{Hand, May};
use super::open::Book;
use super::scope::Scope;
use super::taught::Taught;
use super::trouble::Trouble;
use crate::records::SiteName;

/// A book has none of these here.
#[derive(Debug)]
pub(super) struct Shared(Infallible);

/// A working copy's own tables.
pub(super) const OWN_TABLES: [&str; 0] = [];

impl Shared {
    pub(super) fn open(address: &Address) -> Result<Book, BookError> {
        let path = address.shown();
        Err(StorageError::Server { path, trouble: Trouble::NotBuilt }.into())
    }

    pub(super) fn is_about(&mut self, _: Scope, _: Option<String>) {
        match self.0 {}
    }

    pub(super) fn is_taught(&mut self, _: Taught) {
        match self.0 {}
    }

    pub(super) fn copy(&self) -> &Path {
        match self.0 {}
    }

    pub(super) fn written<T>(
        &mut self,
        _: &mut Connection,
        _: impl FnOnce(&Connection) -> Result<(T, bool), Failure>,
    ) -> Result<T, Failure> {
        match self.0 {}
    }
}

impl Book {
    /// Lets a role of a server do this; a file has none.
    ///
    /// # Errors
    /// Always.
    pub fn let_in(&mut self, _: &str, _: May, _: &str, _: &[SiteName]) -> Result<(), BookError> {
        Err(self.is_a_file())
    }

    /// Takes from a role of a server what it might do; a file has none.
    ///
    /// # Errors
    /// Always.
    pub fn shut_out(&mut self, _: &str) -> Result<bool, BookError> {
        Err(self.is_a_file())
    }

    /// Which roles of a server may do what; a file has none.
    ///
    /// # Errors
    /// Always.
    pub fn hands(&mut self) -> Result<Vec<Hand>, BookError> {
        Err(self.is_a_file())
    }

    /// A file is as it is.
    pub(super) fn catch_up(&mut self) -> Result<(), BookError> {
        Ok(())
    }

    fn is_a_file(&self) -> BookError {
        StorageError::OnServersOnly(self.path.clone()).into()
    }

    pub(super) fn put_on_server(&self, address: &Address, _: &Taught) -> Result<u64, BookError> {
        let path = address.shown();
        Err(StorageError::Server { path, trouble: Trouble::NotBuilt }.into())
    }
}
