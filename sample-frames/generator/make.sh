#!/bin/sh
# Makes both variants of hive_010. Usage: ./make.sh [passes]
set -e
cd "$(dirname "$0")"
PASSES=${1:-2}
PY=/usr/bin/python3
$PY hf_textures.py /tmp/holdfast-sample/textures
nice blender -b -P render.py -- geometry
nice blender -b -P render.py -- shade --samples 64
n=0
while [ "$n" -lt "$PASSES" ]; do
  nice blender -b -P render.py -- plate --samples 6 --pass "$n"
  nice blender -b -P render.py -- rects --samples 4 --pass "$n"
  n=$((n + 1))
done
$PY sheets.py
$PY develop.py
$PY check.py
