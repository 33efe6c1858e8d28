"""How one likes the pages, and the keys of scripts and scales."""
