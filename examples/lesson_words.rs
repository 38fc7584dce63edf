//! Prints every sentence that the page says of thirty riffs such as a teacher uses, over twelve bars in G, in F and in a
//! minor key. For reading with a teacher's eye; what was struck or reworded stands in `tests/data/teacher_verdicts.tsv`.
//!
//! `cargo run --release --example lesson_words`

#[path = "../tests/it/ear/lesson.rs"]
mod lesson;

fn main() {
    let verdicts = lesson::verdicts();
    let (mut count, mut struck, mut reworded) = (0, 0, 0);
    for one in lesson::lessons() {
        println!("{}: {}", one.name, one.what);
        for changes in lesson::grounds() {
            println!("  in {}", changes.key());
            for (place, sentence) in lesson::said(&one.riff(changes.key()), &changes) {
                let key = changes.key().to_string();
                let verdict = verdicts
                    .iter()
                    .find(|[riff, of, _, said]| (*riff, *of, *said) == (one.name, &key, &sentence))
                    .map_or("", |[_, _, verdict, _]| verdict);
                println!("    {place:7}{sentence}{}{verdict}", if verdict.is_empty() { "" } else { "  <- " });
                count += 1;
                struck += usize::from(verdict == "strike");
                reworded += usize::from(verdict == "reword");
            }
        }
    }
    println!("{count} sentences: {struck} that a teacher would strike, {reworded} that he would reword");
}
