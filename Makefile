# Two commands matter: `make demo` and `make test`. Each works from nothing.
PYTHON ?= python3
BIN := .venv/bin
PIP := $(BIN)/pip --disable-pip-version-check

.PHONY: demo test nightly web system-packages lint types web-test py-test bench pictures lock clean

demo: .venv/.run web/dist/index.html
	$(BIN)/orchardmap demo

test: system-packages .venv/.dev web/dist/index.html lint types web-test py-test

.venv/bin/python:
	@$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11))' || { echo "orchardmap needs Python 3.11 or newer (PYTHON=... names another)"; exit 1; }
	@$(PYTHON) -m venv .venv || { echo "Python's venv module is missing: apt-get install python3-venv"; rm -rf .venv; exit 1; }

.venv/.run: .ci/locks/run.txt pyproject.toml | .venv/bin/python
	$(PIP) install --quiet --require-hashes -r .ci/locks/run.txt
	ORCHARDMAP_SKIP_WEB=1 $(PIP) install --quiet --no-deps --no-build-isolation -e .
	@touch $@

.venv/.dev: .ci/locks/dev.txt pyproject.toml | .venv/bin/python
	$(PIP) install --quiet --require-hashes -r .ci/locks/dev.txt
	ORCHARDMAP_SKIP_WEB=1 $(PIP) install --quiet --no-deps --no-build-isolation -e .
	@touch $@ .venv/.run

web/node_modules/.made: web/package-lock.json
	@command -v npm >/dev/null || { echo "npm is missing: install Node.js 20 or newer"; exit 1; }
	cd web && npm ci --no-audit --no-fund
	@touch $@

WEB_SOURCES := $(shell find web/src web/locale web/build web/public web/index.html web/*.ts web/*.json -type f 2>/dev/null)
web/dist/index.html: web/node_modules/.made $(WEB_SOURCES)
	cd web && npm run build
	@touch $@

web: web/dist/index.html

system-packages:
	@sh .ci/system-packages

lint: .venv/.dev
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/lint-imports

types: .venv/.dev
	$(BIN)/mypy

web-test: web/node_modules/.made
	cd web && npm test

# Files of tests go where no disk is written to, if 4 GB are free there; what Python compiles is kept: tests start many processes.
TEST_FILES = $(shell df -Pk /dev/shm 2>/dev/null | awk 'NR == 2 && $$4 > 4000000 { print "TMPDIR=/dev/shm" }')
# one worker more than two cores: tests of pages and services spend half of their time waiting; small matrices are no work for two threads
py-test: .venv/.dev web/dist/index.html
	$(TEST_FILES) OPENBLAS_NUM_THREADS=1 PYTHONDONTWRITEBYTECODE= $(BIN)/pytest -n $$(( $$(nproc) < 4 ? 3 : 4 )) --dist loadfile --no-loadscope-reorder --durations 30

bench: .venv/.dev
	for script in rows map_payload whole_farm fold weak_areas farm_areas draw forecast giving; do $(BIN)/python bench/$$script.py || exit 1; done

# what takes too long for every commit: 10,000 orders of one season's records, and the laws against folds that are wrong on purpose
nightly: .venv/.dev
	$(BIN)/python bench/permutations.py
	$(BIN)/python bench/wrong_variants.py
	KILLS=40 EVERY=1 $(BIN)/pytest -q tests/faults/test_kill.py tests/store/test_migration_kill.py
	@sh .ci/nightly-packages
	$(BIN)/pytest -q -m nightly tests/clients tests/web
	NIGHTLY=1 $(BIN)/pytest -q -n $$(nproc) --timeout 3600 $$(grep -rl 'from thorough import' tests)

pictures: .venv/.dev web/dist/index.html
	$(BIN)/python docs/take_pictures.py

# needs uv: pip install uv
lock:
	uv pip compile pyproject.toml --extra dev --extra build --universal --python-version 3.11 --generate-hashes --no-emit-index-url --no-header -q -o .ci/locks/dev.txt
	uv pip compile pyproject.toml --extra build --universal --python-version 3.11 --generate-hashes --no-emit-index-url --no-header -q -c .ci/locks/dev.txt -o .ci/locks/run.txt

clean:
	rm -rf .venv web/node_modules web/dist demo-data
