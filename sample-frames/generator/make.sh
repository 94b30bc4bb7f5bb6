#!/bin/sh
# Makes every sample shot, in order. `make.sh hive_010`, `make.sh bench` or `make.sh close` makes the shots of one scene.
set -e
cd "$(dirname "$0")"
PY=/usr/bin/python3
WHICH="${1:-hive_010 bench close}"
$PY hf_textures.py /tmp/holdfast-sample/textures
for scene in $WHICH; do
  if [ "$scene" = hive_010 ]; then
    # two passes of the plates and of the left arm, one of the right arm
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
    continue
  fi
  for job in geometry layers frames base; do
    nice blender -b -P pieces.py -- "$scene" "$job"
  done
  nice blender -b -P pieces.py -- "$scene" shade --samples 16
  if [ "$scene" = bench ]; then SHOTS="hive_020 hive_040"; else SHOTS=hive_030; fi
  $PY describe.py $SHOTS
  $PY assemble.py $SHOTS
  $PY look.py $SHOTS
done
