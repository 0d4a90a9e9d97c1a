//! A season played many times over: hidden truth, surveys and eyes that err, the book's rules.

mod draws;
mod eye;
mod nature;
pub mod proof;
mod quadrats;
mod stand;
mod tended;

pub use draws::Draws;
pub use eye::{Eye, EyeErrors};
pub use nature::Nature;
pub use quadrats::Quadrats;
pub use stand::Stand;
pub use tended::Tended;
