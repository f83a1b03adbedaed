//! One way of taking a part out, or of moving it: what it needs, takes and may break.

use std::collections::BTreeMap;

use catalog::around;
use diag::Diagnostic;
use model::{Damage, Fact, Fixing, Mess, Minutes, Origin, PartId, Place, Removal, WorkPosition};
use units::{Dimension, Fraction, Money};

use crate::fact_text::{Stated, stated};
use crate::fields;
use crate::possible::Must;
use crate::reader::Reader;
use crate::text::Words;
use crate::tree::Value;

type Table<'t> = BTreeMap<&'static str, Value<'t>>;

/// What it does to the part.
struct Harm {
    breaks: Fraction,
    price: Option<Money>,
    damage: Damage,
}

/// Minutes out and back with where they come from.
struct Times {
    out: Minutes,
    back: Minutes,
    origin: Origin,
    back_origin: Origin,
}

impl Reader<'_> {
    /// One way of taking a part out; an `or` in what must be out first makes several. `own`: the
    /// fixings this way undoes, if it says so; else those of the part.
    pub(crate) fn removal(&mut self, part: PartId, table: &Table<'_>, own: Option<Vec<Fixing>>) {
        let fixings = own.clone().unwrap_or_else(|| self.vehicle.parts[part].fixings.clone());
        let Some(times) = self.times(part, table, &fixings) else { return };
        let mut harm = self.harm(table);
        self.harm_of_fixings(&fixings, &mut harm);
        // What is destroyed keeps its fixings, unless the way says which are undone.
        let fixings =
            if harm.damage == Damage::Destroys { own.unwrap_or_default() } else { fixings };
        let how = table
            .get("how")
            .and_then(|value| self.text_of(value))
            .map_or_else(|| "take out".to_owned(), |words| words.text.to_owned());
        let tools = self.tools_of(table.get("with"));
        let position = table.get("position").map_or(Fact::Unknown, |value| {
            self.choice(value, fields::POSITIONS, |word| {
                WorkPosition::ALL.iter().find(|(_, known)| *known == word).map(|(p, _)| *p)
            })
        });
        let force_n = table.get("force").map_or(Fact::Unknown, |value| self.force(value));
        let second_person = self.second_person(part, table, &position, &force_n);
        let mess = table.get("mess").and_then(|value| self.mess(value));
        let needs = match table.get("after").map(|value| self.reach(value)) {
            Some(Fact::Known { value, .. }) => value,
            Some(Fact::Unknown) => return,
            None => vec![Vec::new()],
        };
        let way = Removal {
            part,
            label: how,
            needs: Vec::new(),
            fixings,
            tools,
            position,
            second_person,
            force_n,
            out: times.out,
            back: times.back,
            origin: times.origin,
            back_origin: times.back_origin,
            breaks: harm.breaks,
            price: harm.price,
            damage: harm.damage,
            mess,
        };
        self.add_removals(way, needs, table);
    }

    /// What a table says it is held by.
    pub(crate) fn fixings_of(&mut self, table: &Table<'_>) -> Option<Vec<Fixing>> {
        let words = table.get("fixings").and_then(|value| self.text_of(value))?;
        Some(self.fixings(words))
    }

    /// The way, once for each set of parts that may be out first.
    fn add_removals(&mut self, way: Removal, needs: Vec<Vec<PartId>>, table: &Table<'_>) {
        let part = way.part;
        for needs in needs {
            if needs.contains(&part) {
                self.needs_itself(part, table);
                continue;
            }
            if !self.has_room(
                self.vehicle.removals.len(),
                1,
                "ways of taking parts out",
                self.sources.span(Place::Part(part)),
            ) {
                return;
            }
            let id = self.vehicle.removals.push(Removal { needs, ..way.clone() });
            self.vehicle.parts[part].removals.push(id);
        }
    }

    fn needs_itself(&mut self, part: PartId, table: &Table<'_>) {
        let span = table.get("after").map(Value::span).unwrap_or_default();
        let message = format!("`{}` cannot be out before itself", self.vehicle.parts[part].name);
        self.report(
            Diagnostic::error("part-needs-itself", message, span)
                .help("this way is left out; write the parts that must be out first"),
        );
    }

    /// Minutes out and back: written, or from the fixings.
    fn times(&mut self, part: PartId, table: &Table<'_>, fixings: &[Fixing]) -> Option<Times> {
        let written_out = table.get("out").and_then(|value| self.minutes(value));
        let written_back = table.get("back").and_then(|value| self.minutes(value));
        let usual = self.catalog.fixings.usual(fixings);
        let assumed = || Origin::Assumed { why: "usual minutes of its fixings".to_owned() };
        match (written_out, written_back) {
            (Some((out, origin)), Some((back, back_origin))) => {
                Some(Times { out, back, origin, back_origin })
            }
            (Some((out, origin)), None) => {
                let why = "as long as out".to_owned();
                Some(Times { out, back: out, origin, back_origin: Origin::Assumed { why } })
            }
            (None, written) => {
                if table.contains_key("out") {
                    return None;
                }
                if fixings.is_empty() && !table.contains_key("how") {
                    self.no_minutes(part, table);
                    return None;
                }
                let (back, back_origin) =
                    written.unwrap_or_else(|| (around(usual.back_min), assumed()));
                let out = around(usual.out_min);
                Some(Times { out, back, origin: assumed(), back_origin })
            }
        }
    }

    fn no_minutes(&mut self, part: PartId, table: &Table<'_>) {
        let name = &self.vehicle.parts[part].name;
        let span = table.values().next().map(Value::span).unwrap_or_default();
        self.faults.report(
            Diagnostic::warning(
                "no-minutes",
                format!("nothing says how long it takes to get `{name}` out this way"),
                span,
            )
            .help("write `out = \"10 min\"`, or its `fixings`; until then the way is left out"),
        );
    }

    /// `10 min`, `8 / 10 / 20 min`, `told 1 h 20 min`.
    fn minutes(&mut self, value: &Value<'_>) -> Option<(Minutes, Origin)> {
        let words = self.text_of(value)?;
        let bare = self.bare.clone();
        let Stated { value: words, origin, .. } = stated(words, &bare)?;
        let pieces = self.pieces(words, " / ")?;
        let minutes = match pieces.as_slice() {
            [one] => around(self.number(*one, Dimension::Minutes)?),
            [low, likely, high] => {
                let unit = high.text.trim_start_matches(|c: char| c.is_ascii_digit() || c == '.');
                let mut read = |words: &Words<'_>| {
                    let text = if words.text.ends_with(|c: char| c.is_ascii_digit()) {
                        format!("{}{unit}", words.text)
                    } else {
                        words.text.to_owned()
                    };
                    self.number(Words::at(&text, words.span()), Dimension::Minutes)
                };
                Minutes { low: read(low)?, likely: read(likely)?, high: read(high)? }
            }
            _ => {
                self.report(
                    Diagnostic::error("minutes", "one figure or three are wanted", words.span())
                        .help("write `10 min`, or best / likely / worst: `8 / 10 / 20 min`"),
                );
                return None;
            }
        };
        if !(0.0 <= minutes.low && minutes.low <= minutes.likely && minutes.likely <= minutes.high)
        {
            self.report(
                Diagnostic::error(
                    "minutes",
                    "best, likely and worst are not in this order",
                    words.span(),
                )
                .help("write the smallest first"),
            );
            return None;
        }
        Some((minutes, origin))
    }

    fn harm(&mut self, table: &Table<'_>) -> Harm {
        let none = Harm { breaks: Fraction::from_si(0.0), price: None, damage: Damage::None };
        if let Some(value) = table.get("destroys") {
            if let Some(other) = table.get("breaks") {
                self.report(
                    Diagnostic::error(
                        "wrong-field",
                        "what is destroyed this way cannot also perhaps break",
                        other.span(),
                    )
                    .help("keep `destroys` or `breaks`, not both"),
                );
            }
            let price = self.text_of(value).and_then(|words| self.money(words));
            return Harm { breaks: Fraction::from_si(1.0), price, damage: Damage::Destroys };
        }
        let Some(value) = table.get("breaks") else { return none };
        let Some(words) = self.text_of(value) else { return none };
        let bare = self.bare.clone();
        let Some(Stated { value: words, .. }) = stated(words, &bare) else { return none };
        let (share, price) = match words.split_once(" for ") {
            Some((share, price)) => (share, self.money(price)),
            None => (words, None),
        };
        match self.number(share, Dimension::Fraction) {
            Some(share) => {
                Harm { breaks: Fraction::from_si(share), price, damage: Damage::MayBreak }
            }
            None => none,
        }
    }

    /// Fixings that do not come undone may damage the part; what is written about it holds.
    fn harm_of_fixings(&mut self, fixings: &[Fixing], harm: &mut Harm) {
        let breaks = self.catalog.fixings.usual(fixings).breaks;
        if breaks > 0.0 && harm.damage == Damage::None {
            harm.breaks = Fraction::from_si(breaks);
            harm.damage = Damage::MayBreak;
        }
    }

    /// A price; `unknown` when nobody asked yet.
    pub(crate) fn money(&mut self, words: Words<'_>) -> Option<Money> {
        let bare = self.bare.clone();
        let Stated { value: words, .. } = stated(words, &bare)?;
        match words.text.parse::<Money>() {
            Ok(money) if money.cents() >= 0 => Some(money),
            Ok(_) => {
                self.report(
                    Diagnostic::error(
                        "impossible-value",
                        "a price is never negative",
                        words.span(),
                    )
                    .help("write what a new one costs: `180 EUR`"),
                );
                None
            }
            Err(error) => {
                self.report(crate::reader::quantity_fault(words, &error));
                None
            }
        }
    }

    fn tools_of(&mut self, value: Option<&Value<'_>>) -> Vec<String> {
        let Some(value) = value else { return Vec::new() };
        let words = self.list_of(value);
        words.into_iter().filter_map(|words| self.tool_named(words)).collect()
    }

    /// `220 N`.
    fn force(&mut self, value: &Value<'_>) -> Fact<f64> {
        let Some(words) = self.text_of(value) else { return Fact::Unknown };
        let bare = self.bare.clone();
        let Some(Stated { value: words, origin, .. }) = stated(words, &bare) else {
            return Fact::Unknown;
        };
        let number = words.text.strip_suffix('N').and_then(|text| text.trim().parse::<f64>().ok());
        match number {
            Some(force_n) => {
                let fact = Fact::known(force_n, origin);
                self.possible("force", fact, Must::Countable, words.span())
            }
            None => {
                self.report(
                    Diagnostic::error("force", "a push or pull is written in newton", words.span())
                        .help("write `220 N`; a weight of 10 kg pulls with about 98 N"),
                );
                Fact::Unknown
            }
        }
    }

    /// Written, or suggested where weight or force is above what one person should handle.
    fn second_person(
        &mut self,
        part: PartId,
        table: &Table<'_>,
        position: &Fact<WorkPosition>,
        force_n: &Fact<f64>,
    ) -> Fact<bool> {
        let written = table.get("second_person").and_then(|value| self.yes_no(value));
        let too_much = self.too_much_for_one(part, position, force_n);
        match (written, too_much) {
            (Some(false), Some(why)) => {
                let span = table.get("second_person").map(Value::span).unwrap_or_default();
                let name = &self.vehicle.parts[part].name;
                let message = format!("`{name}` is said to be handled alone, but {why}");
                self.report(
                    Diagnostic::warning("too-heavy-for-one", message, span)
                        .help("write `second_person = true`, or how it is carried, under `how`"),
                );
                Fact::known(false, self.bare.clone())
            }
            (Some(yes), _) => Fact::known(yes, self.bare.clone()),
            (None, Some(why)) => Fact::assumed(true, why),
            (None, None) => Fact::Unknown,
        }
    }

    /// Why a part is too much for one person. What is moved and not lifted weighs nothing here.
    fn too_much_for_one(
        &self,
        part: PartId,
        position: &Fact<WorkPosition>,
        force_n: &Fact<f64>,
    ) -> Option<String> {
        let part = &self.vehicle.parts[part];
        let limits = &self.catalog.limits;
        let lift = limits.get("one-person-lift", None);
        if let Some(mass) = part.mass.value().filter(|mass| mass.si() > lift.value)
            && part.moved.is_none()
        {
            return Some(format!("it weighs {mass}: {}", self.with_standing(lift)));
        }
        let upright = matches!(position.value(), None | Some(WorkPosition::Standing));
        let key = if upright { "one-person-force-standing" } else { "one-person-force-kneeling" };
        let push = limits.get(key, None);
        let force_n = force_n.value().filter(|force_n| **force_n > push.value)?;
        Some(format!("it takes {force_n} N: {}", self.with_standing(push)))
    }

    /// A limit in words, and how well its source was seen.
    fn with_standing(&self, limit: &catalog::LimitRow) -> String {
        let source = self.catalog.sources.get(&limit.source);
        let standing = source.map_or("", |source| source.standing.words());
        format!("{} [{}, {standing}]", limit.words, limit.source)
    }

    /// `15 min of tile dust`, or the mess alone.
    fn mess(&mut self, value: &Value<'_>) -> Option<Mess> {
        let words = self.text_of(value)?;
        let bare = self.bare.clone();
        let Stated { value: words, .. } = stated(words, &bare)?;
        if !words.looks_like_number() {
            return Some(Mess { what: words.text.to_owned(), cleaning: None });
        }
        let (minutes, what) = match words.split_once(" of ") {
            Some((minutes, what)) => (minutes, what.text.to_owned()),
            None => (words, "cleaning".to_owned()),
        };
        let cleaning = around(self.number(minutes, Dimension::Minutes)?);
        Some(Mess { what, cleaning: Some(cleaning) })
    }
}
