"""Quick sums: what one reckons at the bench without a formula, each with its working."""
