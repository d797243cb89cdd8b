# stallwise: `make cook` for a first taste, `make test` for everything the tests need and all of them.
SHELL := /bin/bash
.SHELLFLAGS := -euo pipefail -c
.DEFAULT_GOAL := help
.PHONY: help venv cook tools test audit benchmarks lint lock clean

BIN := .venv/bin
BOOK ?= my-cookbook
COOK ?= 2026-09-26-harvest-supper

help: ## this list
	@grep -hE '^[a-z]+:.*##' Makefile | sed -E 's/:[^#]*## /\t/' | expand -t 10

venv: ## .venv with the locked packages; does not reinstall what is there
	@tools/venv.sh

# Run again, it keeps the cookbook as the cook left it and only runs and publishes once more.
cook: venv ## the sample cookbook, one cook run and published; prints where
	@if [ ! -e $(BOOK)/cookbook.toml ]; then $(BIN)/stallwise init $(BOOK) --sample; fi
	@$(BIN)/stallwise rerun $(COOK) --cookbook $(BOOK)
	@$(BIN)/stallwise publish --cookbook $(BOOK)
	@echo
	@echo "The page:     $(BOOK)/journal/cooks/$(COOK).html"
	@echo "The notebook: PYTHONSAFEPATH=1 $(BIN)/jupyter lab $(BOOK)/cooks/$(COOK)/cook.ipynb"

tools: ## what the tests need beside Python: browser, Java, page checkers
	@tools/system_packages.sh
	@tools/page_checkers.sh

test: venv tools ## every test but the audit
	@$(BIN)/python -m pytest --durations=20 $(TESTS)

audit: venv tools ## the long ones: coverage, whole days in the browser, page audits, fuzzing, benchmarks
	@tools/page_checkers.sh --audit
	@$(BIN)/python -m pytest -m "audit or benchmark" --hypothesis-profile=audit --durations=20 $(TESTS)

# On a machine with nothing else to do. README=1 writes the ratios into the README.
benchmarks: venv tools ## every benchmark, as a table with the machine, medians and ratios
	@$(BIN)/python tools/benchmarks.py $(if $(README),--readme) $(TESTS)

lint: venv ## ruff and mypy
	@$(BIN)/ruff check
	@$(BIN)/ruff format --check
	@$(BIN)/mypy

lock: venv ## resolve the locks anew (UPGRADE=1 for the newest releases)
	@tools/lock.sh

clean: ## remove what was made here, but never a cookbook
	rm -rf .venv .tools dist build .pytest_cache .hypothesis .benchmarks .mypy_cache .ruff_cache
	find src tests tools -name __pycache__ -type d -prune -exec rm -rf {} +
