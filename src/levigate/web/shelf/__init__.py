"""Pages of the shelf: materials, lots, measured values."""
