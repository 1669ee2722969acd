# Two commands do everything: `make demo` and `make test`. They build their own environment from the hashed lock.

PYTHON ?= python3
SERVE ?= 1
MUTANTS ?=
VENV := .venv
BIN := $(VENV)/bin
READY := $(VENV)/ready
DEMO_SHOP := demo-shop/tolberhaven.pinseal

.PHONY: help setup demo test soak mutants bench format docs words pictures lock clean

help:
	@echo "make demo          load the invented shop, print its twelve most urgent dues, serve its pages (SERVE=0: stop after the print)"
	@echo "make test          lint, types, layer borders, docs and tests"
	@echo "make soak          long simulations            make mutants  change the rules and see the tests notice (MUTANTS='pinseal.rules.clocks.*': only these)"
	@echo "make bench         speed, as ratios in one run  make docs     write the generated pages again"
	@echo "make pictures      take the pictures of the docs again (needs Chromium)"
	@echo "make words         collect what people read, for translators (docs/adding-a-language.md)"

setup: $(READY)

$(READY): requirements.lock installer.lock pyproject.toml tools/setup.sh
	@PYTHON="$(PYTHON)" sh tools/setup.sh "$(VENV)"
	@touch $(READY)

demo: setup
	@$(BIN)/pinseal demo --shop $(DEMO_SHOP)
	@if [ "$(SERVE)" != 0 ]; then $(BIN)/pinseal serve --shop $(DEMO_SHOP); fi

test: setup
	@$(BIN)/python tools/check.py

soak: setup
	@$(BIN)/pytest -q -m soak -n auto --dist worksteal tests

mutants: setup
	@HYPOTHESIS_PROFILE=mutants $(BIN)/mutmut run $(MUTANTS) && $(BIN)/mutmut results

bench: setup
	@$(BIN)/python -m benchmarks

format: setup
	@$(BIN)/ruff format src tests benchmarks tools && $(BIN)/ruff check --fix src tests benchmarks tools

docs: setup
	@$(BIN)/python tools/gen_docs.py

pictures: setup
	@$(BIN)/python tools/screenshots.py

words: setup
	@$(BIN)/python tools/words.py

lock: setup
	@$(BIN)/uv pip compile -q --universal --generate-hashes --all-extras --group dev --python-version 3.11 pyproject.toml -o requirements.lock

clean:
	rm -rf $(VENV) demo-shop build mutants
