//! The last few outlooks answered: a page asks for a report and then for several drawings of it.

use std::collections::VecDeque;
use std::sync::{Arc, Mutex, PoisonError};

use job::{OutlookReport, OutlookRequest};

use crate::Failure;

/// Reports kept; one with fifty sites takes a few megabytes.
const KEPT: usize = 6;

type Entry = (OutlookRequest, Arc<OutlookReport>);

/// Reports by the request they answer.
#[derive(Clone, Default)]
pub(super) struct RecentOutlooks(Arc<Mutex<VecDeque<Entry>>>);

impl RecentOutlooks {
    /// The report of a request: the one kept, else worked out now. Reports are pure functions of their requests, so an old one
    /// is never wrong.
    pub(super) fn answer(&self, request: OutlookRequest) -> Result<Arc<OutlookReport>, Failure> {
        if let Some((_, report)) = self.lock().iter().find(|(asked, _)| *asked == request) {
            return Ok(Arc::clone(report));
        }
        let report = Arc::new(job::outlook(request.clone())?);
        let mut kept = self.lock();
        kept.truncate(KEPT - 1);
        kept.push_front((request, Arc::clone(&report)));
        Ok(report)
    }

    fn lock(&self) -> std::sync::MutexGuard<'_, VecDeque<Entry>> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }
}
