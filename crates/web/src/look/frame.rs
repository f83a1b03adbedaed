//! The frame of every page.

use maud::{DOCTYPE, Markup, html};

/// A whole page.
pub(crate) fn page(title: &str, body: &Markup) -> Markup {
    html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                title { (title) " · Unbury" }
                script src="/assets/light.js" {}
                link rel="stylesheet" href="/assets/unbury.css";
                script type="module" src="/assets/unbury.js" {}
            }
            body { main id="main" { (body) } }
        }
    }
}
