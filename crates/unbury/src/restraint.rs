//! What holds heavy things: read, hold against the criteria, show.

use analysis::NotThere;
use anyhow::Result;

use crate::cli::{End, RecordFile};
use crate::commands::{case, no_such};
use crate::page::Page;
use crate::show;

/// The word that shows all criteria instead of using one.
const LIST: &str = "list";

pub(crate) fn against(
    page: &mut Page,
    record: &RecordFile,
    json: bool,
    criteria: &[String],
    things: &[String],
) -> Result<End> {
    let (case, end) = case(page, record)?;
    if criteria.iter().any(|name| name == LIST) {
        let all = case.criteria();
        if json {
            page.json(&all)?;
        } else {
            show::restraint::criteria(page, &all)?;
        }
        return Ok(end);
    }
    let view = match case.restraint_against(criteria, things) {
        Ok(view) => view,
        Err(NotThere::Criteria(unknown)) => {
            let known: Vec<String> =
                case.criterion_names().into_iter().map(str::to_owned).collect();
            let first = unknown.first().map_or("", String::as_str);
            return no_such(page, "criterion (`--criterion list` shows all)", first, &known);
        }
        Err(NotThere::Things(missing)) => {
            let known: Vec<String> =
                case.names_of_things().into_iter().map(str::to_owned).collect();
            return no_such(
                page,
                "device or part",
                missing.first().map_or("", String::as_str),
                &known,
            );
        }
    };
    if json {
        page.json(&view)?;
    } else {
        show::restraint::view(page, &view)?;
    }
    Ok(if end == End::Done && view.fails() { End::Fails } else { end })
}
