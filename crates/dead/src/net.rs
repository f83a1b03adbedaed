//! The question: what may conduct, what may feed, what has to be dead, and what a hand can do about
//! it. Knows no vehicle.

use access::PartIdx;

/// Something that may conduct between two points.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Way {
    /// First point.
    pub a: usize,
    /// Second point.
    pub b: usize,
    /// Only from the first point to the second.
    pub one_way: bool,
    /// Whether it conducts is not known; it is treated as conducting.
    pub doubtful: bool,
}

/// A pole that may feed.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Start {
    /// Points it feeds.
    pub points: Vec<usize>,
    /// Whether it feeds is not known; it is treated as feeding.
    pub doubtful: bool,
    /// Its energy passes one-way conductors both ways.
    pub both_ways: bool,
    /// Points its energy never enters: its own return. One for each point, or empty for none.
    pub never: Vec<bool>,
    /// Points its energy does not enter once anything on the way was doubtful; as `never`.
    pub held: Vec<bool>,
    /// It feeds only while one of these points is energised; empty: by itself.
    pub fed_by: Vec<usize>,
}

/// How an action touches what it opens.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Touch {
    /// A handle, a plug, a fuse by its body, or the minus post of a battery, which nothing else makes
    /// dead.
    Covered,
    /// Bare metal is worked on: a lug, a bolted fuse. Only once covered actions have made it dead; where
    /// they cannot, it is not done.
    Bare,
}

/// Something a hand can do.
#[derive(Clone, Debug, PartialEq)]
pub struct Action {
    /// What it is called in messages.
    pub name: String,
    /// Conductors it opens.
    pub cuts: Vec<usize>,
    /// Poles it stops.
    pub stops: Vec<usize>,
    /// Minutes to do it.
    pub minutes: f64,
    /// Minutes to undo it later.
    pub back_min: f64,
    /// What it risks, as minutes that would be as bad.
    pub risk_min: f64,
    /// Sets of parts any one of which must be out to get there; an empty set: in reach now.
    pub reach: Vec<Vec<PartIdx>>,
    /// How it touches what it opens.
    pub touch: Touch,
    /// Points that are touched while doing it.
    pub at: Vec<usize>,
    /// Poles whose current it would break without being made for that: it is done only once none of
    /// them drives current there any more.
    pub loaded_by: Vec<usize>,
    /// Poles it keeps from driving current; what they reach stays energised: a module that is covered.
    pub calms: Vec<usize>,
}

impl Action {
    /// Whether it can be done at any time: covered, and no current stands against it.
    pub fn is_fit(&self) -> bool {
        self.touch == Touch::Covered && self.loaded_by.is_empty()
    }
}

/// What may conduct and feed, what has to be dead, and what can be done.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Net {
    /// How many points there are.
    pub points: usize,
    /// What may conduct.
    pub ways: Vec<Way>,
    /// What may feed.
    pub starts: Vec<Start>,
    /// What can be done.
    pub actions: Vec<Action>,
    /// The points that have to be dead.
    pub area: Vec<usize>,
}

/// Something in a question that is out of range; it is named, and the question is not answered.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum BadNet {
    /// A point that is not there.
    #[error("{0} names point {1}, but there are {2} points")]
    Point(String, usize, usize),
    /// A conductor or pole that is not there.
    #[error("action `{0}` names conductor or pole {1}, which is not there")]
    Opens(String, usize),
    /// A table of points of another length.
    #[error("pole {0} has a table of {1} points, but there are {2}")]
    Table(usize, usize, usize),
}

impl Net {
    /// The same question about current instead of voltage: what calms a pole stops it.
    pub(crate) fn of_current(&self) -> Net {
        let mut net = self.clone();
        net.actions.iter_mut().for_each(|action| action.stops.append(&mut action.calms));
        net
    }

    /// Where an action breaks current: what it opens, or the poles it stops.
    pub(crate) fn breaks_at(&self, action: usize) -> Vec<usize> {
        let action = &self.actions[action];
        let ends = action.cuts.iter().flat_map(|way| [self.ways[*way].a, self.ways[*way].b]);
        let poles =
            action.stops.iter().flat_map(|start| self.starts[*start].points.iter().copied());
        ends.chain(poles).collect()
    }

    /// Poles that feed by themselves, all but these: left out when asking whose current flows.
    pub(crate) fn all_but(&self, starts: &[usize]) -> Vec<bool> {
        let is_primary = |start: usize| self.starts[start].fed_by.is_empty();
        (0..self.starts.len()).map(|start| is_primary(start) && !starts.contains(&start)).collect()
    }

    /// Whether everything that is named is there.
    ///
    /// # Errors
    /// The first thing that is not.
    pub fn check(&self) -> Result<(), BadNet> {
        let point = |who: &dyn Fn() -> String, points: &[usize]| {
            let wrong = points.iter().find(|point| **point >= self.points);
            wrong.map_or(Ok(()), |point| Err(BadNet::Point(who(), *point, self.points)))
        };
        for (index, way) in self.ways.iter().enumerate() {
            point(&|| format!("conductor {index}"), &[way.a, way.b])?;
        }
        for (index, start) in self.starts.iter().enumerate() {
            point(&|| format!("pole {index}"), &start.points)?;
            point(&|| format!("pole {index}"), &start.fed_by)?;
            for table in [&start.never, &start.held] {
                if !table.is_empty() && table.len() != self.points {
                    return Err(BadNet::Table(index, table.len(), self.points));
                }
            }
        }
        for action in &self.actions {
            point(&|| format!("action `{}`", action.name), &action.at)?;
            let way = action.cuts.iter().find(|way| **way >= self.ways.len());
            let mut starts = action.stops.iter().chain(&action.loaded_by).chain(&action.calms);
            let start = starts.find(|start| **start >= self.starts.len());
            if let Some(wrong) = way.or(start) {
                return Err(BadNet::Opens(action.name.clone(), *wrong));
            }
        }
        point(&|| "the work area".to_owned(), &self.area)
    }
}
