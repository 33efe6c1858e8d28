"""The local web application: pages over the records, and a small JSON API."""
