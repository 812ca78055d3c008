# Wattwalk's commands. Each sets up what it needs first and is quick when nothing has changed.

HOST ?= 127.0.0.1
PORT ?= 8000

SHELL := /bin/bash
SET_UP := python3 backend/tools/set_up.py
# The Node.js in .venv, when the machine has none of its own, is found before any other.
WITH_NODE := PATH="$(CURDIR)/.venv/bin:$$PATH"

# Three keep two cores busier, since there is always a test that waits; each takes up to 2 GB, and what measures seconds sees it.
TEST_PROCESSES ?= 2

SOAK_HISTORIES ?= 20000
SOAK_KILLS ?= 40
SOAK_HOUSES ?= 500
SOAK_DRAWS ?= 10000

MUTANTS ?= 400
AREA ?=
SEED ?= 1
MINUTES ?= 90

.PHONY: run test lint format bench soak mutants pwa wheel lock clean

run: ## set up, fill in the demo house and serve on this machine
	@$(SET_UP) run
	@exec .venv/bin/wattwalk run --demo --host $(HOST) --port $(PORT)

test: ## set up for testing and run every check
	@$(SET_UP) test
	@$(MAKE) --no-print-directory -j2 -O lint-alone test-phone
	@.venv/bin/python -m pytest -n $(TEST_PROCESSES) --dist loadfile --no-loadscope-reorder -m "not alone"
	@.venv/bin/python -m pytest -m alone

.PHONY: test-phone
test-phone:
	@cd pwa && $(WITH_NODE) npm test --silent

lint: ## the linter and the type checkers
	@$(SET_UP) test
	@$(MAKE) --no-print-directory lint-alone

.PHONY: lint-alone
lint-alone:
	@.venv/bin/ruff check --quiet .
	@.venv/bin/ruff format --check --quiet .
	@.venv/bin/mypy --no-error-summary
	@cd pwa && $(WITH_NODE) npm run --silent check

format: ## lay out every Python and TypeScript file, 120 columns wide; nobody argues with it
	@$(SET_UP) test
	@.venv/bin/ruff format --quiet .
	@cd pwa && $(WITH_NODE) npm run --silent format

bench: ## the benchmarks: figures, not tests
	@$(SET_UP) test
	@set -e; for each in tests/bench/bench_*.py; do echo "== $$each"; .venv/bin/python "$$each"; done

soak: ## random histories of sync: the fixed ones that `make test` leaves out, SOAK_HISTORIES with new seeds, then SOAK_KILLS kills of browser and server; before them SOAK_HOUSES new houses for each relation of the engine, and SOAK_DRAWS draws of what its ranges hang on
	@$(SET_UP) test
	@RELATION_HOUSES=$(SOAK_HOUSES) .venv/bin/python -m pytest -q tests/engine/relations
	@SOAK_DRAWS=$(SOAK_DRAWS) .venv/bin/python -m pytest -q tests/engine/test_ranges.py
	@.venv/bin/python -m tests.support.ledger.run $(SOAK_HISTORIES)
	@.venv/bin/python -m tests.browser.kills $(SOAK_KILLS)

mutants: ## mistakes made on purpose: MUTANTS of each AREA (sync, office, engine) drawn by SEED, for MINUTES at most; the next call goes on
	@$(SET_UP) mutants
	@.venv/bin/python -m pytest -q tests/mutants
	@nice -n 10 .venv/bin/python -m tests.mutants --mutants $(MUTANTS) $(if $(AREA),--area $(AREA)) --seed $(SEED) --minutes $(MINUTES)

pwa: ## build the phone app
	@$(SET_UP) run

wheel: ## build the wheel, phone app and migrations inside, into dist/
	@$(SET_UP) run
	@.venv/bin/python -m hatchling build -t wheel -d dist

lock: ## resolve every dependency anew and write the locks
	@$(SET_UP) lock
	@.venv/bin/python backend/tools/lock.py
	@cd pwa && $(WITH_NODE) npm install --package-lock-only --silent

clean: ## remove all that set-up and builds made; the database in var/ stays
	@rm -rf .venv dist pwa/node_modules pwa/dist pwa/src/generated .mypy_cache .pytest_cache .ruff_cache .hypothesis .schemathesis
	@find backend migrations tests -name __pycache__ -type d -prune -exec rm -rf {} +
