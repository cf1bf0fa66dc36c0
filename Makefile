# Two commands: `make demo` and `make test`. Both make what they need in .venv and are quick the second time.
PYTHON ?= $(firstword $(foreach name,python3 python3.13 python3.12 python3.11 python,\
  $(shell $(name) -c 'import sys; sys.exit(sys.version_info < (3, 11))' 2>/dev/null && echo $(name))))
RUN := .venv/bin

.NOTPARALLEL:

.PHONY: demo test check tests environment clean

demo: ## read the demo recording and print the draft
	@$(PYTHON) requirements/environment.py run
	@$(RUN)/vouchbook demo

test: environment check tests ## everything: style, types, directions of imports, schema, wheel, behaviour

environment:
	@$(PYTHON) requirements/environment.py dev

check:
	$(RUN)/ruff check .
	$(RUN)/ruff format --check .
	$(RUN)/mypy
	$(RUN)/lint-imports
	$(RUN)/vouchbook schema --check docs/schema

tests:
	$(RUN)/pytest

clean: ## remove the environment and what the checks leave
	rm -rf .venv dist build .mypy_cache .ruff_cache .pytest_cache .hypothesis .import_linter_cache
