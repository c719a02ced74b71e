"""Frozen data: the job as read, the plan as made. No files, no search, no pages."""
