//! Judges the watch of a boil on simulated boils of two makes; see `tests/fire`. Prints a table and ends with 1
//! when a goal is missed. `cargo bench --bench fire -- --make b --boils 200 --seeds 500000`

#[path = "../fire/mod.rs"]
#[expect(
    unused_imports,
    dead_code,
    reason = "its tests are run by `cargo test --test checks fire::`, not by the bench"
)]
mod fire;

fn main() -> std::process::ExitCode {
    // Cargo itself adds `--bench`.
    fire::run(std::env::args().skip(1).filter(|word| word != "--bench"))
}
