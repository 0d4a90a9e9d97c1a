//! Why the desk cannot speak TLS.

use std::io;
use std::path::PathBuf;

/// A certificate that is none, or that this program can do nothing with.
#[derive(Debug, thiserror::Error)]
pub enum Uncertified {
    /// A file that cannot be opened.
    #[error("`{}` cannot be read: {}", .0.display(), .1)]
    Unread(PathBuf, #[source] io::Error),
    /// A file that has nothing of what is sought in it, and what that is.
    #[error("`{}` has no {} in it; it takes a PEM file, with a line `-----BEGIN …` over each", .0.display(), .1)]
    Lacking(PathBuf, &'static str),
    /// A file that is broken off, or something else.
    #[error("`{}` is no whole PEM file: {}", .0.display(), .1)]
    Malformed(PathBuf, String),
    /// A certificate and a key that are not of each other, or of a kind that nothing here speaks.
    #[error("`{}` and `{}` do not fit together: {}; give the certificate and the key that it was made \
             with", .0.display(), .1.display(), .2)]
    Unfit(PathBuf, PathBuf, String),
    /// A build that knows no certificates.
    #[error(
        "this stintbook was built without TLS; build it with `cargo install --path . --features \
             tls`, or let a proxy in front speak it and start with --behind-tls"
    )]
    Unbuilt,
}
