//! Words put together into sentences.

/// With a capital at its head.
///
/// ```
/// assert_eq!(knockon_trade::words::upper_first("élan"), "Élan");
/// ```
pub fn upper_first(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// With a small letter at its head, unless it begins with an abbreviation.
///
/// ```
/// use knockon_trade::words::lower_first;
/// assert_eq!(lower_first("Head tube"), "head tube");
/// assert_eq!(lower_first("BSA to 24 mm"), "BSA to 24 mm");
/// ```
pub fn lower_first(text: &str) -> String {
    let mut letters = text.chars();
    let Some(first) = letters.next() else { return String::new() };
    if letters.clone().next().is_some_and(char::is_uppercase) {
        return text.to_owned();
    }
    first.to_lowercase().chain(letters).collect()
}

/// The first sentence of a text.
///
/// ```
/// assert_eq!(knockon_trade::words::first_sentence("It is 31.8 mm. It fits."), "It is 31.8 mm.");
/// ```
pub fn first_sentence(text: &str) -> &str {
    text.split_inclusive(". ").next().unwrap_or(text).trim()
}

/// "a, b and c".
///
/// ```
/// assert_eq!(knockon_trade::words::join(&["a", "b", "c"]), "a, b and c");
/// ```
pub fn join<S: AsRef<str>>(parts: &[S]) -> String {
    let parts: Vec<&str> = parts.iter().map(AsRef::as_ref).collect();
    match parts.split_last() {
        None => String::new(),
        Some((last, [])) => (*last).to_owned(),
        Some((last, rest)) => format!("{} and {last}", rest.join(", ")),
    }
}

/// A value with no more digits than it needs: at most two after the point.
pub fn plain(value: f64) -> String {
    let text = format!("{:.2}", if value.abs() < 0.005 { 0.0 } else { value });
    let text = text.trim_end_matches('0').trim_end_matches('.');
    text.replace('-', "−")
}

/// A value with every digit that was written, at most six after the point.
pub fn plain_exact(value: f64) -> String {
    let text = format!("{value:.6}");
    text.trim_end_matches('0').trim_end_matches('.').replace('-', "−")
}
