//! Where lines turn: between two columns every line that changes its height gets a vertical track,
//! so that no two lines lie on each other and as few as possible cross.

/// A line between two columns, by the heights at which it leaves and arrives.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Turn {
    pub(super) left: i64,
    pub(super) right: i64,
}

impl Turn {
    fn top(&self) -> i64 {
        self.left.min(self.right)
    }

    fn bottom(&self) -> i64 {
        self.left.max(self.right)
    }

    fn overlaps(&self, other: &Turn) -> bool {
        self.top() <= other.bottom() && other.top() <= self.bottom()
    }
}

/// The turns of one channel.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Tracks {
    /// For each turn its track from the left, from 0; `None`: it goes straight.
    pub(super) of: Vec<Option<usize>>,
    /// For a turn that must step aside: the height between, and the second track.
    pub(super) detour: Vec<Option<(i64, usize)>>,
    /// How many tracks.
    pub(super) count: usize,
}

/// Gives every turn a track.
pub(super) fn tracks(turns: &[Turn]) -> Tracks {
    let mut pieces: Vec<(usize, Turn)> =
        turns.iter().copied().enumerate().filter(|(_, turn)| turn.left != turn.right).collect();
    let mut detour_height = vec![None; turns.len()];
    let mut second = vec![None; turns.len()];
    // A turn that stands in a circle is cut in two at a height where nothing else leaves or arrives.
    let order = loop {
        match in_order(&pieces) {
            Ok(order) => break order,
            Err(stuck) => {
                let (turn, whole) = pieces[stuck];
                let between = free_height(&pieces, whole);
                detour_height[turn] = Some(between);
                second[turn] = Some(pieces.len());
                pieces[stuck].1 = Turn { left: whole.left, right: between };
                pieces.push((turn, Turn { left: between, right: whole.right }));
            }
        }
    };
    let track = pack(&pieces, &order);
    let mut tracks = Tracks {
        of: vec![None; turns.len()],
        detour: vec![None; turns.len()],
        count: track.iter().map(|track| track + 1).max().unwrap_or_default(),
    };
    for (at, &(turn, _)) in pieces.iter().enumerate() {
        if second[turn] == Some(at) {
            tracks.detour[turn] = detour_height[turn].map(|height| (height, track[at]));
        } else {
            tracks.of[turn] = Some(track[at]);
        }
    }
    tracks
}

/// A height near where a turn arrives at which no other piece leaves or arrives. Heights count in
/// rows of the grid times [`FINE`], so that there is room between rows.
fn free_height(pieces: &[(usize, Turn)], whole: Turn) -> i64 {
    let is_taken = |height: i64| pieces.iter().any(|(_, t)| t.left == height || t.right == height);
    let towards = if whole.left < whole.right { -1 } else { 1 };
    (1..=4 * FINE)
        .flat_map(|step| [whole.right + towards * step, whole.right - towards * step])
        .filter(|height| height % FINE != 0)
        .find(|&height| !is_taken(height))
        .unwrap_or(whole.right + towards)
}

/// Heights given to [`tracks`] are rows times this.
pub(super) const FINE: i64 = 2;

/// Whether `a` has to turn left of `b`: they would lie on each other otherwise.
fn must(a: &Turn, b: &Turn) -> bool {
    a.left == b.right
}

/// How many crossings it costs if `a` turns left of `b`.
fn crossings(a: &Turn, b: &Turn) -> usize {
    // The way of `b` to its track, across that of `a`; the way of `a` from its track, across `b`.
    let across = |height: i64, turn: &Turn| turn.top() < height && height < turn.bottom();
    usize::from(across(b.left, a)) + usize::from(across(a.right, b))
}

/// An order from left to right, or a piece that stands in a circle of what must be.
fn in_order(pieces: &[(usize, Turn)]) -> Result<Vec<usize>, usize> {
    let count = pieces.len();
    let mut waits = vec![0_usize; count];
    let mut dear = vec![0_i64; count];
    let turn = |at: usize| &pieces[at].1;
    for a in 0..count {
        for b in (0..count).filter(|&b| b != a && turn(a).overlaps(turn(b))) {
            if must(turn(a), turn(b)) && pieces[a].0 != pieces[b].0 {
                waits[b] += 1;
            }
            // What it costs to set `a` before `b` rather than after.
            dear[a] += crossings(turn(a), turn(b)) as i64 - crossings(turn(b), turn(a)) as i64;
        }
    }
    // The two pieces of a detour keep their order.
    for (at, piece) in pieces.iter().enumerate() {
        if pieces[..at].iter().any(|(turn, _)| *turn == piece.0) {
            waits[at] += 1;
        }
    }
    let mut placed = vec![false; count];
    let mut order = Vec::with_capacity(count);
    while order.len() < count {
        let ready = (0..count).filter(|&at| !placed[at] && waits[at] == 0);
        let Some(next) = ready.min_by_key(|&at| (dear[at], at)) else {
            let stuck = (0..count).find(|&at| {
                !placed[at] && pieces.iter().filter(|(turn, _)| *turn == pieces[at].0).count() == 1
            });
            match stuck {
                Some(stuck) => return Err(stuck),
                // Every one is cut already: take them as they come.
                None => {
                    order.extend((0..count).filter(|&at| !placed[at]));
                    return Ok(order);
                }
            }
        };
        placed[next] = true;
        order.push(next);
        for other in (0..count).filter(|&o| !placed[o]) {
            if turn(next).overlaps(turn(other)) {
                if must(turn(next), turn(other)) && pieces[next].0 != pieces[other].0 {
                    waits[other] -= 1;
                }
                dear[other] -= crossings(turn(other), turn(next)) as i64
                    - crossings(turn(next), turn(other)) as i64;
            }
            if pieces[next].0 == pieces[other].0 && other > next {
                waits[other] -= 1;
            }
        }
    }
    Ok(order)
}

/// The leftmost track for each piece that keeps the order where it matters.
fn pack(pieces: &[(usize, Turn)], order: &[usize]) -> Vec<usize> {
    let mut track = vec![0_usize; pieces.len()];
    for (done, &at) in order.iter().enumerate() {
        let (turn, piece) = &pieces[at];
        let before = order[..done].iter().filter(|&&other| {
            let (other_turn, other) = &pieces[other];
            other.overlaps(piece) || other_turn == turn
        });
        track[at] = before.map(|&other| track[other] + 1).max().unwrap_or_default();
    }
    track
}
