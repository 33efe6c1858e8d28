"""Settings of the application under test: a data folder of its own, and a token that the tests know."""

import os
import tempfile

os.environ["LEVIGATE_DATA"] = tempfile.mkdtemp(prefix="levigate-tests-")
os.environ["LEVIGATE_TOKEN"] = "token-of-the-tests"

from levigate.web.settings import *  # noqa: F403  (the environment comes first)
