//! Prices on the command line: reckoned, shown, written as tables.

use analysis::{Choice, PriceAsked, PriceFault};
use anyhow::{Context, Result, anyhow};
use store::Clock;

use crate::cli::{End, PriceArguments, PriceChoice};
use crate::commands::{case, no_such};
use crate::page::{Page, complain};
use crate::show;

pub(crate) fn run(page: &mut Page, asked: &PriceArguments, json: bool) -> Result<End> {
    let (case, end) = case(page, &asked.record)?;
    let view = match case.price(&question(asked)) {
        Ok(view) => view,
        Err(PriceFault::NoSuchRepair(unknown)) => {
            let known: Vec<String> =
                case.mends().offers.iter().map(|offer| offer.id.clone()).collect();
            let mut end = End::NoSuchThing;
            for id in &unknown {
                end = no_such(page, "repair", id, &known)?;
            }
            return Ok(end);
        }
        Err(fault) => {
            complain(&anyhow!("{fault}; nothing was changed"));
            return Ok(End::Fails);
        }
    };
    if let Some(folder) = &asked.out {
        let files = ::pack::price_tables(&view).context("making the tables of the price")?;
        std::fs::create_dir_all(folder)
            .with_context(|| format!("cannot make the folder `{}`", folder.display()))?;
        for file in files {
            let path = folder.join(&file.name);
            std::fs::write(&path, &file.bytes)
                .with_context(|| format!("cannot write `{}`", path.display()))?;
        }
    }
    if json {
        page.json(&view)?;
    } else {
        show::price::view(page, &view)?;
        if let Some(folder) = &asked.out {
            page.blank()?;
            page.paragraph(&format!("Tables are in {}.", folder.display()), 2)?;
        }
    }
    Ok(end)
}

fn question(asked: &PriceArguments) -> PriceAsked {
    PriceAsked {
        choice: asked.choice.map(|choice| match choice {
            PriceChoice::Danger => Choice::Danger,
            PriceChoice::Complaint => Choice::Complaint,
            PriceChoice::All => Choice::All,
        }),
        with: asked.with.clone(),
        without: asked.without.clone(),
        valid_until: asked.valid_until.clone(),
        today: asked.date.clone().or_else(|| asked.valid_until.as_ref().map(|_| today())),
    }
}

/// The day on the clock of this machine.
fn today() -> String {
    Clock::system().text().chars().take("2026-05-02".len()).collect()
}
