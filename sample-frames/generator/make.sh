#!/bin/sh
# Makes both variants of hive_010. The frames in this repository: two passes of the plates and of the left arm, one of the right arm.
set -e
cd "$(dirname "$0")"
PY=/usr/bin/python3
$PY hf_textures.py /tmp/holdfast-sample/textures
nice blender -b -P render.py -- geometry
nice blender -b -P render.py -- shade --samples 16
for n in 0 1; do
  nice blender -b -P render.py -- plate --samples 6 --pass "$n"
done
nice blender -b -P render.py -- rects --samples 4 --pass 0
nice blender -b -P render.py -- rects --samples 4 --pass 1 --sides left
$PY sheets.py
$PY develop.py
$PY check.py
