# make         list the targets
# make demo    plan a sample job from nothing
# make test    set up from nothing and pass the tests
PYTHON ?= python3
VENV   ?= .venv
BIN    := $(VENV)/bin
READY  := $(VENV)/.ready
EVERY  ?= 10

.DEFAULT_GOAL := help
.PHONY: help setup demo test test-slow lint types format samples golden bench clean

help:  ## List the targets
	@grep -E '^[a-z-]+:.*##' $(MAKEFILE_LIST) | sed -E 's/:.*## /\t/' | expand -t 14

$(READY): pyproject.toml constraints.txt
	$(PYTHON) -m venv $(VENV)
	$(BIN)/python -m pip install --quiet --disable-pip-version-check -c constraints.txt -e '.[dev]'
	$(BIN)/python -m cutopt.solve.warm
	touch $(READY)

setup: $(READY)  ## Make the environment, install, compile the search

demo: setup  ## Plan a sample job, print the summary, say where the pages are
	$(BIN)/cutopt plan sample_jobs/mudroom_locker

test: setup lint types  ## Set up, lint, check types, run the tests
	$(BIN)/python -m pytest -m 'not slow'

test-slow: setup  ## The tests that take minutes
	$(BIN)/python -m pytest -m slow

lint: setup
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .

types: setup
	$(BIN)/mypy

format: setup  ## Format the code
	$(BIN)/ruff format .
	$(BIN)/ruff check --fix .

golden: setup  ## Write the golden files again; read the diff before committing it
	CUTOPT_WRITE_GOLDEN=1 $(BIN)/python -m pytest tests -m 'not slow' -k golden

samples: setup  ## Plan every sample job
	for job in sample_jobs/*/job.toml sample_jobs/tool_tote/parts.csv; do \
	  $(BIN)/cutopt plan $$job --units inch || exit 1; done

bench: setup  ## Measure the sheets engine: every tenth classic instance, or EVERY=1 for all
	$(BIN)/python -m benchmarks.run_sheets --every $(EVERY) --library

clean:  ## Remove the environment and everything made
	rm -rf $(VENV) build dist .mypy_cache .ruff_cache .pytest_cache .hypothesis
