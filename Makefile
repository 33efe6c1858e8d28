# Levigate. `make` alone lists what there is.
.DEFAULT_GOAL := help
SHELL := /bin/bash
PYTHON ?= python3
VENV := .venv
BIN := $(VENV)/bin

.PHONY: help demo test test-postgres soak lint format bench docs pictures messages evidence lock clean

help: ## List the targets.
	@grep -hE '^[a-z-]+:.*## ' $(MAKEFILE_LIST) | sed -E 's/:.*## /\t/' | expand -t 16

# What runs, and what tests it, are installed from locks with hashes; no package brings another with it unseen.
$(VENV)/run.done: requirements/run.txt pyproject.toml
	@test -x $(BIN)/python || $(PYTHON) -m venv $(VENV)
	$(BIN)/python -m pip install --quiet --disable-pip-version-check --require-hashes -r requirements/run.txt
	$(BIN)/python -m pip install --quiet --disable-pip-version-check --no-deps --no-build-isolation -e .
	@touch $@

$(VENV)/test.done: $(VENV)/run.done requirements/test.txt
	$(BIN)/python -m pip install --quiet --disable-pip-version-check --require-hashes -r requirements/test.txt
	@touch $@

demo: $(VENV)/run.done ## Set up, run the main job on the demo workshop, write its outputs to demo-out/.
	$(BIN)/levigate demo --to demo-out

test: $(VENV)/test.done chromium ## Everything the tests need, then all of them.
	$(BIN)/python -m pytest -n 2 --dist loadscope

.PHONY: chromium
chromium: # Debian's browser drives the pages; nothing is fetched by the tests themselves.
	@command -v chromium >/dev/null || { apt-get update -qq && apt-get install -y -qq chromium >/dev/null; }

test-postgres: $(VENV)/test.done ## Records and pages on a private PostgreSQL cluster; installs Debian's server if missing.
	$(BIN)/python -m tests.postgres

soak: $(VENV)/test.done ## Long proofs: 200 kills during writes, twenty writers at once, damaged archives and files.
	LEVIGATE_SOAK=1 $(BIN)/python -m pytest tests/soak

lint: $(VENV)/test.done ## Style, types, import direction, generated pages.
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/mypy
	$(BIN)/lint-imports --no-cache
	$(BIN)/python -m levigate.publish.reference --check
	$(BIN)/python -m levigate.records.archive_page --check

format: $(VENV)/test.done ## Lay the code out.
	$(BIN)/ruff check --fix .
	$(BIN)/ruff format .

bench: $(VENV)/test.done chromium ## Speed, printed as ratios measured in one run.
	$(BIN)/python -m benchmarks

docs: $(VENV)/test.done ## Write the reference pages that come from the code.
	$(BIN)/python -m levigate.publish.reference
	$(BIN)/python -m levigate.records.archive_page
	$(BIN)/python -m tests.evidence --markdown docs/evidence.md
	$(BIN)/python -m tests.tour

pictures: $(VENV)/test.done chromium ## Take the pictures of the pages anew, for the docs.
	$(BIN)/python -m tests.pictures

messages: $(VENV)/test.done ## Bring the translation up to the words of the pages.
	$(BIN)/python -m tests.messages

evidence: $(VENV)/test.done ## Published / ours / difference, for every printed case.
	$(BIN)/python -m tests.evidence

lock: ## Lock the versions again (needs uv).
	uv pip compile --quiet --universal --python-version 3.11 --generate-hashes --no-emit-index-url --no-emit-find-links --no-header --group build pyproject.toml -o requirements/run.txt
	uv pip compile --quiet --universal --python-version 3.11 --generate-hashes --no-emit-index-url --no-emit-find-links --no-header --group build --group test --constraint requirements/run.txt pyproject.toml -o requirements/test.txt

clean: ## Remove what was made.
	rm -rf $(VENV) demo-out build dist .pytest_cache .mypy_cache .ruff_cache .hypothesis
