# Two commands matter: `make demo` and `make test`. Each installs what it needs into .venv first.
#   make demo              the demo contractor on http://127.0.0.1:8000 ; SERVE=0 stops after printing ; PORT=... to choose
#   make test              lint, import contracts, types, tests ; ARGS="tests/framing -x" goes to pytest
#   make lint | bench | lock
#   make run ARGS="..."    any command with PostgreSQL and Redis around it; DEMO=1 for one on the demo's records
#   PYTHON=python3.12      builds .venv with that Python

PYTHON ?= python3
ARGS ?=
INSTALL = $(PYTHON) config/local/install.py $(if $(filter-out file,$(origin PYTHON)),--rebuild-with-this-python)
LOCAL = exec .venv/bin/python -m config.local

.PHONY: demo test lint bench run lock install

install:
	@$(INSTALL)

demo: install
	@$(LOCAL) demo

test: install
	@$(LOCAL) test $(ARGS)

lint: install
	@$(LOCAL) lint

bench: install
	@$(LOCAL) bench $(ARGS)

run: install
	@$(LOCAL) $(if $(DEMO),beside-demo,with) $(ARGS)

# Keeps every pinned version that still fits; `make lock ARGS=--upgrade` takes newer ones.
lock: install
	@.venv/bin/uv pip compile pyproject.toml --extra dev --universal --python-version 3.11 --generate-hashes \
	  --no-annotate --custom-compile-command "make lock" --quiet --output-file requirements.lock $(ARGS)
