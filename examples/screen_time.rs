//! Prints how long it takes to write a note and to work out all that the page shows after it.

use std::time::Instant;

use riffloom::desk::Desk;
use riffloom::desk::command::Command;
use riffloom::riff::{RiffId, write_id};
use riffloom::view::screen::Screen;

fn main() {
    for riffs in [1, 30, 300] {
        let mut desk = Desk::new(RiffId(1));
        for id in 2..=riffs {
            desk.apply(Command::OpenDemo { id: write_id(RiffId(id)) }).expect("the demo opens");
        }
        let mut times: Vec<f64> = (0..40).map(|turn| time(&mut desk, 60 + turn % 12)).collect();
        times.sort_by(f64::total_cmp);
        println!(
            "a note with {riffs} riffs in the notebook: median {:.2} ms, slowest {:.2} ms",
            times[20], times[39]
        );
    }
}

/// Milliseconds from command to the parts that changed.
fn time(desk: &mut Desk, midi: u8) -> f64 {
    let before = Screen::of(desk);
    let began = Instant::now();
    let _ = desk.apply(Command::EnterNote { midi });
    std::hint::black_box(Screen::of(desk).since(&before));
    began.elapsed().as_secs_f64() * 1000.0
}
