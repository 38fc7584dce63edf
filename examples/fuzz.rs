//! Fuzzes every reader and the commands for some minutes, shared out evenly, and prints how many inputs were tried.
//! Inputs that break something are written into `target/fuzz`; once it is mended, move them into `tests/data/fuzz`.
//!
//! `cargo run --example fuzz -- [MINUTES] [SEED] [TARGET]`; without `--release`, so that sums are watched.

#[path = "../tests/fuzz/mod.rs"]
mod fuzz;

use std::fs;
use std::path::Path;
use std::process::ExitCode;
use std::time::{Duration, SystemTime, UNIX_EPOCH};

fn main() -> ExitCode {
    let mut words = std::env::args().skip(1);
    let minutes: f64 = words.next().and_then(|word| word.parse().ok()).unwrap_or(10.0);
    let now = SystemTime::now().duration_since(UNIX_EPOCH).map_or(0, |since| since.as_secs());
    let seed = words.next().and_then(|word| word.parse().ok()).unwrap_or(now);
    let only = words.next();
    let wanted = |target: &fuzz::Target| only.as_ref().is_none_or(|only| target.name == only);
    let targets: Vec<fuzz::Target> = fuzz::targets().into_iter().filter(wanted).collect();
    let share = Duration::from_secs_f64(minutes * 60.0 / targets.len().max(1) as f64);
    println!("{minutes} minutes from seed {seed}\n");
    let (mut inputs, mut broken) = (0, 0);
    for target in &targets {
        let run = target.run(seed, u64::MAX, share);
        let slowest = run.slowest.as_secs_f64() * 1000.0;
        println!(
            "{:16}{:10} inputs, {} broken, {slowest:.1} ms the slowest",
            target.name,
            run.inputs,
            run.broken.len()
        );
        keep(target, "slowest", &run.slowest_input);
        for (number, input) in run.broken.iter().enumerate() {
            keep(target, &format!("{seed}-{number}"), input);
        }
        inputs += run.inputs;
        broken += run.broken.len();
    }
    println!("\n{inputs} inputs, {broken} broken");
    if broken == 0 { ExitCode::SUCCESS } else { ExitCode::FAILURE }
}

fn keep(target: &fuzz::Target, name: &str, input: &[u8]) {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("target/fuzz").join(target.name);
    let kept = fs::create_dir_all(&folder).and_then(|()| fs::write(folder.join(name), input));
    if let Err(error) = kept {
        println!("not kept in {}: {error}", folder.display());
    }
}
