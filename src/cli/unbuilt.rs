//! What stands for commands in a program that was built without them.

use std::ffi::OsString;

use super::failure::Failure;

/// Whatever is said to them.
#[derive(Debug, clap::Args)]
#[command(disable_help_flag = true)]
pub struct Unbuilt {
    #[arg(hide = true, trailing_var_arg = true, allow_hyphen_values = true)]
    words: Vec<OsString>,
}

fn unbuilt(command: &str, feature: &str) -> Failure {
    Failure::Wrong(format!(
        "this stintbook was built without `{command}`; build it with `cargo install --path . \
         --features {feature}`"
    ))
}

#[cfg(not(feature = "bring"))]
pub mod bring {
    pub use super::Unbuilt as Bring;
    use crate::cli::context::Context;
    use crate::cli::failure::{Failure, Status};

    pub fn run(_: &Context, _: &Bring) -> Result<Status, Failure> {
        Err(super::unbuilt("bring", "bring"))
    }
}

#[cfg(not(feature = "bring"))]
pub mod darwin_core {
    use crate::cli::context::Context;
    use crate::cli::failure::Failure;
    use crate::ground::Blur;

    pub fn archive(
        _: &Context,
        _: Option<&str>,
        _: Option<Blur>,
        _: bool,
    ) -> Result<Vec<u8>, Failure> {
        Err(super::unbuilt("export --format dwca", "bring"))
    }
}

#[cfg(not(feature = "desk"))]
pub mod access {
    pub use super::Unbuilt as AccessAsked;
    use crate::cli::context::Context;
    use crate::cli::failure::{Failure, Status};

    pub fn run(_: &Context, _: &AccessAsked) -> Result<Status, Failure> {
        Err(super::unbuilt("access", "desk"))
    }
}

#[cfg(not(feature = "desk"))]
pub mod serve {
    pub use super::Unbuilt as Serving;
    use crate::cli::context::Context;
    use crate::cli::failure::{Failure, Status};
    use crate::desk::Commands;

    pub fn run(_: &Context, _: &Serving, _: Box<dyn Commands>) -> Result<Status, Failure> {
        Err(super::unbuilt("serve", "desk"))
    }
}
