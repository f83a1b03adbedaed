//! What may be the cause by all that the record holds: weighed once, for the list of suspects and for the
//! choice of repairs.

use diagnose::{Observations, Ranking};

use crate::case::Case;
use crate::search::SuspectList;
use crate::suspects_view::SuspectsView;

/// Suspects, what was observed, and what it makes of them.
#[derive(Debug)]
pub(crate) struct Weighed {
    pub(crate) list: SuspectList,
    pub(crate) seen: Observations,
    pub(crate) ranking: Ranking,
}

impl Case {
    /// Suspects by all that the record holds.
    pub fn suspects(&self) -> SuspectsView {
        let Weighed { list, seen, ranking } = self.weighed();
        self.search(list).suspects_of(seen, ranking)
    }

    pub(crate) fn weighed(&self) -> &Weighed {
        self.weighed.get_or_init(|| {
            let list = self.suspect_list();
            let (seen, ranking) = self.search(&list).ranked();
            Weighed { list, seen, ranking }
        })
    }
}
