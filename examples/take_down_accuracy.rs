//! Prints how often a riff that is played in is taken down in every note and rest, by what it is made of, by how far
//! notes are off, and by how well the tempo is known.
//!
//! `cargo run --release --example take_down_accuracy [develop|judge] [FIRST_SEED] [LAST_SEED]`

#[path = "../tests/it/performer.rs"]
mod performer;

use std::time::Instant;

use performer::{Known, Score, Told, judged, known};

fn main() {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let part = words.first().map_or("judge", String::as_str);
    let number = |index: usize, or: u64| words.get(index).and_then(|word| word.parse().ok()).unwrap_or(or);
    let seeds = number(1, 1000)..number(2, 1039) + 1;
    let riffs: Vec<Known> = known().into_iter().filter(|known| known.part == part).collect();
    println!(
        "{} riffs ({part}), seeds {} to {}, each riff once a seed",
        riffs.len(),
        seeds.start,
        seeds.end - 1
    );
    println!("told            spread  kind      played  equal  in three  onsets  accents too");
    let begin = Instant::now();
    let mut played = 0;
    let ways =
        [(Told::Tempo, "tempo"), (Told::AboutTempo, "tempo ±5 %"), (Told::TempoAndFeel, "tempo and feel")];
    for (told, name) in ways {
        for spread in [0.015, 0.025, 0.035] {
            let mut all = Score::default();
            for kind in ["plain", "triplets", "quarters", "dotted"] {
                let of_kind: Vec<&Known> = riffs.iter().filter(|known| known.kind == kind).collect();
                let score = judged(&of_kind, seeds.clone(), spread, told);
                line(name, spread, kind, score);
                all.add(score);
            }
            line(name, spread, "all", all);
            played += all.played;
        }
    }
    println!("{:.1} ms to take one down", begin.elapsed().as_secs_f64() * 1e3 / played as f64);
}

fn line(told: &str, spread: f64, kind: &str, score: Score) {
    println!(
        "{told:<15} {:>3.0} ms  {kind:<9} {:>6}  {:.3}  {:.3}     {:.3}   {:.3}",
        spread * 1e3,
        score.played,
        score.share(score.best),
        score.share(score.among_three),
        score.share(score.onsets),
        score.share(score.accents)
    );
}
