# Needed first: Python 3.11 or later with venv, and make. Everything else is fetched by its locked hash.
PYTHON ?= python3
VENV := .venv
BIN := $(VENV)/bin
READY := $(VENV)/.ready
LOCKED := $(VENV)/.locked
FRONTEND := hatch_build.py $(wildcard frontend/*.json frontend/*.mjs) $(shell find frontend/src -type f)
OUT ?= out
PROCESSES ?= 2
MINUTES ?= 60
FAULTS ?= 40

.PHONY: demo test lint docs bench fuzz mutation lock clean
.DELETE_ON_ERROR:

demo: $(READY)  ## write the papers of the demonstration job
	$(BIN)/drainwright papers examples/block-wall-house/job.yaml --to $(OUT)/block-wall-house
	@echo "Open $(OUT)/block-wall-house/proposal.pdf"

test: $(READY)  ## run every test, in PROCESSES at once (up to 3 GB each)
	$(BIN)/python -m pytest -n $(PROCESSES)

lint: $(READY)  ## style and types, of Python and of the front end
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/mypy
	$(BIN)/python hatch_build.py types

docs: $(READY) $(VENV)/.docs  ## the documentation as a site, with the reference and the published checks as they ran
	$(BIN)/python -m pytest -p docs.making.comparisons --comparisons $(OUT)/comparisons.json tests/published
	$(BIN)/python -m docs.making $(OUT)/comparisons.json
	$(BIN)/python -m sphinx -W --keep-going -q docs $(OUT)/docs
	@echo "Open $(OUT)/docs/index.html"

bench: $(READY)  ## speed and memory, as ratios measured side by side
	$(BIN)/python -m benchmarks

fuzz: $(READY) $(VENV)/.fuzz  ## every reader, whole jobs and the API under fuzzers; MINUTES for all together
	$(BIN)/python -m fuzzing --minutes $(MINUTES) --to $(OUT)/fuzz

mutation: $(READY) $(VENV)/.mutation  ## small faults planted in hydraulics, system and findings, for the tests to find
	$(BIN)/python -m mutation --most $(FAULTS)

$(LOCKED): requirements/dev.txt
	test -x $(BIN)/python || $(PYTHON) -m venv $(VENV)
	$(BIN)/python -m pip install --quiet --disable-pip-version-check --require-hashes -r requirements/dev.txt
	touch $@

$(READY): $(LOCKED) pyproject.toml $(FRONTEND)
	$(BIN)/python -m pip install --quiet --disable-pip-version-check --no-deps --no-build-isolation --editable .
	touch $@

$(VENV)/.docs: $(READY) requirements/docs.txt
	$(BIN)/python -m pip install --quiet --disable-pip-version-check --require-hashes -r requirements/docs.txt
	touch $@

$(VENV)/.fuzz: $(READY) requirements/fuzz.txt
	$(BIN)/python -m pip install --quiet --disable-pip-version-check --require-hashes -r requirements/fuzz.txt
	touch $@

$(VENV)/.mutation: $(READY) requirements/mutation.txt
	$(BIN)/python -m pip install --quiet --disable-pip-version-check --require-hashes -r requirements/mutation.txt
	touch $@

lock:  ## renew the locked dependencies (needs uv)
	uv pip compile --quiet --universal --python-version 3.11 --generate-hashes --no-emit-index-url \
	  --no-emit-find-links --no-header --extra dev pyproject.toml -o requirements/dev.txt
	uv pip compile --quiet --universal --python-version 3.11 --generate-hashes --no-emit-index-url \
	  --no-emit-find-links --no-header --constraints requirements/dev.txt docs/requirements.in -o requirements/docs.txt
	uv pip compile --quiet --universal --python-version 3.11 --generate-hashes --no-emit-index-url \
	  --no-emit-find-links --no-header --constraints requirements/dev.txt fuzzing/requirements.in -o requirements/fuzz.txt
	uv pip compile --quiet --universal --python-version 3.11 --generate-hashes --no-emit-index-url \
	  --no-emit-find-links --no-header --constraints requirements/dev.txt mutation/requirements.in -o requirements/mutation.txt

clean:
	rm -rf $(VENV) $(OUT) frontend/dist frontend/node_modules
