#!/bin/sh
# Build the environment from the hashed lock: with the fast installer where it can be had, else with pip alone.
set -eu
venv=$1
export UV_PYTHON_DOWNLOADS=never UV_NO_PROGRESS=1 PIP_DISABLE_PIP_VERSION_CHECK=1

if ! "$PYTHON" -c 'import sys; sys.exit(sys.version_info < (3, 11))' 2>/dev/null; then
    echo "pinseal needs Python 3.11 or newer as '$PYTHON'; name another with: make PYTHON=python3.12 ..." >&2
    exit 2
fi
if ! "$PYTHON" -c 'import venv, ensurepip' 2>/dev/null; then
    echo "this Python has no venv; on Debian install the package python3-venv, then run make again" >&2
    exit 2
fi

echo "setting up $venv ..."
start=$(date +%s)
[ -x "$venv/bin/python" ] || "$PYTHON" -m venv "$venv"
if "$venv/bin/python" -m pip install -q --require-hashes -r installer.lock 2>/dev/null; then
    "$venv/bin/uv" pip install -q --python "$venv/bin/python" --require-hashes -r requirements.lock
    "$venv/bin/uv" pip install -q --python "$venv/bin/python" --no-deps --no-build-isolation -e .
else
    echo "the fast installer cannot be had here; pip does it, more slowly" >&2
    "$venv/bin/python" -m pip install -q --require-hashes -r requirements.lock
    "$venv/bin/python" -m pip install -q --no-deps --no-build-isolation -e .
fi
echo "ready in $(($(date +%s) - start)) s"
