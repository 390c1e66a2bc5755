# Everything a person needs is here: python3 (3.11 or newer), git and make. `make` alone lists the targets.

PYTHON ?= python3
BIN := .venv/bin
UV := 0.13.9

.PHONY: help run test check attack bench lock soak slow docs pictures install-check clean run-ready dev-ready

help: ## this list
	@sed -n 's/^\([a-z-]*\):.*## \(.*\)/  make \1\t\2/p' Makefile | expand -t 24

run: run-ready ## serve the demo, in a fresh database under run/
	@mkdir -p run
	@$(BIN)/whitemetal demo --into run/demo-$$(date +%Y%m%d-%H%M%S).sqlite3 --serve --open

test: dev-ready ## every test but the long ones; ends with the ten slowest
	@$(PYTHON) tools/find_browser.py
	@$(BIN)/python -m pytest

soak: dev-ready ## the long versions of the tests, and new generated examples for the others
	@$(PYTHON) tools/find_browser.py
	@SEARCH=1 $(BIN)/python -m pytest -m ""

slow: dev-ready ## the browser's tests on pages made six times slower, with late answers (an hour)
	@$(PYTHON) tools/find_browser.py
	@WHITEMETAL_TEST_SLOWNESS=6 $(BIN)/python -m pytest tests/flow -m browser

check: dev-ready ## style, types, import contracts, docs made from code
	@$(BIN)/ruff check .
	@$(BIN)/ruff format --check .
	@$(BIN)/mypy
	@$(BIN)/lint-imports --no-logo
	@$(BIN)/python tools/write_docs.py --check
	@$(BIN)/python tools/measure_house.py

attack: dev-ready ## attack the program on this machine: forms, JSON, the API with every role (minutes)
	@SEARCH=1 ATTACK=$(or $(ROUNDS),10) $(BIN)/python -m pytest tests/attack tests/web/test_gate.py \
	  tests/desk/test_exported.py tests/desk/test_exports.py tests/desk/test_job_file.py \
	  tests/desk/test_spreadsheet.py

bench: dev-ready ## speed, as ratios measured in one run
	@$(BIN)/python bench/run_all.py

docs: dev-ready ## write the docs that are made from code
	@$(BIN)/python tools/write_docs.py

pictures: dev-ready ## take the pictures of the README anew
	@$(PYTHON) tools/find_browser.py
	@$(BIN)/python tools/take_pictures.py

install-check: dev-ready ## build the wheel and use it from an empty folder
	@$(BIN)/python tools/check_wheel.py

lock: ## resolve the pinned versions anew (for those who change requirements*.in)
	@$(PYTHON) -m venv build/lock
	@build/lock/bin/pip install --quiet --disable-pip-version-check uv==$(UV)
	@build/lock/bin/uv pip compile $(LOCK_OPTIONS) requirements.in --output-file requirements.lock
	@build/lock/bin/uv pip compile $(LOCK_OPTIONS) requirements.in requirements-dev.in \
	  --output-file requirements-dev.lock

LOCK_OPTIONS := --quiet --universal --python-version 3.11 --generate-hashes --no-header --no-emit-index-url

clean: ## remove the environment, caches and what was built; databases under run/ stay
	rm -rf .venv build dist src/*.egg-info .pytest_cache .mypy_cache .ruff_cache .import_linter_cache
	find . -name __pycache__ -type d -prune -exec rm -rf {} +

run-ready:
	@$(PYTHON) tools/prepare.py run

dev-ready:
	@$(PYTHON) tools/prepare.py dev
