//! What one piece of a way a thing is held can carry: at least, at most, and how it gives way.

/// How something gives way.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Mode {
    /// Screws come out of the wood.
    OutOfWood,
    /// Screws give way across in wood.
    AcrossInWood,
    /// Screws in wood pulled at an angle.
    AngledInWood,
    /// Screws come out of the sheet.
    OutOfSheet,
    /// The sheet gives way at the screws, across.
    AcrossInSheet,
    /// Screws in sheet pulled at an angle.
    AngledInSheet,
    /// Washers or heads come through the sheet.
    ThroughSheet,
    /// Bolts break.
    BoltBreaks,
    /// Bolts are sheared.
    BoltSheared,
    /// A strap gives way.
    Strap,
    /// A stated strength is exceeded.
    Stated,
}

impl Mode {
    /// Its working value is a statement or a proof load and not the least of a range.
    pub(crate) fn is_exact(self) -> bool {
        matches!(self, Mode::Stated | Mode::Strap | Mode::BoltBreaks)
    }

    /// In words, after "it gives way where".
    pub fn words(self) -> &'static str {
        match self {
            Mode::OutOfWood => "the screws come out of the wood",
            Mode::AcrossInWood => "the screws tilt or bend in the wood",
            Mode::AngledInWood => "the screws come out of the wood at an angle",
            Mode::OutOfSheet => "the screws come out of the sheet",
            Mode::AcrossInSheet => "the sheet tears at the screws",
            Mode::AngledInSheet => "the screws tear out of the sheet at an angle",
            Mode::ThroughSheet => "heads or washers come through the sheet",
            Mode::BoltBreaks => "the bolts break",
            Mode::BoltSheared => "the bolts are sheared",
            Mode::Strap => "the strap gives way",
            Mode::Stated => "the stated strength is reached",
        }
    }
}

/// Whether a figure may decide a verdict in the thing's favour.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Footing {
    /// It rests on what was read and on facts of the record.
    Firm,
    /// It rests on something recalled or assumed.
    Recalled,
}

/// A force with what it rests on.
#[derive(Clone, Debug, PartialEq)]
pub struct Figure {
    /// Newtons, of all pieces alike together.
    pub n: f64,
    /// How it gives way.
    pub mode: Mode,
    /// Where the figure comes from.
    pub basis: String,
    /// Whether it may decide.
    pub footing: Footing,
}

/// What a piece can carry in one direction.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Strength {
    /// What it may be loaded with, by a published rule or a statement.
    pub working: Option<Figure>,
    /// What it does not break below.
    pub breaks_from: Option<Figure>,
    /// What it does not hold above.
    pub at_most: Option<Figure>,
    /// What is missing for the others.
    pub find_out: Vec<String>,
}

impl Strength {
    /// Nothing is known, but for what to find out.
    pub fn unknown(find_out: impl Into<String>) -> Self {
        Self { find_out: vec![find_out.into()], ..Self::default() }
    }

    /// The same, whichever of two it is: no more than the stronger, no less than the weaker.
    #[must_use]
    pub fn either(&self, other: &Self) -> Self {
        let mut find_out = self.find_out.clone();
        find_out.extend(other.find_out.iter().filter(|w| !self.find_out.contains(w)).cloned());
        Self {
            working: pick(&self.working, &other.working, |a, b| a <= b),
            breaks_from: pick(&self.breaks_from, &other.breaks_from, |a, b| a <= b),
            at_most: pick(&self.at_most, &other.at_most, |a, b| a >= b),
            find_out,
        }
    }

    /// Both have to carry it: the weaker counts.
    #[must_use]
    pub fn and(&self, other: &Self) -> Self {
        let known = |a: &Option<Figure>, b: &Option<Figure>| match (a, b) {
            (Some(a), Some(b)) => Some(if a.n <= b.n { a } else { b }.clone()),
            (one, two) => one.clone().or_else(|| two.clone()),
        };
        let mut both = self.either(other);
        both.at_most = known(&self.at_most, &other.at_most);
        both
    }
}

/// One of two figures, if both are known.
fn pick(a: &Option<Figure>, b: &Option<Figure>, first: fn(f64, f64) -> bool) -> Option<Figure> {
    let (a, b) = (a.as_ref()?, b.as_ref()?);
    Some(if first(a.n, b.n) { a.clone() } else { b.clone() })
}
