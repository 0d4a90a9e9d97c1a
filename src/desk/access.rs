//! The accounts of a desk, in a file of their own beside the book: no command merges, exports or
//! backs it up.
//!
//! Passphrases are kept as Argon2id with 19 MiB, two passes and one lane (OWASP Password Storage
//! Cheat Sheet), keys of links as SHA-256, since nobody can guess 256 bits.

use std::fs::{self, File, OpenOptions};
use std::io::{self, ErrorKind, Write};
use std::path::{Path, PathBuf};
use std::time::{SystemTime, UNIX_EPOCH};

use argon2::password_hash::{PasswordHash, PasswordHasher, PasswordVerifier, SaltString};
use argon2::{Algorithm, Argon2, Params, Version};
use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};

use super::chance::{hex, same, secret};
use super::may::Role;
use crate::book::beside;
use crate::records::folded;

const MEMORY_KIB: u32 = 19 * 1024;
const PASSES: u32 = 2;
const LANES: u32 = 1;

/// How long a link may be opened.
const LINK_SECONDS: u64 = 7 * 24 * 60 * 60;

/// In letters.
pub const SHORTEST: usize = 12;
pub const LONGEST: usize = 200;

/// Someone who may sign in.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct Account {
    /// By which what is recorded is signed.
    pub name: String,
    /// What it may.
    pub role: Role,
    /// Held to these; every site, where there are none.
    pub sites: Vec<String>,
    /// As Argon2id writes it; `None` until the link was opened.
    passphrase: Option<String>,
    link: Option<Link>,
}

/// What a passphrase is set by, once.
#[derive(Clone, Debug, Serialize, Deserialize)]
struct Link {
    sha256: String,
    /// Seconds since 1970.
    until: u64,
}

/// The file of accounts.
#[derive(Clone, Debug)]
pub struct Access(PathBuf);

/// Why nobody could be let in or added.
#[derive(Debug, thiserror::Error)]
pub enum AccessError {
    /// The file cannot be read or written, or is none of accounts.
    #[error("could not use the accounts in `{}`: {cause}", .path.display())]
    File {
        /// Where it lies.
        path: PathBuf,
        /// What is wrong.
        cause: String,
    },
    /// Nothing that nobody can guess can be made.
    #[error("this system gives no random numbers")]
    NoChance,
    /// The name has an account already.
    #[error("`{0}` has an account already; `stintbook access link` prints a new link")]
    Taken(String),
    /// The name has none.
    #[error("`{0}` has no account; `stintbook access list` lists those there are")]
    Unknown(String),
    /// The link was opened, or is too old.
    #[error("this link was opened before, or is too old; ask for another")]
    Spent,
    /// The passphrase is too short or too long.
    #[error(
        "write {SHORTEST} letters or more, and {LONGEST} at most; several words are easily kept in mind"
    )]
    Unfit,
}

impl Access {
    /// Of a book: `hill.sqlite` has its accounts in `hill.access.json`.
    pub fn of(book: &Path) -> Self {
        Self(beside(book).with_extension("access.json"))
    }

    /// # Errors
    /// A file that cannot be read, or is none of accounts: then nobody is let in.
    pub fn accounts(&self) -> Result<Vec<Account>, AccessError> {
        match fs::read(&self.0) {
            Ok(text) => serde_json::from_slice(&text).map_err(|error| self.failed(&error)),
            Err(error) if error.kind() == ErrorKind::NotFound => Ok(Vec::new()),
            Err(error) => Err(self.failed(&error)),
        }
    }

    /// Adds an account, and gives the key of its link.
    ///
    /// # Errors
    /// A name that has one already; a file that cannot be written.
    pub fn add(&self, name: &str, role: Role, sites: &[String]) -> Result<String, AccessError> {
        self.change(|accounts| {
            if accounts.iter().any(|known| known.is_called(name)) {
                return Err(AccessError::Taken(name.to_owned()));
            }
            let (name, sites) = (name.to_owned(), sites.to_vec());
            accounts.push(Account { name, role, sites, passphrase: None, link: None });
            accounts.last_mut().map_or(Err(AccessError::NoChance), Account::linked)
        })
    }

    /// A new link for an account, whose passphrase holds no longer.
    ///
    /// # Errors
    /// A name that has none.
    pub fn link(&self, name: &str) -> Result<String, AccessError> {
        self.change(|accounts| {
            let account = accounts.iter_mut().find(|known| known.is_called(name));
            let account = account.ok_or_else(|| AccessError::Unknown(name.to_owned()))?;
            account.passphrase = None;
            account.linked()
        })
    }

    /// # Errors
    /// As for [`Access::link`].
    pub fn remove(&self, name: &str) -> Result<(), AccessError> {
        self.change(|accounts| {
            let before = accounts.len();
            accounts.retain(|known| !known.is_called(name));
            match accounts.len() == before {
                true => Err(AccessError::Unknown(name.to_owned())),
                false => Ok(()),
            }
        })
    }

    /// Whose link that is, if it may still be opened.
    pub fn whose(&self, key: &str) -> Result<Account, AccessError> {
        let of_key = |account: &Account| account.is_linked_by(key);
        self.accounts()?.into_iter().find(of_key).ok_or(AccessError::Spent)
    }

    /// Sets a passphrase by a link, which is spent then.
    ///
    /// # Errors
    /// A link that is spent, a passphrase that is too short.
    pub fn settle(&self, key: &str, passphrase: &str) -> Result<Account, AccessError> {
        if !(SHORTEST..=LONGEST).contains(&passphrase.chars().count()) {
            return Err(AccessError::Unfit);
        }
        let hashed = hashed(passphrase)?;
        self.change(|accounts| {
            let account = accounts.iter_mut().find(|account| account.is_linked_by(key));
            let account = account.ok_or(AccessError::Spent)?;
            account.passphrase = Some(hashed);
            account.link = None;
            Ok(account.clone())
        })
    }

    /// The account of that name and passphrase. It takes as long for a name that has none.
    pub fn known(&self, name: &str, passphrase: &str) -> Result<Option<Account>, AccessError> {
        let accounts = self.accounts()?;
        let account = accounts.into_iter().find(|known| known.is_called(name));
        let kept = account.as_ref().and_then(|account| account.passphrase.clone());
        let is_known = kept.is_some();
        let kept = kept.map_or_else(|| hashed("nobody's"), Ok)?;
        let fits = PasswordHash::new(&kept)
            .is_ok_and(|kept| hasher().verify_password(passphrase.as_bytes(), &kept).is_ok());
        Ok(account.filter(|_| is_known && fits))
    }

    /// Reads, changes and writes while nobody else does.
    fn change<T>(
        &self,
        change: impl FnOnce(&mut Vec<Account>) -> Result<T, AccessError>,
    ) -> Result<T, AccessError> {
        let lock = File::create(self.0.with_extension("json.lock"));
        let lock = lock.map_err(|error| self.failed(&error))?;
        lock.lock().map_err(|error| self.failed(&error))?;
        let mut accounts = self.accounts()?;
        let changed = change(&mut accounts)?;
        self.write(&accounts).map_err(|error| self.failed(&error))?;
        Ok(changed)
    }

    /// Beside its place first, so that whoever reads finds the old accounts or the new ones.
    fn write(&self, accounts: &[Account]) -> io::Result<()> {
        let part = self.0.with_extension("json.part");
        let mut options = OpenOptions::new();
        options.write(true).create(true).truncate(true);
        #[cfg(unix)]
        std::os::unix::fs::OpenOptionsExt::mode(&mut options, 0o600);
        let mut file = options.open(&part)?;
        file.write_all(&serde_json::to_vec_pretty(accounts)?)?;
        file.sync_all()?;
        fs::rename(&part, &self.0)
    }

    fn failed(&self, cause: &dyn std::fmt::Display) -> AccessError {
        AccessError::File { path: self.0.clone(), cause: cause.to_string() }
    }
}

impl Account {
    /// Whether it goes by that name, however it is written.
    pub fn is_called(&self, name: &str) -> bool {
        folded(&self.name) == folded(name)
    }

    /// Whether its link was opened.
    pub fn has_passphrase(&self) -> bool {
        self.passphrase.is_some()
    }

    fn linked(&mut self) -> Result<String, AccessError> {
        let key = secret().map_err(|_| AccessError::NoChance)?;
        self.link = Some(Link { sha256: digest(&key), until: now() + LINK_SECONDS });
        Ok(key)
    }

    fn is_linked_by(&self, key: &str) -> bool {
        let link = self.link.as_ref().filter(|link| link.until >= now());
        link.is_some_and(|link| same(&link.sha256, &digest(key)))
    }
}

fn now() -> u64 {
    SystemTime::now().duration_since(UNIX_EPOCH).unwrap_or_default().as_secs()
}

fn digest(key: &str) -> String {
    hex(&Sha256::digest(key.as_bytes()))
}

fn hasher() -> Argon2<'static> {
    let params = Params::new(MEMORY_KIB, PASSES, LANES, None).unwrap_or_default();
    Argon2::new(Algorithm::Argon2id, Version::V0x13, params)
}

fn hashed(passphrase: &str) -> Result<String, AccessError> {
    let mut salt = [0; 16];
    getrandom::fill(&mut salt).map_err(|_| AccessError::NoChance)?;
    let salt = SaltString::encode_b64(&salt).map_err(|_| AccessError::NoChance)?;
    let hashed = hasher().hash_password(passphrase.as_bytes(), &salt);
    hashed.map(|hashed| hashed.to_string()).map_err(|_| AccessError::Unfit)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_link_sets_one_passphrase_and_is_spent() {
        let folder = tempfile::tempdir().unwrap();
        let access = Access::of(&folder.path().join("hill.sqlite"));
        let key = access.add("Ida", Role::Leader, &["North".to_owned()]).unwrap();
        assert!(matches!(access.add("IDA", Role::Keeper, &[]), Err(AccessError::Taken(_))));
        assert!(access.known("Ida", "").unwrap().is_none());
        assert!(matches!(access.settle(&key, "too short"), Err(AccessError::Unfit)));
        access.settle(&key, "a gate by the mill").unwrap();
        assert!(matches!(access.settle(&key, "another long one"), Err(AccessError::Spent)));
        assert!(access.known("ida", "a gate by the mill").unwrap().is_some());
        assert!(access.known("Ida", "a gate by the mile").unwrap().is_none());
        let kept = fs::read_to_string(folder.path().join("hill.access.json")).unwrap();
        assert!(kept.contains("$argon2id$v=19$m=19456,t=2,p=1$"), "{kept}");
        assert!(!kept.contains("gate by") && !kept.contains(&key));
        access.link("Ida").unwrap();
        assert!(access.known("Ida", "a gate by the mill").unwrap().is_none());
        access.remove("Ida").unwrap();
        assert!(access.accounts().unwrap().is_empty());
    }

    #[test]
    fn a_file_that_is_none_of_accounts_lets_nobody_in() {
        let folder = tempfile::tempdir().unwrap();
        fs::write(folder.path().join("hill.access.json"), "{").unwrap();
        let access = Access::of(&folder.path().join("hill.sqlite"));
        assert!(access.accounts().is_err() && access.known("Ida", "").is_err());
    }
}
