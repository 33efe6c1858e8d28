"""Records that last: materials, lots, formulas and their versions, batches, weighings, fills, journal."""
