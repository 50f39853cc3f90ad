# The page's types from the API's own description: `sh web/shapes.sh` writes them anew, with
# `--check` it says whether they are as the server has them. Run from the top; BIN is the folder of
# the Python to ask.
set -eu
"${BIN:-.venv/bin}/python" -m inkwitness.api.describe shapes |
  web/node_modules/.bin/openapi-typescript --root-types --root-types-no-schema-prefix \
    --enum-values --default-non-nullable=false --output web/src/generated/api.ts "$@"
