"""``python -m levigate`` is the command ``levigate``."""

from levigate.cli.main import run

if __name__ == "__main__":
    run()
