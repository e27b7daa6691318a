# Everyday commands; `make help` lists them. The work is done by .ci/setup.sh, so nothing here needs a prepared machine.
.DEFAULT_GOAL := help
.PHONY: help demo desk test check bench house soak lock schema clean setup
export PYTHON WITHOUT_PDF UPGRADE
unexport PYTHONDONTWRITEBYTECODE # where bytecode is kept, a process of the planner costs half as much: many tests start one

BIN := .venv/bin
SETUP := sh .ci/setup.sh
PYTEST_ARGS ?= -n auto --dist worksteal
ATHLETES ?= athletes

help: ## list these commands
	@sed -n 's/^\([a-z]*\):.*## \(.*\)/make \1|\2/p' Makefile | while IFS='|' read -r name text; do printf '%-13s %s\n' "$$name" "$$text"; done

setup: ## install what is missing, with the packages for tests and checks
	@$(SETUP) test

demo: ## install what is missing, then plan the week of demo_athlete
	@$(SETUP) run
	@$(BIN)/planner week demo_athlete

desk: ## install what is missing, then open a copy of the demo in the browser (ATHLETES=folder: your own)
	@$(SETUP) run
	@[ -d $(ATHLETES) ] || { mkdir -p $(ATHLETES)/demo_athlete && cp demo_athlete/*.toml demo_athlete/*.csv $(ATHLETES)/demo_athlete; }
	@$(BIN)/planner desk $(ATHLETES)

test: setup ## install what is missing, then run the tests
	@$(BIN)/python -m pytest $(PYTEST_ARGS)

check: setup ## formatting, lint, types and shell scripts
	@$(BIN)/ruff format --check .
	@$(BIN)/ruff check .
	@$(BIN)/mypy
	@$(BIN)/shellcheck .ci/*.sh .ci/run

bench: setup ## measure speed and memory, mostly as ratios within one run
	@$(BIN)/python tests/benchmarks/run.py $(BENCH)

house: setup ## how large the house is, beside what it should at most be
	@$(BIN)/python tests/benchmarks/house.py

soak: setup ## the long tests; prints how often the margins of measuring hold what they say
	@$(BIN)/python -m pytest -m soak -s -o faulthandler_timeout=0

lock: ## write the three lock files (UPGRADE=1: newest versions)
	@sh .ci/lock.sh

schema: setup ## write the JSON schema of week.json from its models
	@$(BIN)/python .ci/schema.py

clean: ## remove .venv, caches and built files
	rm -rf .venv build dist *.egg-info .pytest_cache .mypy_cache .ruff_cache .hypothesis
	find . -name __pycache__ -type d -prune -exec rm -rf {} +
