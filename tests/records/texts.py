"""Small formulas for tests of the records."""

PLAIN = """levigate = 1

[formula]
name = "Tideline lotion"
use = "body lotion"
makes = "200 g"

[[phase]]
letter = "A"
how = "stir"
lines = [
  { material = "aqua", percent = "q.s." },
  { material = "glycerin", percent = 5 },
  { material = "phenoxyethanol", percent = 0.9 },
]
"""


def with_glycerin(percent: str) -> str:
    """Return the formula with another percent of glycerin."""
    return PLAIN.replace("percent = 5 ", f"percent = {percent} ")
