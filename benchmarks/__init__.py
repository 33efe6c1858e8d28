"""Benchmarks: ratios measured in one run, because absolute times wander on shared machines."""
