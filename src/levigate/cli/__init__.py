"""The command ``levigate``: parse, call, print."""
