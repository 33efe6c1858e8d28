"""Pages of the bench: plan a batch, weigh it, fill it."""
