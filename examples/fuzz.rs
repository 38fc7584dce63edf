//! Fuzzes every reader and the commands for some minutes, shared out evenly, and prints how many inputs were tried, how long
//! the slowest took, and the most memory that the program ever had. Fails where an input broke something, where one took
//! longer than [`fuzz::HANG`], and where memory grew by more than 64 MB.
//! Inputs that break something are written into `target/fuzz`; once it is mended, move them into `tests/data/fuzz`.
//!
//! `scripts/bench fuzz [MINUTES] [SEED] [TARGET]` runs it optimised, with sums watched.

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
    let (mut inputs, mut broken, mut slow) = (0, 0, 0);
    let before = most_memory();
    for target in &targets {
        let run = target.run(seed, u64::MAX, share);
        let slowest = run.slowest.as_secs_f64() * 1000.0;
        println!(
            "{:16}{:10} inputs, {} broken, {slowest:.1} ms the slowest, {:.0} MB the most so far",
            target.name,
            run.inputs,
            run.broken.len(),
            most_memory() as f64 / 1e6
        );
        slow += usize::from(run.slowest > fuzz::HANG);
        keep(target, "slowest", &run.slowest_input);
        for (number, input) in run.broken.iter().enumerate() {
            keep(target, &format!("{seed}-{number}"), input);
        }
        inputs += run.inputs;
        broken += run.broken.len();
    }
    let grown = most_memory().saturating_sub(before);
    println!(
        "\n{inputs} inputs, {broken} broken, {slow} targets slower than {} ms, memory grew by {:.1} MB",
        fuzz::HANG.as_millis(),
        grown as f64 / 1e6
    );
    if broken + slow == 0 && grown <= MOST_GROWN { ExitCode::SUCCESS } else { ExitCode::FAILURE }
}

/// By how much memory may grow, in bytes.
const MOST_GROWN: u64 = 64 << 20;

/// The most memory that this program has had so far, in bytes; 0 where the system does not say (`VmHWM` in `proc(5)`).
fn most_memory() -> u64 {
    let status = fs::read_to_string("/proc/self/status").unwrap_or_default();
    let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:")).unwrap_or_default();
    line.split_whitespace().next().and_then(|kilobytes| kilobytes.parse::<u64>().ok()).unwrap_or(0) * 1024
}

fn keep(target: &fuzz::Target, name: &str, input: &[u8]) {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("target/fuzz").join(target.name);
    let kept = fs::create_dir_all(&folder).and_then(|()| fs::write(folder.join(name), input));
    if let Err(error) = kept {
        println!("not kept in {}: {error}", folder.display());
    }
}
