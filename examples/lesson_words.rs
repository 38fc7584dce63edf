//! Prints every sentence that the page says of thirty riffs such as a teacher uses, over twelve bars in G, in F and in a
//! minor key. For reading with a teacher's eye; what was struck or reworded stands in `tests/data/teacher_verdicts.tsv`.
//!
//! `cargo run --release --example lesson_words`

#[path = "../tests/it/ear/lesson.rs"]
mod lesson;

fn main() {
    let mut count = 0;
    for one in lesson::lessons() {
        println!("{}: {}", one.name, one.what);
        for changes in lesson::grounds() {
            println!("  in {}", changes.key());
            for (place, sentence) in lesson::said(&one.riff(changes.key()), &changes) {
                println!("    {place:7}{sentence}");
                count += 1;
            }
        }
    }
    println!("{count} sentences");
}
