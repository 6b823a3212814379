//! Prints the TypeScript declarations of every request and report, for `cargo xtask types`.

use ts_rs::TS;

fn main() {
    println!("{}", job::typescript::declarations());
}
