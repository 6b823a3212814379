-- Submissions that were measured before it was kept what pictures look like wait to be measured once more; state, claim, permission
-- and their version stay.

UPDATE submission SET measured_at = NULL
WHERE measured_at IS NOT NULL AND problem IS NULL AND erased_at IS NULL AND state <> 'withdrawn'
      AND NOT EXISTS (SELECT 1 FROM picture_print WHERE picture_print.submission_id = submission.id);
