"""Plan a lesson or a term, and check a lesson."""
