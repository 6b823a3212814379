use serde::{Deserialize, Serialize};

/// One caution: what to mind, and who has the word on it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct Caution {
    /// What to mind.
    pub text: String,
    /// Whose word counts.
    pub defer_to: String,
}

/// The cautions that go with every plan of a night outside.
///
/// They never call a road, an ice sheet or a place safe; where nothing is known, they say so by naming who knows.
pub fn cautions() -> Vec<Caution> {
    [
        (
            "Night roads: check state and closures before you leave; ice, wind and animals on the road are likely in the aurora season. \
             Do not stop on the carriageway; wear a reflective vest when you step out.",
            "the national road authority and local traffic law",
        ),
        ("Weather turns faster than an outlook: read wind, snow and cold warnings for the whole drive.", "the national weather service"),
        (
            "Ice on lakes, rivers and the sea, avalanche slopes, tide and waves: this program knows nothing about them here tonight.",
            "local rescue services, the avalanche service and the coast guard",
        ),
        (
            "Cold: spare gloves, hot drink, a charged phone, and somebody who knows where you are and when you will be back. \
             Run an engine only with its exhaust clear of snow.",
            "your own limits and local rescue advice",
        ),
        ("Private land, farm tracks and protected areas need leave.", "the owner and local law"),
    ]
    .into_iter()
    .map(|(text, defer_to)| Caution { text: text.to_owned(), defer_to: defer_to.to_owned() })
    .collect()
}
