# make demo    a populated trackday on http://127.0.0.1:8000/   (PORT=8000 HOST=127.0.0.1)
# make serve   real use: everything in one process (VAN=van.local or VAN=its address: over https, for tablets)
# make test    the whole suite, on all processors (WORKERS=0: in one process; PYTEST_ARGS='-m "not browser"');
#              browser and PDF tests are skipped where their Debian package is absent
# make lives LIVES=5000       random lives of an office's money against a model, in 8 parts, each with its seed
#              (SEED=7 LIVES=625: one of the parts again)
# make crowd ATTEMPTS=300     eight processes issue and enter payments at once, KILLS=20 of them are killed
# make schema EXAMPLES=50     Schemathesis over the whole API, by all its methods (DATABASE_URL=... as well)
# make forms INPUTS=5000      every form of every page with what nobody means well (SEED=2: others)
# make mutants ROOM=setups    do the tests of a room notice 60 small changes of it? (ABOVE=1: and those of the rooms above)
# make pictures             the pictures of the manual and of README.md, taken from the demo anew
# make sbom    at a release: sbom.cdx.json, what it consists of (CycloneDX)
# make audit   is a fault known of a package that runs? (pip-audit; asks pypi.org)
PYTHON ?= python3
WORKERS ?= auto
# The demo's. Not set for one target alone: GNU Make 4.3 then hides the variable of the same name in
# the environment from the other targets too.
HOST ?= 127.0.0.1
PORT ?= 8000
VENV := .venv
RUN := $(VENV)/bin/python

.PHONY: demo serve test lives crowd schema forms mutants pictures sbom audit python-is-new-enough port-is-free

demo: export DEMO = 1
demo: export PUBLIC_URL = http://$(HOST):$(PORT)
demo: python-is-new-enough port-is-free $(VENV)/runtime
	@$(RUN) manage.py demo --if-empty --moment morning
	@exec $(RUN) -m uvicorn paddock.asgi:application --host $(HOST) --port $(PORT) --log-level warning

serve: python-is-new-enough $(VENV)/runtime
	@exec $(RUN) manage.py serve

test: python-is-new-enough $(VENV)/development
	@$(RUN) -m pytest --numprocesses $(WORKERS) --maxprocesses 8 --dist worksteal $(PYTEST_ARGS)

lives: LIVES ?= 5000
lives: PARTS ?= $(if $(SEED),1,8)
lives: python-is-new-enough $(VENV)/development
	LIVES=$(LIVES) PARTS=$(PARTS) $(RUN) -m pytest -q -rP --numprocesses $(WORKERS) --maxprocesses 8 \
		tests/billing/test_lives.py

crowd: ATTEMPTS ?= 300
crowd: KILLS ?= 20
crowd: python-is-new-enough $(VENV)/development
	ATTEMPTS=$(ATTEMPTS) KILLS=$(KILLS) $(RUN) -m pytest -q tests/billing/test_numbering.py --timeout 0

schema: EXAMPLES ?= 50
schema: python-is-new-enough $(VENV)/development
	SCHEMA_EXAMPLES=$(EXAMPLES) $(RUN) -m pytest -q -s --timeout 0 tests/api/test_schema.py

forms: INPUTS ?= 5000
forms: python-is-new-enough $(VENV)/development
	INPUTS=$(INPUTS) $(RUN) -m pytest -q -s --timeout 0 tests/test_odd_forms.py

mutants: python-is-new-enough $(VENV)/development
	@$(RUN) -m tests.mutation $(ROOM) $(if $(ABOVE),--above) $(if $(SEED),--seed $(SEED))

pictures: python-is-new-enough $(VENV)/development
	@$(RUN) -m tests.pictures

sbom audit: python-is-new-enough
	@PYTHON=$(PYTHON) .ci/release $@

python-is-new-enough:
	@$(PYTHON) -c '' 2>/dev/null || { echo "There is no $(PYTHON) here: install Python 3.11 or newer, or say which with PYTHON=."; exit 1; }
	@$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11) and "Python 3.11 or newer is needed; $(PYTHON) is %d.%d. Say which with PYTHON=." % sys.version_info[:2])'

port-is-free: python-is-new-enough
	@$(PYTHON) .ci/port_is_free.py $(HOST) $(PORT)

$(VENV)/bin/python: | python-is-new-enough
	@if command -v uv >/dev/null; then uv venv --quiet --python $(PYTHON) $(VENV); \
	else $(PYTHON) -m venv $(VENV) || { echo "No virtual environment could be made: on Debian, apt-get install python3-venv."; rm -rf $(VENV); exit 1; }; fi

$(VENV)/runtime: requirements.txt | $(VENV)/bin/python
	@.ci/install requirements.txt && touch $@

$(VENV)/development: requirements.txt tests/requirements.txt tests/schemas.txt | $(VENV)/bin/python
	@.ci/install tests/requirements.txt && .ci/install tests/schemas.txt --no-deps && touch $@ $(VENV)/runtime
