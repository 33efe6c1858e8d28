"""Pages of formulas: the ledger, versions, comparisons."""
