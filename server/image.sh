#!/bin/sh
# What the container recipe does in a Debian root: image.sh page|run FOLDER. Run as root, in there.
set -eu
what="$1" folder="$2"
cd "$folder"
apt-get update -qq
case "$what" in
  page) # builds the page; nothing of this root is kept but web/dist
    sh server/system.sh "" venv
    python3.11 -m venv .venv
    .venv/bin/python -m pip install --quiet --disable-pip-version-check --require-hashes --no-deps \
      -r requirements-node.lock
    BIN=.venv/bin sh web/node.sh
    cd web
    PATH="$folder/.venv/node-bin:$PATH" npm ci --omit=dev --silent --no-audit --no-fund
    PATH="$folder/.venv/node-bin:$PATH" npm run --silent build ;;
  run) # what runs: Python, the readers' programs, a font, and the libraries of the lock file
    sh server/system.sh "" venv
    sh server/system.sh "" use
    python3.11 -m venv venv
    venv/bin/python -m pip install --quiet --disable-pip-version-check --require-hashes --no-deps \
      -r requirements.lock
    # compiled once here: the root cannot be written when it runs
    venv/bin/python -m compileall -q server/inkwitness venv/lib || true
    mkdir -p /data
    chown 10001:10001 /data
    rm -rf /var/lib/apt/lists/* /var/cache/apt/archives/*.deb ;;
  *) echo "image.sh: unknown step '$what'" >&2; exit 2 ;;
esac
