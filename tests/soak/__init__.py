"""Long proofs: `make soak` runs them in full; `make test` runs a short form of each."""

import os

#: Whether they are run in full.
FULL = os.environ.get("LEVIGATE_SOAK") == "1"
