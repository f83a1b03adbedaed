//! What the server refuses, tried on a real one: who is not logged in, other sites, paths that lead
//! out, what is too large or no photo, bombs, script and SQL in every field, sessions put upon
//! somebody, passwords tried one after the other. The list follows the OWASP Application Security
//! Verification Standard 4.0.3, chapters 2 to 5, 12, 13 and 14 (from memory).

#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]

mod support;

use std::io::{Read as _, Write as _};

use serde_json::json;
use store::{Clock, Store};
use support::{Ask, Server};

const RECORD: &str = "unbury = 1\n\n[vehicle]\nname = \"Van\"\n\n[devices]\n\
                      pump = { kind = \"water pump\" }\nbar = { kind = \"busbar\" }\n";

/// A server that has to be logged in to, with a lead and a case.
struct Shop {
    _data: tempfile::TempDir,
    server: Server,
    /// `unbury=...` of the lead.
    cookie: String,
    token: String,
    case: String,
}

fn shop() -> Shop {
    let data = tempfile::tempdir().unwrap();
    let server = Server::start(data.path(), &["--listen", "0.0.0.0:0"]);
    let begin = begin(&server, &server.code());
    assert_eq!(begin.status, 303, "{}", begin.text());
    let cookie = begin.cookie();
    let token = server.send(&Ask::get("/people").with("Cookie", &cookie)).unwrap().token();
    let draft = json!({
        "id": store::new_id(), "device": "test", "at": "2026-05-02T10:00:00Z", "base": 0,
        "change": { "open": { "title": "Van", "text": RECORD } },
    });
    let made = server.send(&Ask::json("/api/cases", &draft).with("Cookie", &cookie)).unwrap();
    let case = made.json()["id"].as_str().unwrap().to_owned();
    Shop { _data: data, server, cookie, token, case }
}

fn begin(server: &Server, code: &str) -> support::Answer {
    let fields = [("code", code), ("name", "Ana"), ("password", "correct horse")];
    server.send(&Ask::form("/begin", &fields)).unwrap()
}

impl Shop {
    fn send(&self, ask: Ask) -> support::Answer {
        self.server.send(&ask.with("Cookie", &self.cookie)).unwrap()
    }

    fn entry(&self, change: serde_json::Value) -> serde_json::Value {
        let entry = json!([{
            "id": store::new_id(), "device": "test", "at": "2026-05-02T10:00:00Z", "base": 1,
            "change": change,
        }]);
        self.send(Ask::json(&format!("/case/{}/entries", self.case), &entry)).json()[0].clone()
    }

    fn log_in(&self, name: &str, password: &str) -> support::Answer {
        let fields = [("name", name), ("password", password)];
        self.server.send(&Ask::form("/login", &fields)).unwrap()
    }
}

#[test]
fn who_is_not_logged_in_gets_nothing() {
    let shop = shop();
    let case = &shop.case;
    for path in ["/", "/people", "/new", &format!("/case/{case}/arrival"), "/api/cases"] {
        let page = shop.server.get(path);
        assert_eq!(
            (page.status, page.header("location")),
            (303, format!("/login?back={path}").as_str())
        );
        assert!(page.body.is_empty() || !page.text().contains("Van"), "{path}");
    }
    let json = |path: &str| Ask::get(path).with("Accept", "application/json");
    for path in [
        "/api/cases",
        "/api/openapi.json",
        &format!("/case/{case}/events"),
        &format!("/case/{case}/photo/{}", "0".repeat(64)),
    ] {
        // Two Accept headers: the first asks for a page, so a page to log in is offered.
        assert!([303, 401].contains(&shop.server.send(&json(path)).unwrap().status), "{path}");
    }
    let posts = [
        Ask::json(&format!("/case/{case}/entries"), &json!([])),
        Ask::json("/api/cases", &json!({})),
        Ask::form(&format!("/case/{case}/form"), &[("kind", "note"), ("words", "x")]),
        Ask::form("/people", &[("name", "Eve"), ("password", "long enough"), ("role", "lead")]),
        Ask::photo(&format!("/case/{case}/photos"), &[], b"x"),
        Ask::form("/logout", &[]),
    ];
    for ask in posts {
        for cookie in ["", "unbury=", "unbury=0000", "unbury=' OR 1=1 --"] {
            let answer = shop.server.send(&ask.clone().with("Cookie", cookie)).unwrap();
            assert_eq!(answer.status, 401, "{cookie}");
            assert!(answer.json()["message"].is_string());
        }
    }
}

#[test]
fn the_first_lead_needs_the_code_and_there_is_one_first() {
    let data = tempfile::tempdir().unwrap();
    let server = Server::start(data.path(), &["--listen", "0.0.0.0:0"]);
    assert_eq!(server.get("/").header("location"), "/begin");
    assert_eq!(begin(&server, "wrong").status, 401);
    let cookie = begin(&server, &server.code()).header("set-cookie").to_owned();
    for part in ["HttpOnly", "SameSite=Strict", "Path=/"] {
        assert!(cookie.contains(part), "{cookie}");
    }
    assert_eq!(begin(&server, &server.code()).status, 403);
}

#[test]
fn what_another_site_makes_a_browser_send_is_refused() {
    let shop = shop();
    let path = format!("/case/{}/entries", shop.case);
    let note = json!([{
        "id": store::new_id(), "device": "x", "at": "2026-05-02T10:00:00Z", "base": 0,
        "change": { "note": { "words": "x" } },
    }]);
    for (name, value) in [
        ("Origin", "http://evil.example"),
        ("Origin", "null"),
        ("Origin", "https://127.0.0.1.evil.example"),
        ("Sec-Fetch-Site", "cross-site"),
        ("Sec-Fetch-Site", "same-site"),
    ] {
        let answer = shop.send(Ask::json(&path, &note).with(name, value));
        assert_eq!(answer.status, 403, "{name}: {value}");
    }
    let own = format!("http://{}", shop.server.address);
    assert_eq!(shop.send(Ask::json(&path, &note).with("Origin", &own)).status, 200);
    // A form of another session, or of none.
    let form = format!("/case/{}/form", shop.case);
    for token in ["", "0000", &"0".repeat(64)] {
        let fields = [("kind", "note"), ("words", "x"), ("token", token)];
        assert_eq!(shop.send(Ask::form(&form, &fields)).status, 403, "{token}");
    }
    let fields = [("kind", "note"), ("words", "x"), ("token", &shop.token)];
    assert_eq!(shop.send(Ask::form(&form, &fields)).status, 303);
    // JSON that a form of another site could send.
    let plain = Ask::post(&path, "text/plain", note.to_string());
    assert_eq!(shop.send(plain).status, 415);
}

#[test]
fn a_path_leads_nowhere_else() {
    let shop = shop();
    let case = &shop.case;
    for path in [
        "/assets/../Cargo.toml".to_owned(),
        "/assets/..%2f..%2fCargo.toml".to_owned(),
        "/assets/%2e%2e/%2e%2e/etc/passwd".to_owned(),
        format!("/case/{case}/photo/..%2f..%2funbury.db"),
        format!("/case/{case}/photo/%2e%2e%2funbury.db"),
        format!("/case/..%2f{case}/arrival"),
        "/case/../../etc/passwd".to_owned(),
        format!("/case/{case}/drawing/..%2f..%2fx.svg"),
        "/owner/..%2f..%2funbury.db".to_owned(),
    ] {
        let answer = shop.send(Ask::get(&path));
        assert_eq!(answer.status, 404, "{path}");
        assert!(!answer.text().contains("SQLite") && !answer.text().contains("root:"), "{path}");
    }
}

#[test]
fn what_is_too_large_or_of_a_wrong_kind_is_refused_by_name() {
    let shop = shop();
    let (entries, photos) =
        (format!("/case/{}/entries", shop.case), format!("/case/{}/photos", shop.case));
    let huge = "x".repeat(13 << 20);
    assert_eq!(shop.send(Ask::post(&entries, "application/json", huge.clone())).status, 413);
    let form = Ask::form(&format!("/case/{}/form", shop.case), &[("kind", "note")]);
    assert_eq!(shop.send(form).status, 403);
    assert_eq!(shop.send(Ask::photo(&photos, &[], &vec![0; 42 << 20])).status, 413);
    assert_eq!(shop.send(Ask::post(&entries, "application/json", "[{")).status, 400);
    let many = json!(vec![json!({}); 1001]);
    assert_eq!(shop.send(Ask::json(&entries, &many)).status, 413);
    for (file, status, word) in [
        (&b"not a picture"[..], 415, "no JPEG, PNG or WebP"),
        (
            b"<svg xmlns='http://www.w3.org/2000/svg'><script>alert(1)</script></svg>",
            415,
            "no JPEG",
        ),
        (b"GIF89a\x01\x00\x01\x00\x00\x00\x00;", 415, "no JPEG"),
        (b"\x00\x00\x00\x18ftypheic\x00\x00\x00\x00mif1heic", 415, "HEIC"),
        (b"\xff\xd8\xff\xe0", 422, "damaged"),
        (b"", 400, "no picture"),
    ] {
        let answer = shop.send(Ask::photo(&photos, &[("id", &store::new_id())], file));
        assert_eq!(answer.status, status, "{}", answer.text());
        assert!(answer.json()["message"].as_str().unwrap().contains(word), "{}", answer.text());
    }
    let long = "x".repeat(20_001);
    assert_eq!(shop.entry(json!({ "note": { "words": long } }))["outcome"], "refused");
    assert_eq!(shop.entry(json!({ "unknown": {} }))["outcome"], "refused");
    assert_eq!(shop.send(Ask::get("/api/cases")).json()[0]["head"], 1);
}

/// A PNG (ISO/IEC 15948) of this size that holds as good as nothing, with a text that unpacks to
/// so much where that is asked for.
fn bomb(width: u32, height: u32, text_megabytes: usize) -> Vec<u8> {
    let mut out = b"\x89PNG\r\n\x1a\n".to_vec();
    let mut head = [width.to_be_bytes(), height.to_be_bytes()].concat();
    head.extend([8, 2, 0, 0, 0]);
    chunk(&mut out, b"IHDR", &head);
    if text_megabytes > 0 {
        let mut text = b"Comment\0\0".to_vec();
        text.extend(packed(text_megabytes));
        chunk(&mut out, b"zTXt", &text);
    }
    chunk(&mut out, b"IDAT", &packed(1));
    chunk(&mut out, b"IEND", &[]);
    out
}

/// So many bytes of nothing, packed (RFC 1950, RFC 1951): a megabyte is packed once, and its blocks
/// repeated, which unpack to the same again.
fn packed(megabytes: usize) -> Vec<u8> {
    let zeros = vec![0; 1 << 20];
    let mut block = Vec::with_capacity(1 << 16);
    let mut packer = flate2::Compress::new(flate2::Compression::best(), false);
    packer.compress_vec(&zeros, &mut block, flate2::FlushCompress::Sync).unwrap();
    let mut out = vec![0x78, 0x9c];
    out.extend(block.repeat(megabytes));
    // An empty last block.
    out.extend([0x03, 0x00]);
    // Adler-32 of zeros (RFC 1950, 2.2): the first sum stays 1, the second counts the bytes.
    let count = ((megabytes << 20) % 65_521) as u32;
    out.extend(((count << 16) | 1).to_be_bytes());
    out
}

fn chunk(out: &mut Vec<u8>, kind: &[u8; 4], data: &[u8]) {
    out.extend((data.len() as u32).to_be_bytes());
    let mut crc = flate2::Crc::new();
    crc.update(kind);
    crc.update(data);
    out.extend(kind.iter().chain(data));
    out.extend(crc.sum().to_be_bytes());
}

#[test]
fn a_picture_that_claims_or_unpacks_to_too_much_is_refused_before_memory_is_taken() {
    let shop = shop();
    let path = format!("/case/{}/photos", shop.case);
    for (width, height) in [(50_000, 50_000), (19_000, 19_000), (u32::MAX, 1)] {
        let answer = shop.send(Ask::photo(&path, &[], &bomb(width, height, 0)));
        assert_eq!(answer.status, 422, "{width} by {height}: {}", answer.text());
    }
    let answer = shop.send(Ask::photo(&path, &[], &bomb(8, 8, 400)));
    assert!([200, 422].contains(&answer.status), "{}", answer.text());
    let most = shop.server.most_memory();
    assert!(most > 0 && most < 256 << 20, "{most} bytes");
}

const SCRIPT: &str = "<script>alert(1)</script>\"'><img src=x onerror=alert(2)>";
const SQL: &str = "'; DROP TABLE entries; --";

/// An entry of every kind with these words in every field that takes words.
fn everywhere(words: &str) -> Vec<serde_json::Value> {
    let quoted = serde_json::to_string(words).unwrap();
    vec![
        json!({ "note": { "on": words, "words": words } }),
        json!({ "note": { "words": words } }),
        json!({ "line": { "section": "devices", "text": format!("{quoted} = {{ kind = {quoted}, label = {quoted} }}") } }),
        json!({ "line": { "section": "symptoms", "text": format!("s1 = {{ words = {quoted}, device = \"pump\" }}") } }),
        json!({ "line": { "section": "readings", "text": format!("r1 = {quoted}") } }),
        json!({ "line": { "section": "wires", "text": format!("w1 = {quoted}") } }),
        json!({ "value": { "path": "devices.pump.label", "is": words } }),
        json!({ "value": { "path": "vehicle.complaint", "is": words } }),
        json!({ "value": { "path": "vehicle.name", "is": words, "was": "Van" } }),
        json!({ "value": { "path": "devices.bar.label", "is": words, "was": words } }),
        json!({ "tick": { "list": words, "step": words, "reading": words, "done": true } }),
        json!({ "tick": { "list": "dead", "step": "pump", "reading": words, "done": true } }),
        json!({ "authority": { "to": words, "by": words, "how": words, "up_to": words, "given": true } }),
        json!({ "lines": { "from": words, "to": words } }),
    ]
}

#[test]
fn script_in_every_field_stays_words_on_every_page() {
    let shop = shop();
    for change in everywhere(SCRIPT) {
        let outcome = shop.entry(change.clone());
        assert_ne!(outcome["outcome"], "refused", "{change}: {outcome}");
    }
    let case = &shop.case;
    let mut pages: Vec<String> = [
        "arrival",
        "dead",
        "found",
        "suspects",
        "way-in",
        "put-right",
        "prove",
        "hand-over",
        "history",
        "item/pump",
        "links",
    ]
    .iter()
    .map(|page| format!("/case/{case}/{page}"))
    .collect();
    pages.extend([
        "/".to_owned(),
        "/people".to_owned(),
        "/new".to_owned(),
        format!("/case/{case}/item/{}", support::encoded(SCRIPT)),
        format!("/login?back={}", support::encoded(SCRIPT)),
    ]);
    for path in &pages {
        let page = shop.send(Ask::get(path));
        assert!([200, 303, 404].contains(&page.status), "{path}: {}", page.text());
        let text = page.text();
        assert!(!text.contains("<script>alert") && !text.contains("<img src=x"), "{path}");
        let policy = page.header("content-security-policy");
        assert!(
            policy.contains("default-src 'self'") && !policy.contains("unsafe"),
            "{path}: {policy}"
        );
        assert_eq!(page.header("x-content-type-options"), "nosniff", "{path}");
    }
    let history = shop.send(Ask::get(&format!("/case/{case}/history"))).text();
    assert!(history.contains("&lt;script&gt;alert(1)"), "the words are shown as words");
}

#[test]
fn sql_in_every_field_is_only_words() {
    let shop = shop();
    for change in everywhere(SQL) {
        shop.entry(change);
    }
    for path in
        ["/api/cases/'%20OR%201=1", "/owner/'%20OR%201=1", "/case/';DROP%20TABLE%20cases/arrival"]
    {
        assert_eq!(shop.send(Ask::get(path)).status, 404, "{path}");
    }
    assert_eq!(shop.log_in(SQL, SQL).status, 401);
    let fields = [("name", SQL), ("password", "long enough"), ("token", &shop.token)];
    assert_eq!(shop.send(Ask::form("/people", &fields)).status, 303);
    assert_eq!(shop.log_in(SQL, "long enough").status, 303);
    let store = Store::open(shop._data.path(), Clock::system()).unwrap();
    assert_eq!(store.verify(&shop.case).unwrap().faults, Vec::<String>::new());
    assert_eq!(store.database_faults().unwrap(), Vec::<String>::new());
    assert!(store.head(&shop.case).unwrap() > 10);
}

#[test]
fn a_session_that_was_put_upon_somebody_is_worth_nothing_after_they_log_in() {
    let shop = shop();
    let planted = "unbury=0123456789abcdef";
    let fields = [("name", "Ana"), ("password", "correct horse")];
    let answer = shop.server.send(&Ask::form("/login", &fields).with("Cookie", planted)).unwrap();
    assert_eq!(answer.status, 303);
    assert_ne!(answer.cookie(), planted);
    let with =
        |cookie: &str| shop.server.send(&Ask::get("/people").with("Cookie", cookie)).unwrap();
    assert_eq!(with(planted).status, 303);
    assert_eq!(with(&answer.cookie()).status, 200);
    // A session of one's own ends when one logs in anew over it.
    let over =
        shop.server.send(&Ask::form("/login", &fields).with("Cookie", &answer.cookie())).unwrap();
    assert_eq!(with(&answer.cookie()).status, 303);
    assert_eq!(with(&over.cookie()).status, 200);
    let token = with(&over.cookie()).token();
    let out = Ask::form("/logout", &[("token", &token)]).with("Cookie", &over.cookie());
    assert_eq!(shop.server.send(&out).unwrap().status, 303);
    assert_eq!(with(&over.cookie()).status, 303);
}

#[test]
fn passwords_cannot_be_tried_one_after_the_other() {
    let shop = shop();
    let mut waited = None;
    for number in 0..8 {
        let answer = shop.log_in("Ana", &format!("guess {number}"));
        match answer.status {
            401 => assert!(waited.is_none(), "a guess was looked at while one had to wait"),
            429 => waited = Some(answer.header("retry-after").parse::<u32>().unwrap()),
            other => panic!("{other}"),
        }
    }
    assert!(waited.is_some_and(|wait| wait >= 1), "nobody had to wait");
    // Not even the right one is looked at meanwhile.
    assert_eq!(shop.log_in("Ana", "correct horse").status, 429);
    // Somebody else at the same address is not kept out.
    let fields = [("name", "Ben"), ("password", "battery staple"), ("token", &shop.token)];
    assert_eq!(shop.send(Ask::form("/people", &fields)).status, 303);
    assert_eq!(shop.log_in("Ben", "battery staple").status, 303);
}

#[test]
fn a_technician_adds_nobody_and_gives_no_links() {
    let shop = shop();
    let fields = [("name", "Ben"), ("password", "battery staple"), ("token", &shop.token)];
    shop.send(Ask::form("/people", &fields));
    let cookie = shop.log_in("Ben", "battery staple").cookie();
    let links = format!("/case/{}/links", shop.case);
    for path in ["/people", &links] {
        assert_eq!(shop.server.send(&Ask::get(path).with("Cookie", &cookie)).unwrap().status, 403);
    }
    let page = shop
        .server
        .send(&Ask::get(&format!("/case/{}/history", shop.case)).with("Cookie", &cookie));
    let token = page.unwrap().token();
    for (path, fields) in [
        ("/people", vec![("name", "Eve"), ("password", "long enough"), ("role", "lead")]),
        ("/people/remove", vec![("name", "Ana")]),
        (links.as_str(), vec![("days", "9")]),
    ] {
        let fields = [fields, vec![("token", token.as_str())]].concat();
        let answer = shop.server.send(&Ask::form(path, &fields).with("Cookie", &cookie)).unwrap();
        assert_eq!(answer.status, 403, "{path}");
    }
}

#[test]
fn a_link_for_the_owner_shows_one_report_and_nothing_else_until_it_is_taken_back() {
    let shop = shop();
    let links = format!("/case/{}/links", shop.case);
    let page = shop.send(Ask::form(&links, &[("days", "9"), ("token", &shop.token)])).text();
    let (_, after) = page.split_once("/owner/").unwrap();
    let owner = format!("/owner/{}", after.split('"').next().unwrap());
    let report = shop.server.get(&owner);
    assert_eq!(report.status, 200);
    assert!(report.text().contains("The report") && !report.text().contains("<form"));
    assert_eq!(report.header("cache-control"), "no-store");
    let record = shop.server.get(&format!("{owner}/record.toml"));
    assert!(record.status == 200 && record.text().contains("water pump"), "{}", record.text());
    for path in
        [format!("{owner}/unbury.db"), format!("{owner}/..%2funbury.db"), "/owner/0000".to_owned()]
    {
        assert_eq!(shop.server.get(&path).status, 404, "{path}");
    }
    assert_eq!(shop.server.get(&format!("/case/{}/arrival", shop.case)).status, 303);
    assert_eq!(shop.server.send(&Ask::form(&owner, &[])).unwrap().status, 405);
    let listed = shop.send(Ask::get(&links)).text();
    let (_, after) = listed.split_once("name=\"name\" value=\"").unwrap();
    let name = after.split('"').next().unwrap();
    shop.send(Ask::form(&format!("{links}/revoke"), &[("name", name), ("token", &shop.token)]));
    assert_eq!(shop.server.get(&owner).status, 404);
}

#[test]
fn a_server_for_this_machine_answers_to_its_own_name_only() {
    let data = tempfile::tempdir().unwrap();
    let server = Server::start(data.path(), &["--listen", "127.0.0.1:0"]);
    assert_eq!(server.get("/").status, 200);
    for host in ["evil.example", "127.0.0.1.evil.example", "", "localhost.evil.example:80"] {
        let answer = server.send(&Ask::get("/").with("Host", host)).unwrap();
        assert_eq!(answer.status, 421, "{host}");
    }
}

#[test]
fn a_server_that_is_asked_to_end_tells_pages_that_listen_for_changes_and_ends() {
    let data = tempfile::tempdir().unwrap();
    let store = Store::open(data.path(), Clock::system()).unwrap();
    let who = store::Who { name: "Ana".to_owned() };
    let open = store::Change::Open { title: "Van".to_owned(), text: RECORD.to_owned() };
    let at = "2026-05-02T10:00:00Z".to_owned();
    let draft =
        store::Draft { id: store::new_id(), device: "test".to_owned(), at, base: 0, change: open };
    let case = store.new_case(&who, draft).unwrap();
    drop(store);
    let mut server = Server::start(data.path(), &["--listen", "127.0.0.1:0"]);
    let mut page = std::net::TcpStream::connect(&server.address).unwrap();
    page.set_read_timeout(Some(std::time::Duration::from_secs(20))).unwrap();
    let ask = format!("GET /case/{case}/events HTTP/1.1\r\nHost: {}\r\n\r\n", server.address);
    page.write_all(ask.as_bytes()).unwrap();
    let mut seen = Vec::new();
    let mut piece = [0; 1024];
    while !String::from_utf8_lossy(&seen).contains("data: 1") {
        let length = page.read(&mut piece).unwrap();
        assert!(length > 0, "it ended before it said anything");
        seen.extend_from_slice(&piece[..length]);
    }
    let took = server.ask_to_end();
    assert!(took.as_secs() < 8, "{took:?}");
    page.read_to_end(&mut seen).unwrap();
    // The last chunk has no bytes (RFC 9112, 7.1): the answer was ended, not torn off.
    assert!(seen.ends_with(b"0\r\n\r\n"), "{}", String::from_utf8_lossy(&seen));
}

#[test]
fn cases_and_backups_pass_through_the_browser_for_a_lead_and_nobody_else() {
    let shop = shop();
    let export = format!("/case/{}/export", shop.case);
    let file = shop.send(Ask::get(&export));
    assert_eq!(file.status, 200);
    assert!(file.header("content-disposition").contains(".unbury-case"));
    let token = [("token", shop.token.as_str())];
    let backup = shop.send(Ask::form("/keep/backup", &token));
    assert_eq!((backup.status, backup.header("cache-control")), (200, "no-store, private"));
    // As an archive (APPNOTE 4.3.16) it ends with its list, so nothing is missing.
    assert!(backup.body.windows(4).any(|bytes| bytes == b"PK\x05\x06"), "{}", backup.body.len());
    assert!(backup.body.windows(11).any(|bytes| bytes == b"backup.json"));

    // Another machine takes it in, once; without the token of a form of its own, not at all.
    let other = crate::shop();
    let take = |fields: &[(&str, &str)], bytes: &[u8]| {
        other.send(Ask::photo("/keep/case", fields, bytes).with("Accept", "text/html"))
    };
    for fields in [&[][..], &[("token", "0000")], &[("token", shop.token.as_str())]] {
        assert_eq!(take(fields, &file.body).status, 403);
    }
    let own = [("token", other.token.as_str())];
    let taken = take(&own, &file.body);
    assert_eq!(taken.status, 303, "{}", taken.text());
    assert_eq!(taken.header("location"), format!("/case/{}/history", shop.case));
    let page = other.send(Ask::get(&format!("/case/{}/arrival", shop.case)));
    assert!(page.status == 200 && page.text().contains("Van"));
    assert_eq!(take(&own, &file.body).status, 303, "the same again changes nothing");
    assert_eq!(other.send(Ask::get("/api/cases")).json().as_array().unwrap().len(), 2);

    // What is no case, or was changed on its way, is refused with a page that says why.
    let mut changed = file.body.clone();
    let at = changed.windows(13).position(|bytes| bytes == b"journal.jsonl").unwrap() + 40;
    changed[at] ^= 1;
    for (bytes, word) in [
        (&b"no archive"[..], "no file of a case"),
        (&changed, "damaged"),
        (b"", "no file of a case"),
    ] {
        let answer = take(&own, bytes);
        assert!([400, 422].contains(&answer.status), "{}: {}", answer.status, answer.text());
        assert!(
            answer.text().contains(word) || answer.text().contains("changed"),
            "{}",
            answer.text()
        );
    }
    assert_eq!(other.send(Ask::get("/api/cases")).json().as_array().unwrap().len(), 2);

    let fields = [("name", "Ben"), ("password", "battery staple"), token[0]];
    shop.send(Ask::form("/people", &fields));
    let cookie = shop.log_in("Ben", "battery staple").cookie();
    let history = Ask::get(&format!("/case/{}/history", shop.case)).with("Cookie", &cookie);
    let token = shop.server.send(&history).unwrap().token();
    for ask in [
        Ask::get("/keep"),
        Ask::get(&export),
        Ask::form("/keep/backup", &[("token", &token)]),
        Ask::photo("/keep/case", &[("token", &token)], &file.body),
    ] {
        assert_eq!(shop.server.send(&ask.clone().with("Cookie", &cookie)).unwrap().status, 403);
        assert_ne!(shop.server.send(&ask).unwrap().status, 200, "nobody is logged in");
    }
}
