"""The records for scripts and scales, as JSON."""
