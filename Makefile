# make         list the targets
# make demo    plan a sample job from nothing
# make test    set up from nothing and pass the tests
PYTHON ?= python3
VENV   ?= .venv
BIN    := $(VENV)/bin
READY  := $(VENV)/.ready
EVERY  ?= 10
EFFORT ?= 1
SHEETS  = $(BIN)/python -m benchmarks.run_sheets
BOARDS  = $(BIN)/python -m benchmarks.run_boards --effort $(EFFORT)

.DEFAULT_GOAL := help
.PHONY: help setup demo test test-browser test-slow lint types format samples golden clean
.PHONY: bench bench-all bench-home bench-no-waste bench-sets bench-boards bench-grades bench-tables

help:  ## List the targets
	@grep -E '^[a-z-]+:.*##' $(MAKEFILE_LIST) | sed -E 's/:.*## /\t/' | expand -t 18

$(READY): pyproject.toml constraints.txt
	$(PYTHON) -m venv $(VENV)
	$(BIN)/python -m pip install --quiet --disable-pip-version-check -c constraints.txt -e '.[dev]'
	$(BIN)/python -m cutopt.solve.warm
	touch $(READY)

setup: $(READY)  ## Make the environment, install, compile the search

demo: setup  ## Plan a sample job, print the summary, say where the pages are
	$(BIN)/cutopt plan sample_jobs/mudroom_locker

test: setup lint types  ## Set up, lint, check types, run the tests
	$(BIN)/python -m pytest -m 'not slow and not browser'

test-browser: setup  ## The page for the phone in a real browser: needs chromium and chromedriver
	$(BIN)/python -m pip install --quiet --disable-pip-version-check -e '.[browser]'
	$(BIN)/python -m pytest -m browser tests/test_phone_browser.py

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
	$(SHEETS) --every $(EVERY) --effort 1 --library

bench-all: setup  ## All 500 classic instances, both ways, at effort 2: hours; goes on where it stopped
	$(SHEETS) --effort 2 --library --resume

bench-home: setup  ## Made-up cupboards of 15 to 60 parts, one size of sheet and three
	$(SHEETS) --set home --effort $(EFFORT)
	$(SHEETS) --set three-sizes --effort $(EFFORT)
	$(BIN)/python -m benchmarks.profile_home --effort $(EFFORT)

bench-no-waste: setup  ## Sheets parted by straight cuts with no waste, to be put together again
	$(SHEETS) --set no-waste --effort $(EFFORT)

bench-sets: setup  ## Other open sets of sheets, and the most value from one sheet
	for set in gcutbin cintra1 cintra a43; do \
	  $(SHEETS) --set $$set --effort $(EFFORT) --library --resume || exit 1; done
	$(BIN)/python -m benchmarks.run_values --effort $(EFFORT) --resume

bench-boards: setup  ## Boards: a sample of the open sets, made-up jobs; minutes; tables into docs/measured.md
	$(BOARDS) --set falkenauer --every 2 && $(BOARDS) --set scholl --every 10
	$(BOARDS) --set schwerin --every 4 && $(BOARDS) --set waescher && $(BOARDS) --set hard28
	$(BOARDS) --set home --second-goals && $(BOARDS) --set exact && $(BOARDS) --set large
	$(BIN)/python -m benchmarks.write_tables

bench-grades: setup  ## Whether chances of boards in several grades are kept, on boards drawn afresh
	$(BIN)/python -m benchmarks.run_grades

bench-tables: setup  ## Write what was measured into docs/measured.md
	$(BIN)/python -m benchmarks.write_tables

clean:  ## Remove the environment and everything made
	rm -rf $(VENV) build dist .mypy_cache .ruff_cache .pytest_cache .hypothesis
