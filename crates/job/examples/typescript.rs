//! Prints the TypeScript declarations of every request and report, for `cargo xtask types`.

fn main() {
    println!("{}", job::typescript::declarations());
}
