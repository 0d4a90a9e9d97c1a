//! Who may do what in a book on a server: roles of the server, each with the name it signs with.
//! The server itself holds them to it, row by row; nothing here has to be believed.

use tokio_postgres::types::Type;

use super::link::Snag;
use super::{Shared, storage};
use crate::book::error::{BookError, Failure, StorageError};
use crate::book::hand::{Hand, May};
use crate::book::names::Names;
use crate::book::open::Book;
use crate::book::scope::site_named;
use crate::book::trouble::Trouble;
use crate::book::view::View;
use crate::records::SiteName;

impl Book {
    /// Lets a role of the server do this from now on, and no longer what it might before. `sites`
    /// are its own; a keeper has none.
    ///
    /// # Errors
    /// A refusal of a site that is not known; a storage error where the book is a file, the server
    /// has no such role, or whoever asks may not let others in.
    pub fn let_in(
        &mut self,
        role: &str,
        may: May,
        signs: &str,
        sites: &[SiteName],
    ) -> Result<(), BookError> {
        let numbers = self.numbers_of(sites)?;
        self.on_server(|shared| shared.let_in(role, may, signs, &numbers))
    }

    /// Takes from a role of the server whatever it might do; `false` where that was nothing.
    ///
    /// # Errors
    /// As [`Book::let_in`].
    pub fn shut_out(&mut self, role: &str) -> Result<bool, BookError> {
        self.on_server(|shared| shared.shut_out(role))
    }

    /// Who may do what.
    ///
    /// # Errors
    /// As [`Book::let_in`].
    pub fn hands(&mut self) -> Result<Vec<Hand>, BookError> {
        let hands = self.on_server(Shared::hands)?;
        let failed = |error: rusqlite::Error| Failure::from(error).at(&self.path);
        let view = View::read(&self.connection, None).map_err(failed)?;
        let mut names = Names::default();
        let named = |(mut hand, numbers): (Hand, Vec<i64>)| {
            for site in numbers {
                names.learn(site, Some(&view), &self.connection)?;
                hand.sites.extend(names.site(site).cloned());
            }
            Ok(hand)
        };
        hands.into_iter().map(named).collect::<Result<_, _>>().map_err(failed)
    }

    fn numbers_of(&self, sites: &[SiteName]) -> Result<Vec<i64>, BookError> {
        let failed = |failure: Failure| failure.at(&self.path);
        let view = View::read(&self.connection, None).map_err(|error| failed(error.into()))?;
        let numbers = sites.iter().map(|name| site_named(name, &view, &self.connection));
        numbers.collect::<Result<_, _>>().map_err(failed)
    }

    fn on_server<T>(
        &mut self,
        ask: impl FnOnce(&mut Shared) -> Result<T, Trouble>,
    ) -> Result<T, BookError> {
        match &mut self.shared {
            None => Err(StorageError::OnServersOnly(self.path.clone()).into()),
            Some(shared) => ask(shared).map_err(|trouble| match trouble {
                Trouble::NotAllowed(_) => storage(&self.path, Trouble::OwnersAlone),
                other => storage(&self.path, other),
            }),
        }
    }
}

impl Shared {
    /// Lets a role of the server do this from now on, and no longer what it might before.
    fn let_in(
        &mut self,
        role: &str,
        may: May,
        signs: &str,
        sites: &Vec<i64>,
    ) -> Result<(), Trouble> {
        let link = self.link()?;
        let known = link.rows("SELECT FROM pg_roles WHERE rolname = $1", &[(&role, Type::TEXT)])?;
        if known.is_empty() {
            return Err(Trouble::NoRole(role.to_owned()));
        }
        link.rows(
            "INSERT INTO hand (role, may, signs, sites) VALUES ($1::text::name, $2, $3, $4) \
             ON CONFLICT (role) DO UPDATE \
             SET may = excluded.may, signs = excluded.signs, sites = excluded.sites",
            &[
                (&role, Type::TEXT),
                (&may.name(), Type::TEXT),
                (&signs, Type::TEXT),
                (sites, Type::INT8_ARRAY),
            ],
        )?;
        Ok(())
    }

    /// Takes it away again; `false` where the role had nothing.
    fn shut_out(&mut self, role: &str) -> Result<bool, Trouble> {
        let sql = "DELETE FROM hand WHERE role = $1::text::name RETURNING role";
        Ok(!self.link()?.rows(sql, &[(&role, Type::TEXT)])?.is_empty())
    }

    /// Each with the numbers of its sites.
    fn hands(&mut self) -> Result<Vec<(Hand, Vec<i64>)>, Trouble> {
        let sql = "SELECT role::text, may, signs, sites FROM hand ORDER BY role";
        let mut hands = Vec::new();
        for row in self.link()?.rows(sql, &[])? {
            let may: &str = row.try_get(1).map_err(Snag::from)?;
            let hand = Hand {
                role: row.try_get(0).map_err(Snag::from)?,
                may: May::ALL.into_iter().find(|known| known.name() == may).unwrap_or(May::Owner),
                signs: row.try_get(2).map_err(Snag::from)?,
                sites: Vec::new(),
            };
            hands.push((hand, row.try_get(3).map_err(Snag::from)?));
        }
        Ok(hands)
    }
}
