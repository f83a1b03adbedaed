//! Reads Rust text just well enough to tell code from comments, string literals and test code.
//!
//! Deliberately not a parser: it knows comments, literals, braces and the word `fn`, and nothing
//! of types, macros or name resolution. Whatever needs more belongs in a compiler lint.

#[cfg(test)]
mod tests;

/// A piece of text lifted out of a source file, and the line it starts on (counted from 1).
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Lifted {
    /// Line of the first character, counted from 1.
    pub(crate) line: usize,
    /// The text between the quotes, escapes as written; or the comment without its slashes.
    pub(crate) text: String,
}

/// A source file taken apart.
#[derive(Clone, Debug, Default)]
pub(crate) struct Scan {
    /// The code with the inside of literals and all comments replaced by spaces. Line breaks
    /// stay where they were.
    pub(crate) code: String,
    /// String literals, byte strings included.
    pub(crate) strings: Vec<Lifted>,
    /// Line and block comments, doc comments included.
    pub(crate) comments: Vec<Lifted>,
}

/// A function with a body.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Function {
    /// The name after `fn`.
    pub(crate) name: String,
    /// Line of the word `fn`, counted from 1.
    pub(crate) line: usize,
    /// Lines from the word `fn` to the closing brace, both counted.
    pub(crate) lines: usize,
}

/// Takes a source file apart.
pub(crate) fn scan(text: &str) -> Scan {
    let mut lexer = Lexer { chars: text.chars().collect(), at: 0, line: 1, out: Scan::default() };
    while lexer.at < lexer.chars.len() {
        lexer.step();
    }
    lexer.out
}

/// The functions with a body in `code` (as made by [`scan`]), nested ones counted on their own.
pub(crate) fn functions(code: &str) -> Vec<Function> {
    let chars: Vec<char> = code.chars().collect();
    let lines = line_of_each(&chars);
    words(code)
        .into_iter()
        .filter(|word| word.text == "fn")
        .filter_map(|word| {
            let name = name_at(&chars, word.offset + "fn".len())?;
            let end = body_end(&chars, word.offset)?;
            let (first, last) = (lines[word.offset], lines[end]);
            Some(Function { name, line: first, lines: last - first + 1 })
        })
        .collect()
}

/// First and last line of every item under `#[cfg(test)]`, and the names of modules declared
/// there whose text is in another file.
pub(crate) fn test_items(code: &str) -> (Vec<(usize, usize)>, Vec<String>) {
    let chars: Vec<char> = code.chars().collect();
    let lines = line_of_each(&chars);
    let mut ranges = Vec::new();
    let mut modules = Vec::new();
    for start in attribute_offsets(&chars, "#[cfg(test)]") {
        let Some(end) = item_end(&chars, start) else { continue };
        ranges.push((lines[start], lines[end]));
        if chars[end] == ';' {
            let item: String = chars[start..end].iter().collect();
            let found = words(&item);
            let after_mod = found.iter().skip_while(|word| word.text != "mod").nth(1);
            modules.extend(after_mod.map(|word| word.text.clone()));
        }
    }
    (ranges, modules)
}

/// A word of code: letters, digits and underscores, not starting with a digit.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Word {
    /// The word itself.
    pub(crate) text: String,
    /// Where it starts, counted in characters from 0.
    pub(crate) offset: usize,
    /// Its line, counted from 1.
    pub(crate) line: usize,
}

/// The words of `code` in order; numbers are left out.
pub(crate) fn words(code: &str) -> Vec<Word> {
    runs(code).into_iter().filter(|run| !starts_with_digit(&run.text)).collect()
}

/// A number written in the code.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Number {
    /// Its line, counted from 1.
    pub(crate) line: usize,
    /// Its value.
    pub(crate) value: f64,
}

/// The decimal numbers written in `code`, with a point or without, suffixes dropped.
pub(crate) fn numbers(code: &str) -> Vec<Number> {
    runs(code)
        .into_iter()
        .filter(|run| starts_with_digit(&run.text))
        .filter_map(|run| Some(Number { line: run.line, value: number_value(&run.text)? }))
        .collect()
}

/// Everything inside `{ }` of `use` declarations spelled out: one path per imported name,
/// with its line. `use std::{fs, io::Read};` gives `std::fs` and `std::io::Read`.
pub(crate) fn imports(code: &str) -> Vec<Lifted> {
    let chars: Vec<char> = code.chars().collect();
    let mut out = Vec::new();
    for word in words(code).into_iter().filter(|word| word.text == "use") {
        let rest = &chars[word.offset + "use".len()..];
        let tree: String = rest.iter().take_while(|&&c| c != ';').collect();
        let tree: String = tree.chars().map(|c| if c.is_whitespace() { ' ' } else { c }).collect();
        spell_out("", tree.trim(), word.line, &mut out);
    }
    out
}

struct Lexer {
    chars: Vec<char>,
    at: usize,
    line: usize,
    out: Scan,
}

impl Lexer {
    fn step(&mut self) {
        let here = self.chars[self.at];
        match (here, self.peek(1)) {
            ('/', Some('/')) => self.line_comment(),
            ('/', Some('*')) => self.block_comment(),
            ('"', _) => self.plain_string(),
            ('r', _) if !self.after_word() && self.raw_hashes(1).is_some() => self.raw_string(1),
            ('b' | 'c', Some('r')) if !self.after_word() && self.raw_hashes(2).is_some() => {
                self.raw_string(2);
            }
            ('\'', _) => self.quote(),
            _ => self.keep(),
        }
    }

    fn peek(&self, ahead: usize) -> Option<char> {
        self.chars.get(self.at + ahead).copied()
    }

    fn after_word(&self) -> bool {
        self.at > 0 && is_word(self.chars[self.at - 1])
    }

    /// Copies one character of code.
    fn keep(&mut self) {
        self.push(self.chars[self.at]);
    }

    /// Moves on one character and leaves `shown` in the code in its place.
    fn push(&mut self, shown: char) {
        let newline = self.chars[self.at] == '\n';
        self.out.code.push(if newline { '\n' } else { shown });
        self.line += usize::from(newline);
        self.at += 1;
    }

    /// Blanks the next `count` characters.
    fn blank(&mut self, count: usize) {
        for _ in 0..count.min(self.chars.len() - self.at) {
            self.push(' ');
        }
    }

    fn line_comment(&mut self) {
        let rest = &self.chars[self.at..];
        let length = rest.iter().position(|&c| c == '\n').unwrap_or(rest.len());
        let text = rest[2..length].iter().collect();
        self.out.comments.push(Lifted { line: self.line, text });
        self.blank(length);
    }

    fn block_comment(&mut self) {
        let (start, line) = (self.at, self.line);
        let mut depth = 0_usize;
        while self.at < self.chars.len() {
            match (self.chars[self.at], self.peek(1)) {
                ('/', Some('*')) => depth += 1,
                ('*', Some('/')) => depth -= 1,
                _ => {
                    self.blank(1);
                    continue;
                }
            }
            self.blank(2);
            if depth == 0 {
                break;
            }
        }
        let text = self.chars[start..self.at].iter().collect();
        self.out.comments.push(Lifted { line, text });
    }

    fn plain_string(&mut self) {
        let line = self.line;
        self.keep();
        let start = self.at;
        while self.at < self.chars.len() && self.chars[self.at] != '"' {
            self.blank(if self.chars[self.at] == '\\' { 2 } else { 1 });
        }
        let text = self.chars[start..self.at].iter().collect();
        self.out.strings.push(Lifted { line, text });
        if self.at < self.chars.len() {
            self.keep();
        }
    }

    /// The number of `#` if a raw string starts `prefix` characters ahead.
    fn raw_hashes(&self, prefix: usize) -> Option<usize> {
        let rest = self.chars.get(self.at + prefix..)?;
        let hashes = rest.iter().take_while(|&&c| c == '#').count();
        (rest.get(hashes) == Some(&'"')).then_some(hashes)
    }

    fn raw_string(&mut self, prefix: usize) {
        let line = self.line;
        let hashes = self.raw_hashes(prefix).unwrap_or(0);
        self.blank(prefix + hashes);
        self.keep();
        let start = self.at;
        while self.at < self.chars.len() && !self.raw_ends(hashes) {
            self.blank(1);
        }
        let text = self.chars[start..self.at].iter().collect();
        self.out.strings.push(Lifted { line, text });
        if self.at < self.chars.len() {
            self.keep();
            self.blank(hashes);
        }
    }

    fn raw_ends(&self, hashes: usize) -> bool {
        self.chars[self.at] == '"' && (1..=hashes).all(|ahead| self.peek(ahead) == Some('#'))
    }

    /// A character literal is blanked; a lifetime is code.
    fn quote(&mut self) {
        let length = match (self.peek(1), self.peek(2)) {
            (Some('\\'), _) => {
                let rest = &self.chars[self.at..];
                rest.iter().skip(3).position(|&c| c == '\'').map(|closing| closing + 4)
            }
            (Some(_), Some('\'')) => Some(3),
            _ => None,
        };
        match length {
            Some(length) => self.blank(length),
            None => self.keep(),
        }
    }
}

fn is_word(c: char) -> bool {
    c.is_alphanumeric() || c == '_'
}

fn starts_with_digit(text: &str) -> bool {
    text.starts_with(|c: char| c.is_ascii_digit())
}

/// Words and numbers. A number takes its decimal point and the sign of its exponent with it.
fn runs(code: &str) -> Vec<Word> {
    let chars: Vec<char> = code.chars().collect();
    let lines = line_of_each(&chars);
    let mut out = Vec::new();
    let mut at = 0;
    while at < chars.len() {
        if !is_word(chars[at]) {
            at += 1;
            continue;
        }
        let start = at;
        let number = chars[start].is_ascii_digit();
        while at < chars.len()
            && (is_word(chars[at]) || (number && continues_number(&chars, start, at)))
        {
            at += 1;
        }
        let text = chars[start..at].iter().collect();
        out.push(Word { text, offset: start, line: lines[start] });
    }
    out
}

/// Whether the `.`, `+` or `-` at `at` belongs to the number that began at `start`. The second
/// point of `pair.0.1` or `0..3` does not.
fn continues_number(chars: &[char], start: usize, at: usize) -> bool {
    let digit_next = chars.get(at + 1).is_some_and(char::is_ascii_digit);
    match chars[at] {
        '.' => {
            digit_next
                && !chars[start..at].contains(&'.')
                && (start == 0 || chars[start - 1] != '.')
        }
        '+' | '-' => digit_next && matches!(chars[at - 1], 'e' | 'E') && chars[start + 1] != 'x',
        _ => false,
    }
}

fn number_value(text: &str) -> Option<f64> {
    let plain: String = text.chars().filter(|&c| c != '_').collect();
    let end = ["f64", "f32"].iter().find_map(|suffix| plain.strip_suffix(suffix));
    end.unwrap_or(&plain).parse().ok()
}

fn line_of_each(chars: &[char]) -> Vec<usize> {
    let mut line = 1;
    let mut out = Vec::with_capacity(chars.len());
    for &c in chars {
        out.push(line);
        line += usize::from(c == '\n');
    }
    out
}

/// The name that follows at `from`, or `None` where no name follows (a function pointer type).
fn name_at(chars: &[char], from: usize) -> Option<String> {
    let rest = &chars[from..];
    let skipped = rest.iter().take_while(|c| c.is_whitespace()).count();
    let name: String = rest[skipped..].iter().take_while(|&&c| is_word(c)).collect();
    (skipped > 0 && !name.is_empty()).then_some(name)
}

/// Where the body of the function at `from` closes; `None` for a declaration without a body.
fn body_end(chars: &[char], from: usize) -> Option<usize> {
    let end = item_end(chars, from)?;
    (chars[end] == '}').then_some(end)
}

/// The `;` or closing `}` that ends the item at `from`.
fn item_end(chars: &[char], from: usize) -> Option<usize> {
    let (mut braces, mut others) = (0_i32, 0_i32);
    for (at, &c) in chars.iter().enumerate().skip(from) {
        match c {
            '(' | '[' => others += 1,
            ')' | ']' => others -= 1,
            '{' => braces += 1,
            '}' => {
                braces -= 1;
                if braces == 0 && others == 0 {
                    return Some(at);
                }
            }
            ';' if braces == 0 && others == 0 => return Some(at),
            _ => {}
        }
    }
    None
}

fn attribute_offsets(chars: &[char], attribute: &str) -> Vec<usize> {
    let wanted: Vec<char> = attribute.chars().collect();
    (0..chars.len()).filter(|&at| chars[at..].starts_with(&wanted)).collect()
}

fn spell_out(prefix: &str, tree: &str, line: usize, out: &mut Vec<Lifted>) {
    let Some((head, group)) = tree.split_once('{') else {
        let name = tree.split(" as ").next().unwrap_or(tree).trim();
        if !name.is_empty() {
            out.push(Lifted { line, text: format!("{prefix}{name}") });
        }
        return;
    };
    let prefix = format!("{prefix}{}", head.trim());
    let group = group.trim_end().strip_suffix('}').unwrap_or(group);
    for part in split_outside_braces(group) {
        spell_out(&prefix, part.trim(), line, out);
    }
}

fn split_outside_braces(group: &str) -> Vec<&str> {
    let (mut depth, mut start) = (0_i32, 0);
    let mut out = Vec::new();
    for (at, c) in group.char_indices() {
        match c {
            '{' => depth += 1,
            '}' => depth -= 1,
            ',' if depth == 0 => {
                out.push(&group[start..at]);
                start = at + 1;
            }
            _ => {}
        }
    }
    out.push(&group[start..]);
    out
}
