# Sourced by run.sh and speed.sh: the libraries in a throw-away environment under target/, and our answers.
set -eu
cd "$(dirname "$0")/../.."
target="${CARGO_TARGET_DIR:-target}"
venv="$target/opinions-venv"
wanted="$(cat tests/opinions/requirements.txt)"
if [ "$(cat "$venv/installed" 2>/dev/null)" != "$wanted" ]; then
    rm -rf "$venv"
    python3 -m venv "$venv"
    "$venv/bin/pip" install --quiet --requirement tests/opinions/requirements.txt
    printf '%s\n' "$wanted" > "$venv/installed"
fi
cargo build --quiet --release --package wellwright-physics --example answer
export ANSWER="$target/release/examples/answer"
export PYTHONWARNINGS=ignore PYTHONDONTWRITEBYTECODE=1
