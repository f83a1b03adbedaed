//! Which pieces of an outline something nearer hides.

use crate::svg::Rect;

/// A piece of a straight line on paper.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Piece {
    pub(crate) from: (f64, f64),
    pub(crate) to: (f64, f64),
    pub(crate) is_hidden: bool,
}

/// Shorter pieces are not drawn, points.
const SHORTEST: f64 = 0.4;

/// The four edges of a rectangle in pieces, each seen or hidden by one of the nearer rectangles.
pub(crate) fn edges(rect: Rect, nearer: &[Rect]) -> Vec<Piece> {
    let Rect { x, y, w, h } = rect;
    let corners = [(x, y), (x + w, y), (x + w, y + h), (x, y + h)];
    (0..4).flat_map(|k| pieces(corners[k], corners[(k + 1) % 4], nearer)).collect()
}

/// A level or upright line in pieces.
pub(crate) fn pieces(from: (f64, f64), to: (f64, f64), nearer: &[Rect]) -> Vec<Piece> {
    let length = (to.0 - from.0).hypot(to.1 - from.1);
    if length < SHORTEST {
        return Vec::new();
    }
    let mut covered: Vec<(f64, f64)> =
        nearer.iter().filter_map(|rect| covered(from, to, *rect)).collect();
    covered.sort_by(|a, b| a.0.total_cmp(&b.0));
    let at = |share: f64| (from.0 + share * (to.0 - from.0), from.1 + share * (to.1 - from.1));
    let mut out = Vec::new();
    let mut put = |a: f64, b: f64, is_hidden: bool| {
        if (b - a) * length >= SHORTEST {
            out.push(Piece { from: at(a), to: at(b), is_hidden });
        }
    };
    let mut done = 0.0_f64;
    for (a, b) in covered {
        if b <= done {
            continue;
        }
        put(done, a.max(done), false);
        put(a.max(done), b, true);
        done = b;
    }
    put(done, 1.0, false);
    out
}

/// The share of a line that lies inside a rectangle; what only touches its edge is not inside.
fn covered(from: (f64, f64), to: (f64, f64), rect: Rect) -> Option<(f64, f64)> {
    const EDGE: f64 = 1e-6;
    let (mut first, mut last) = (0.0_f64, 1.0_f64);
    for (a, b, low, high) in
        [(from.0, to.0, rect.x, rect.x + rect.w), (from.1, to.1, rect.y, rect.y + rect.h)]
    {
        if (b - a).abs() < EDGE {
            if a <= low + EDGE || a >= high - EDGE {
                return None;
            }
        } else {
            let (p, q) = ((low - a) / (b - a), (high - a) / (b - a));
            first = first.max(p.min(q));
            last = last.min(p.max(q));
        }
    }
    (last - first > EDGE).then_some((first, last))
}
