"""Quick sums as small forms with their working."""
