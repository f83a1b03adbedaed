//! A value together with how it came to be known. Nothing in the vehicle is a bare number.

/// How a value came to be known, weakest first.
#[derive(Clone, Debug, PartialEq)]
pub enum Origin {
    /// Put in because something usual has to stand there; decides no pass.
    Assumed {
        /// Why this value.
        why: String,
    },
    /// Somebody said so.
    Told {
        /// Who, if written.
        by: Option<String>,
        /// When, if written.
        on: Option<String>,
    },
    /// Read off or seen on the vehicle.
    Seen {
        /// Who, if written.
        by: Option<String>,
        /// When, if written.
        on: Option<String>,
    },
    /// Measured with an instrument.
    Measured {
        /// Half width of the spread, in the unit of the value.
        spread: Option<f64>,
        /// Who, if written.
        by: Option<String>,
        /// When, if written.
        on: Option<String>,
    },
}

impl Origin {
    /// Seen, with nothing more said.
    pub fn seen() -> Origin {
        Origin::Seen { by: None, on: None }
    }

    /// One word for it.
    pub fn word(&self) -> &'static str {
        match self {
            Origin::Assumed { .. } => "assumed",
            Origin::Told { .. } => "told",
            Origin::Seen { .. } => "seen",
            Origin::Measured { .. } => "measured",
        }
    }

    /// True for anything better than an assumption.
    pub fn is_evidence(&self) -> bool {
        !matches!(self, Origin::Assumed { .. })
    }
}

/// A value with its origin, or the plain statement that it is not known.
#[derive(Clone, Debug, Default, PartialEq)]
pub enum Fact<T> {
    /// Nobody knows yet. Normal in a vehicle built by somebody else.
    #[default]
    Unknown,
    /// Known, and how.
    Known {
        /// The value.
        value: T,
        /// How it came to be known.
        origin: Origin,
    },
}

impl<T> Fact<T> {
    /// A value with its origin.
    pub fn known(value: T, origin: Origin) -> Fact<T> {
        Fact::Known { value, origin }
    }

    /// A value assumed for a reason.
    pub fn assumed(value: T, why: impl Into<String>) -> Fact<T> {
        Fact::Known { value, origin: Origin::Assumed { why: why.into() } }
    }

    /// The value, however it came to be known.
    pub fn value(&self) -> Option<&T> {
        match self {
            Fact::Unknown => None,
            Fact::Known { value, .. } => Some(value),
        }
    }

    /// The value if it is told, seen or measured; an assumption does not count.
    pub fn evidence(&self) -> Option<&T> {
        match self {
            Fact::Known { value, origin } if origin.is_evidence() => Some(value),
            _ => None,
        }
    }

    /// The origin, if known.
    pub fn origin(&self) -> Option<&Origin> {
        match self {
            Fact::Unknown => None,
            Fact::Known { origin, .. } => Some(origin),
        }
    }

    /// True when nothing is known.
    pub fn is_unknown(&self) -> bool {
        matches!(self, Fact::Unknown)
    }

    /// True when the value is an assumption.
    pub fn is_assumed(&self) -> bool {
        matches!(self, Fact::Known { origin: Origin::Assumed { .. }, .. })
    }

    /// The same knowledge about another form of the value.
    pub fn map<U>(&self, form: impl FnOnce(&T) -> U) -> Fact<U> {
        match self {
            Fact::Unknown => Fact::Unknown,
            Fact::Known { value, origin } => {
                Fact::Known { value: form(value), origin: origin.clone() }
            }
        }
    }
}
