//! The normalised pairwise variability index: how much neighbouring lengths differ.

/// The normalised pairwise variability index of lengths in any unit: 0 where all are alike, towards 200 where long and
/// short ones alternate. `None` for fewer than two lengths and for lengths that are not finite and above zero.
///
/// Source: E. Grabe and E. L. Low, "Durational variability in speech and the rhythm class hypothesis", Papers in
/// Laboratory Phonology 7, 2002, 515–546: 100/(m−1) · Σ |dₖ − dₖ₊₁| / ((dₖ + dₖ₊₁)/2); for music A. D. Patel and
/// J. R. Daniele, "An empirical comparison of rhythm in language and music", Cognition 87(1), 2003, B35–B45.
pub fn npvi(lengths: &[f64]) -> Option<f64> {
    if lengths.len() < 2 || !lengths.iter().all(|length| length.is_finite() && *length > 0.0) {
        return None;
    }
    let contrast = |pair: &[f64]| (pair[0] - pair[1]).abs() / ((pair[0] + pair[1]) / 2.0);
    let sum: f64 = lengths.windows(2).map(contrast).sum();
    Some(100.0 * sum / (lengths.len() - 1) as f64)
}
