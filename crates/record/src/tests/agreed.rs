//! A yes or a no as a line of the record.

use super::clean;
use crate::{Agreed, add_line, agreed_line};

const VAN: &str = "unbury = 1\n[vehicle]\nname = \"Van\"\n";

fn with(text: &str, agreed: &Agreed<'_>) -> String {
    add_line(text, "authority", &agreed_line(text, agreed))
}

#[test]
fn what_was_said_is_read_back_from_the_record() {
    let yes = Agreed {
        by: "the owner",
        channel: "on the telephone",
        on: "2026-05-02 14:10 UTC",
        allows: "fuse-s1, joint-c3",
        up_to: "480 EUR",
        words: "go \"ahead\"",
        recorder: "RK",
        ..Agreed::default()
    };
    let no = Agreed { by: "the owner", declines: "the lining, unless it must", ..yes };
    let no = Agreed { allows: "", up_to: "two hours", words: "", ..no };
    let record = clean(&with(&with(VAN, &yes), &no));
    let [first, second] = &record.vehicle.authority[..] else { panic!("two are there") };
    assert_eq!((first.name.as_str(), second.name.as_str()), ("agreed-1", "agreed-2"));
    assert_eq!(first.allows, ["fuse-s1", "joint-c3"]);
    assert_eq!(first.total.map(|total| total.to_string()).as_deref(), Some("480.00 EUR"));
    assert_eq!(
        (first.words.as_str(), first.channel.as_str()),
        ("go \"ahead\"", "on the telephone")
    );
    assert_eq!((first.on.as_str(), first.recorder.as_str()), ("2026-05-02 14:10 UTC", "RK"));
    assert_eq!(second.declines, ["the lining, unless it must"], "words stay whole");
    assert!(second.allows.is_empty() && second.total.is_none());
    assert_eq!(second.words, "up to two hours", "what is no sum stays words");
}

#[test]
fn words_that_look_like_the_record_stay_words() {
    let odd = "\" }\n[devices]\nx = { kind = \"busbar\" } # \\ \u{7}";
    let agreed = Agreed { by: odd, allows: odd, words: odd, up_to: odd, ..Agreed::default() };
    let record = clean(&with(VAN, &agreed));
    assert!(record.vehicle.devices.is_empty());
    assert_eq!(record.vehicle.authority[0].by, odd);
}
