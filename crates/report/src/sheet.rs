//! The data file the template reads: the review as it stands, beside it what the page needs in
//! another shape. No value is put into the template as markup.

use analysis::Review;
use serde::Serialize;

use crate::blocks::{self, Block};
use crate::live::{self, LiveMap};
use crate::typeface::Shapes;
use crate::{Options, Paper, ReportError, clean};

#[derive(Serialize)]
struct Sheet<'a> {
    review: &'a Review,
    paper: &'static str,
    dated: Option<&'a str>,
    /// Findings told together.
    blocks: Vec<Block<'a>>,
    live: LiveMap<'a>,
    /// One for each state.
    residuals: Vec<String>,
}

/// Writes the data file.
pub(crate) fn json(review: &Review, options: &Options) -> Result<Vec<u8>, ReportError> {
    let sheet = Sheet {
        review,
        paper: paper_name(options.paper),
        dated: options.dated.as_deref(),
        blocks: blocks::gather(&review.findings),
        live: live::gather(&review.live),
        residuals: review.states.iter().map(|state| residual_words(state.residual_a)).collect(),
    };
    let mut value = serde_json::to_value(&sheet).map_err(data_fault)?;
    clean::printable(&mut value);
    let unshown = clean::without_shape(&value, &Shapes::load());
    if let Some(fields) = value.as_object_mut() {
        fields.insert("unshown".to_owned(), unshown.into());
    }
    serde_json::to_vec(&value).map_err(data_fault)
}

fn data_fault(fault: serde_json::Error) -> ReportError {
    ReportError::Data(fault.to_string())
}

fn paper_name(paper: Paper) -> &'static str {
    match paper {
        Paper::A4 => "a4",
        Paper::Letter => "us-letter",
    }
}

fn residual_words(residual_a: Option<f64>) -> String {
    match residual_a {
        Some(amount_a) if amount_a.is_finite() => format!("{amount_a:.1e} A"),
        Some(_) => "not a number".to_owned(),
        None => "none, there is no answer".to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_missing_balance_is_said_not_shown_as_zero() {
        assert_eq!(residual_words(None), "none, there is no answer");
        assert_eq!(residual_words(Some(f64::NAN)), "not a number");
        assert_eq!(residual_words(Some(2.31e-10)), "2.3e-10 A");
    }
}
