PYTHON ?= python3
V := .venv
PY := $(V)/bin/python
N ?= 1000
SEED ?= 1
WHICH ?=
LIMIT_S := 900
export PIP_DISABLE_PIP_VERSION_CHECK := 1

.PHONY: help demo test tests check bench study published docs lock lock-npm environment clean

help:
	@sed -n 's/^\([a-z-]*\):.*## /\1\t/p' Makefile | expand -t 14

environment: $(V)/.ready

# uv is quick; where it cannot run, pip does the same from the same hashes
$(V)/.ready: requirements/all.txt requirements/uv.txt pyproject.toml
	@$(PYTHON) -c 'import sys; sys.exit("Python 3.11 or newer is needed" if sys.version_info < (3, 11) else 0)'
	@echo "setting up $(V)"
	@$(PYTHON) -m venv --clear $(V) || { echo "python3-venv is missing: apt-get install python3-venv" >&2; exit 1; }
	@$(PY) -m pip install --quiet --require-hashes -r requirements/uv.txt \
	  && UV_LINK_MODE=copy $(V)/bin/uv pip sync --quiet --python $(PY) --require-hashes requirements/all.txt \
	  || { echo "uv cannot run here, so pip does it: slower" >&2; \
	       $(PY) -m pip install --quiet --require-hashes -r requirements/all.txt; }
	@$(PY) -m pip install --quiet --no-deps --no-build-isolation -e .
	@touch $@

# Python compiled for the browser, run here by node: the tests compare its bytes with ours
node_modules/.ready: package.json package-lock.json .npmrc
	@sh tools/need_node.sh
	@npm ci --silent --no-progress
	@touch $@

demo: environment  ## both scenarios end to end
	@$(PY) tools/demo.py

test: environment node_modules/.ready  ## everything: lint, types, tests, coverage
	@sh tools/need_chromium.sh
	@$(PY) -m tools.run_tests $(LIMIT_S)

tests: environment  ## pytest alone, quick: make tests WHICH=tests/wiring
	@$(PY) -m pytest -q $(WHICH)

check: environment  ## lint and types alone
	$(V)/bin/ruff check .
	$(V)/bin/mypy

bench: environment  ## measure, as ratios in one run: make bench WHICH=wiring
	@$(PY) bench/run.py $(WHICH)

study: environment  ## long seeded runs that resume: make study WHICH=crash N=100000 SEED=7
	@$(PY) studies/run.py --n $(N) --seed $(SEED) $(WHICH)

published: environment  ## worked examples from a file: make published EXAMPLES=path
	@$(PY) -m tools.published $(EXAMPLES)

docs: environment  ## write the generated pages again
	@$(PY) tools/build_docs.py

lock: environment  ## choose the versions again
	$(V)/bin/uv pip compile --quiet --universal --python-version 3.11 --generate-hashes --no-header --no-annotate --upgrade \
	  --no-emit-index-url --no-emit-find-links --all-extras --group dev pyproject.toml -o requirements/all.txt
	echo uv | $(V)/bin/uv pip compile --quiet --universal --python-version 3.11 --generate-hashes --no-header --no-annotate \
	  --upgrade --no-emit-index-url --no-emit-find-links - -o requirements/uv.txt

lock-npm:  ## the same for npm
	npm install --package-lock-only --silent

clean:  ## what was made, not what was written
	rm -rf $(V) node_modules build dist out .mypy_cache .ruff_cache .pytest_cache .hypothesis .coverage studies/state
