# stallwise: `make cook` for a first taste, `make test` for everything the tests need and all of them.
SHELL := /bin/bash
.SHELLFLAGS := -euo pipefail -c
.DEFAULT_GOAL := help
.PHONY: help venv lock clean

VENV := .venv/bin
UV := .tools/uv/bin/uv

help: ## this list
	@grep -hE '^[a-z]+:.*##' Makefile | sed -E 's/:.*## /\t/' | expand -t 10

venv: ## .venv with the locked packages; does not reinstall what is there
	@tools/venv.sh

lock: venv ## write requirements.lock and tools/uv.lock anew (UPGRADE=1 for the newest releases)
	@tools/lock.sh

clean: ## remove what was made here, but never my-cookbook
	rm -rf .venv .tools dist build .pytest_cache .hypothesis .mypy_cache .ruff_cache
	find src tests tools -name __pycache__ -type d -prune -exec rm -rf {} +
