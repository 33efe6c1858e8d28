"""The first page: what needs one today."""
