//! Symbols from their descriptions in IEC 60617 and IEEE 315. Each is drawn on a line that runs from
//! left to right, or stands upright between its plus (top) and its minus (bottom).

use super::canvas::{Anchor, Canvas, Ink, Stroke, Weight, Words};
use super::input::{Kind, Symbol};

/// Outlines of symbols.
pub(super) const OUTLINE: Stroke = Stroke::plain(0.9);
const FINE: Stroke = Stroke::plain(0.7);

/// A symbol in a line, `room` wide, its line at height `y`.
pub(super) fn in_line(canvas: &mut Canvas, symbol: Symbol, (x, y): (f64, f64), room: f64) {
    let end = x + room;
    let blade = |canvas: &mut Canvas| {
        canvas.line(&[(x, y), (x + 5.0, y)], OUTLINE);
        canvas.line(&[(x + 5.0, y), (end - 6.0, y - 5.0)], OUTLINE);
        canvas.line(&[(end - 6.0, y), (end, y)], OUTLINE);
    };
    match symbol {
        Symbol::Fuse => {
            canvas.rect((x + 3.0, y - 3.0), (room - 6.0, 6.0), OUTLINE);
            canvas.line(&[(x, y), (end, y)], OUTLINE);
        }
        Symbol::Breaker => {
            blade(canvas);
            let (a, b) = (end - 6.0, 2.2);
            canvas.line(&[(a - b, y - b), (a + b, y + b)], FINE);
            canvas.line(&[(a - b, y + b), (a + b, y - b)], FINE);
        }
        Symbol::Isolator => {
            blade(canvas);
            canvas.line(&[(end - 6.0, y - 3.0), (end - 6.0, y + 3.0)], OUTLINE);
        }
        Symbol::Switch => blade(canvas),
        Symbol::Diode => {
            canvas.line(&[(x, y), (end, y)], OUTLINE);
            canvas.solid(&[(x + 7.0, y - 4.0), (x + 7.0, y + 4.0), (x + 14.0, y)]);
            canvas.line(&[(x + 14.5, y - 4.0), (x + 14.5, y + 4.0)], OUTLINE);
        }
        Symbol::Shunt => {
            canvas.line(&[(x, y), (end, y)], OUTLINE);
            canvas.rect((x + 5.0, y - 2.5), (room - 10.0, 5.0), OUTLINE);
            for tap in [x + 5.0, end - 5.0] {
                canvas.line(&[(tap, y), (tap, y - 5.0)], FINE);
                canvas.dot((tap, y), 1.2);
            }
        }
        other => {
            canvas.line(&[(x, y), (end, y)], OUTLINE);
            canvas.rect((x + 3.0, y - 4.5), (room - 6.0, 9.0), OUTLINE);
            glyph(canvas, other, (x + room / 2.0, y));
        }
    }
}

/// A small sign for what a device is, about its middle; at most 9 points high.
pub(super) fn glyph(canvas: &mut Canvas, symbol: Symbol, (x, y): (f64, f64)) {
    match symbol {
        Symbol::Lamp => {
            canvas.circle((x, y), 4.2, FINE);
            for turn in [-1.0, 1.0] {
                canvas.line(&[(x - 3.0, y - 3.0 * turn), (x + 3.0, y + 3.0 * turn)], FINE);
            }
        }
        Symbol::Motor => letter(canvas, (x, y), "M"),
        Symbol::Generator => letter(canvas, (x, y), "G"),
        Symbol::Meter => letter(canvas, (x, y), "V"),
        Symbol::Heater => {
            canvas.rect((x - 5.0, y - 2.5), (10.0, 5.0), FINE);
            for k in [-2.5, 0.0, 2.5] {
                canvas.line(&[(x + k, y - 2.5), (x + k, y + 2.5)], FINE);
            }
        }
        Symbol::Socket => {
            canvas.curve(
                &format!("M{} {}A4 4 0 0 1 {} {}", x - 4.0, y + 2.5, x + 4.0, y + 2.5),
                FINE,
            );
            canvas.line(&[(x, y - 1.5), (x, y - 4.5)], FINE);
            canvas.line(&[(x - 4.0, y + 2.5), (x + 4.0, y + 2.5)], FINE);
        }
        Symbol::Inlet => {
            canvas.circle((x, y), 4.2, FINE);
            for (dx, dy) in [(-1.8, 0.8), (1.8, 0.8), (0.0, -1.8)] {
                canvas.dot((x + dx, y + dy), 0.8);
            }
        }
        Symbol::Converter { from, to } => converter(canvas, (x, y), (from, to)),
        Symbol::Relay => {
            canvas.rect((x - 4.0, y), (8.0, 4.5), FINE);
            canvas.line(&[(x - 6.0, y - 3.0), (x - 3.0, y - 3.0), (x + 2.5, y - 6.0)], FINE);
            canvas.line(&[(x + 3.0, y - 3.0), (x + 6.0, y - 3.0)], FINE);
        }
        Symbol::Fuse
        | Symbol::Breaker
        | Symbol::Isolator
        | Symbol::Switch
        | Symbol::Diode
        | Symbol::Shunt => in_line(canvas, symbol, (x - 11.0, y), 22.0),
        _ => {}
    }
}

fn letter(canvas: &mut Canvas, (x, y): (f64, f64), text: &str) {
    canvas.circle((x, y), 4.6, FINE);
    canvas.words(&Words {
        at: (x, y + 2.1),
        size: 5.8,
        weight: Weight::Bold,
        anchor: Anchor::Middle,
        ink: Ink::Full,
        text,
    });
}

/// A square cut by a diagonal: what goes in over it, what comes out under it.
fn converter(canvas: &mut Canvas, (x, y): (f64, f64), (from, to): (Kind, Kind)) {
    canvas.rect((x - 8.0, y - 8.0), (16.0, 16.0), FINE);
    canvas.line(&[(x - 8.0, y + 8.0), (x + 8.0, y - 8.0)], FINE);
    for (kind, at) in [(from, (x - 3.6, y - 3.8)), (to, (x + 3.6, y + 3.8))] {
        current(canvas, kind, at);
    }
}

/// Direct: a line over a dashed one; alternating: a wave.
fn current(canvas: &mut Canvas, kind: Kind, (x, y): (f64, f64)) {
    match kind {
        Kind::Direct => {
            canvas.line(&[(x - 3.0, y - 1.0), (x + 3.0, y - 1.0)], FINE);
            canvas.line(
                &[(x - 3.0, y + 1.2), (x + 3.0, y + 1.2)],
                Stroke { dashes: "1.6 0.6", ..FINE },
            );
        }
        Kind::Alternating => canvas.curve(&format!("M{} {}q1.5 -3 3 0t3 0", x - 3.0, y), FINE),
    }
}

/// What stands upright between plus at `top` and minus at `bottom`.
pub(super) fn upright(canvas: &mut Canvas, symbol: Symbol, x: f64, (top, bottom): (f64, f64)) {
    let middle = f64::midpoint(top, bottom);
    match symbol {
        Symbol::Battery => {
            leads(canvas, x, (top, middle - 5.0), (middle + 5.0, bottom));
            cells(canvas, (x, middle), 9.0);
        }
        Symbol::SolarModule => {
            leads(canvas, x, (top, middle - 7.0), (middle + 7.0, bottom));
            canvas.rect((x - 7.0, middle - 7.0), (14.0, 14.0), OUTLINE);
            cells(canvas, (x, middle), 5.0);
            for k in [0.0, 4.0] {
                let (tip_x, tip_y) = (x - 8.5, middle - 4.5 + k);
                canvas.line(&[(tip_x - 5.0, tip_y - 5.0), (tip_x, tip_y)], FINE);
                canvas.solid(&[
                    (tip_x, tip_y),
                    (tip_x - 2.6, tip_y - 0.8),
                    (tip_x - 0.8, tip_y - 2.6),
                ]);
            }
        }
        _ => {
            leads(canvas, x, (top, middle - 7.0), (middle + 7.0, bottom));
            canvas.circle((x, middle), 7.0, OUTLINE);
            canvas.words(&Words {
                at: (x, middle + 2.9),
                size: 8.0,
                weight: Weight::Bold,
                anchor: Anchor::Middle,
                ink: Ink::Full,
                text: "G",
            });
        }
    }
}

/// The leads above and below an upright symbol.
fn leads(canvas: &mut Canvas, x: f64, upper: (f64, f64), lower: (f64, f64)) {
    for (from, to) in [upper, lower] {
        if from < to {
            canvas.line(&[(x, from), (x, to)], OUTLINE);
        }
    }
}

/// Two cells: long and thin is plus, short and thick is minus.
fn cells(canvas: &mut Canvas, (x, y): (f64, f64), half: f64) {
    let step = 3.3 * half / 9.0 + 0.4;
    for (k, long) in [(-1.5, true), (-0.5, false), (0.5, true), (1.5, false)] {
        let (reach, stroke) = if long { (half, 0.9) } else { (half * 0.55, 1.9) };
        let at = y + k * step;
        canvas.line(&[(x - reach, at), (x + reach, at)], Stroke::plain(stroke));
    }
}

/// The body of the vehicle: a line with three slanted strokes beyond it. `away` is the direction
/// beyond, 1 to the right.
pub(super) fn body(canvas: &mut Canvas, (x, y): (f64, f64), away: f64) {
    canvas.line(&[(x, y - 5.0), (x, y + 5.0)], Stroke::plain(1.2));
    for k in [-5.0, 0.0, 5.0] {
        canvas.line(&[(x, y + k), (x + 4.0 * away, y + k - 2.5)], FINE);
    }
}

/// Earth: three shortening lines.
pub(super) fn earth(canvas: &mut Canvas, (x, y): (f64, f64), away: f64) {
    for (k, half) in [(0.0, 5.0), (2.4, 3.3), (4.8, 1.6)] {
        canvas.line(&[(x + k * away, y - half), (x + k * away, y + half)], OUTLINE);
    }
}

/// The edge of a part behind which a line goes out of sight: a line hatched on its far side.
pub(super) fn edge(canvas: &mut Canvas, (x, y): (f64, f64), away: f64) {
    canvas.line(&[(x, y - 6.0), (x, y + 6.0)], Stroke::plain(1.6));
    for k in [-6.0, -3.0, 0.0, 3.0] {
        canvas.line(&[(x, y + k + 3.0), (x + 3.5 * away, y + k)], FINE);
    }
}
