"""The rules, one module per concern."""
