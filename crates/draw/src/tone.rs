//! What marks and words are drawn in. Every tone has a value for a light and one for a dark ground;
//! what is printed is always the light one.
//!
//! Ink and greys only, but for [`Tone::Danger`]: colours are for hazards (ISO 3864-1). Its light value
//! is the red of ISO 3864-4 (RAL 3001) as sRGB; its dark value is the same hue made lighter, so that
//! it can be read on a dark ground.

use std::fmt::Write as _;

/// A tone.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Tone {
    /// What is drawn on.
    Ground,
    /// Outlines and words that matter.
    Ink,
    /// Words and lines that help to find one's way.
    Quiet,
    /// Grids and what stands by: nothing is lost where it cannot be seen.
    Faint,
    /// The lightest of four shades.
    Wash,
    /// The second shade.
    Light,
    /// The third shade.
    Middle,
    /// The darkest shade.
    Deep,
    /// What may hurt somebody or burn.
    Danger,
}

impl Tone {
    /// All of them.
    pub(crate) const ALL: [Tone; 9] = [
        Tone::Ground,
        Tone::Ink,
        Tone::Quiet,
        Tone::Faint,
        Tone::Wash,
        Tone::Light,
        Tone::Middle,
        Tone::Deep,
        Tone::Danger,
    ];

    /// The four shades, lightest first.
    pub(crate) const SHADES: [Tone; 4] = [Tone::Wash, Tone::Light, Tone::Middle, Tone::Deep];

    /// Its name in style rules.
    pub(crate) fn name(self) -> &'static str {
        match self {
            Tone::Ground => "ground",
            Tone::Ink => "ink",
            Tone::Quiet => "quiet",
            Tone::Faint => "faint",
            Tone::Wash => "wash",
            Tone::Light => "light",
            Tone::Middle => "middle",
            Tone::Deep => "deep",
            Tone::Danger => "danger",
        }
    }

    /// As sRGB on a light ground, and in print.
    pub(crate) fn on_light(self) -> &'static str {
        match self {
            Tone::Ground => "#ffffff",
            Tone::Ink => "#15181c",
            Tone::Quiet => "#565d66",
            Tone::Faint => "#a3a9b0",
            Tone::Wash => "#f0f2f4",
            Tone::Light => "#dde1e5",
            Tone::Middle => "#bcc3ca",
            Tone::Deep => "#8e97a1",
            Tone::Danger => "#9b2423",
        }
    }

    /// As sRGB on a dark ground.
    pub(crate) fn on_dark(self) -> &'static str {
        match self {
            Tone::Ground => "#15181c",
            Tone::Ink => "#eef0f2",
            Tone::Quiet => "#b7bdc4",
            Tone::Faint => "#5c646d",
            Tone::Wash => "#1e2328",
            Tone::Light => "#2b3138",
            Tone::Middle => "#3d454d",
            Tone::Deep => "#59626b",
            Tone::Danger => "#f28b82",
        }
    }
}

/// The style rules: on a screen every mark takes its tone from a variable that the page around it
/// may set anew (`--drawing-ink` and so on). Programs that print or do not know variables keep the
/// light values that stand at the marks themselves.
pub(crate) fn style() -> String {
    let variables = |value: fn(Tone) -> &'static str| {
        Tone::ALL.iter().fold(String::new(), |mut out, tone| {
            let _ = write!(out, "--drawing-{}:{};", tone.name(), value(*tone));
            out
        })
    };
    let rules = Tone::ALL.iter().fold(String::new(), |mut out, tone| {
        let name = tone.name();
        let _ = write!(
            out,
            ".drawing .f-{name}{{fill:var(--drawing-{name})}}.drawing .s-{name}{{stroke:var(--drawing-{name})}}"
        );
        out
    });
    format!(
        "<style>@media screen{{.drawing{{{}}}{rules}}}\
         @media screen and (prefers-color-scheme:dark){{.drawing{{{}}}}}</style>\n",
        variables(Tone::on_light),
        variables(Tone::on_dark)
    )
}
