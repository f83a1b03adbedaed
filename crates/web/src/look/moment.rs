//! Moments of entries, as people read them.

use store::Said;

/// `2026-05-02T08:15:30.123Z` without what nobody reads: `2026-05-02 08:15`. Anything else stays as it is.
pub(crate) fn moment(at: &str) -> String {
    let is_moment = at.as_bytes().get(10) == Some(&b'T') && at.is_char_boundary(16);
    match at.get(..16) {
        Some(start) if is_moment => start.replace('T', " "),
        _ => at.to_owned(),
    }
}

/// Who, and when.
pub(crate) fn said(said: &Said) -> String {
    format!("{}, {}", said.who, moment(&said.at))
}

#[cfg(test)]
mod tests {
    use super::moment;

    #[test]
    fn a_moment_keeps_day_hour_and_minute_and_other_words_stay() {
        assert_eq!(moment("2026-05-02T08:15:30.123Z"), "2026-05-02 08:15");
        for other in ["", "noon", "2026-05-02", "2026-05-02T08:1\u{e9}"] {
            assert_eq!(moment(other), other);
        }
    }
}
