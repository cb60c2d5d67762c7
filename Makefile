# Two commands matter: `make demo` and `make test`. Both set up what they need.
PYTHON ?= python3
VENV := .venv
BIN := $(VENV)/bin
OUT ?= out/demo
PIP := $(BIN)/pip --disable-pip-version-check -q

.PHONY: demo test lint types evidence bench pictures clean

demo: $(VENV)/run.stamp
	$(BIN)/timbrel plan examples/granary/job.toml --out $(OUT)
	@echo "The pack lies in $(OUT)/pack.pdf; the figures in $(OUT)/plan.json."
	@echo "To open the page:  $(BIN)/timbrel serve examples"

test: $(VENV)/test.stamp
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/mypy
	$(BIN)/pytest -n 2 -m "not browser"
	$(BIN)/pytest -m browser

lint: $(VENV)/test.stamp
	$(BIN)/ruff check . && $(BIN)/ruff format --check .

types: $(VENV)/test.stamp
	$(BIN)/mypy

evidence: $(VENV)/test.stamp
	$(BIN)/python -m tests.evidence

bench: $(VENV)/test.stamp
	$(BIN)/python -m benchmarks

pictures: $(VENV)/test.stamp
	$(BIN)/python scripts/render_pictures.py
	$(BIN)/python scripts/page_pictures.py

$(BIN)/python:
	$(PYTHON) -m venv $(VENV)

# The wheels are pinned by hash; the project itself is put on the path by a .pth file, so that
# setting up needs no build step.
$(VENV)/run.stamp: requirements/run.lock | $(BIN)/python
	$(PIP) install --require-hashes --only-binary :all: -r requirements/run.lock
	@$(MAKE) --no-print-directory $(BIN)/timbrel
	touch $@

$(VENV)/test.stamp: requirements/test.lock | $(BIN)/python
	$(PIP) install --require-hashes --only-binary :all: -r requirements/test.lock
	@$(MAKE) --no-print-directory $(BIN)/timbrel
	touch $@ $(VENV)/run.stamp

$(BIN)/timbrel:
	$(BIN)/python -c "import pathlib, site; pathlib.Path(site.getsitepackages()[0], 'timbrel.pth').write_text(str(pathlib.Path('src').resolve()))"
	printf '#!/bin/sh\nexec "$(CURDIR)/$(BIN)/python" -m timbrel "$$@"\n' > $@ && chmod +x $@

clean:
	rm -rf $(VENV) out
