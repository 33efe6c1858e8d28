"""Levigate: formulas for skin and hair care that add up, with every number showing its working."""

__version__ = "0.1.0"
