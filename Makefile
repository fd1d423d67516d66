# Sill & Plumb. `make` lists what there is.
PYTHON := .venv/bin/python

help:  ## list the targets
	@grep -hE '^[a-z]+:.*##' $(MAKEFILE_LIST) | sed -E 's/:.*## /\t/' | expand -t 10

setup:  ## make the virtual environment and install what is missing on this machine
	@sh .ci/setup

demo:  ## play the demo job through to its PDFs and serve it (SERVE=0 only plays)
	@sh .ci/setup run
	@$(PYTHON) manage.py demo $(if $(filter 0,$(SERVE)),--no-serve)

run:  ## serve what is in var/, and do the background work
	@sh .ci/setup run
	@$(PYTHON) manage.py serve

test: setup lint  ## lint, then every test
	@$(PYTHON) -m pytest -n auto --maxprocesses 4 --dist worksteal $(ARGS)

lint: setup  ## ruff, mypy, the import contract, missing migrations
	@sh .ci/lint

bench: setup  ## speed and memory, as ratios measured side by side
	@$(PYTHON) -m pytest tests/benchmarks -s -q -o python_files='bench_*.py' $(ARGS)

fmt: setup  ## put the code into its standing form
	@.venv/bin/ruff format . && .venv/bin/ruff check --fix .

.PHONY: help setup demo run test lint bench fmt
.DEFAULT_GOAL := help
