#!/bin/sh
# Makes every sample shot, in order. `make.sh hive_010`, `make.sh bench` or `make.sh close` makes the shots of one scene.
# `make.sh --small [...]` runs the very same steps on pictures a quarter as wide, with one sample a pixel, in a few minutes:
# to see that they run. Its pieces and frames go to /tmp/holdfast-sample-small.
set -e
cd "$(dirname "$0")"
PY=/usr/bin/python3
at() { echo "${SMALL:-$1}"; }
if [ "$1" = --small ]; then
  shift
  SMALL=1
  export HOLDFAST_SAMPLE_SMALLER=4 HOLDFAST_SAMPLE_PIECES=/tmp/holdfast-sample-small HOLDFAST_SAMPLE_OUT=/tmp/holdfast-sample-small/frames
fi
$PY hf_textures.py
for scene in ${*:-hive_010 bench close}; do
  if [ "$scene" = hive_010 ]; then
    SHOTS="hive_010 hive_010_true"
    # two passes of the plates, of the left arm and of what frame 1 is compared with; one of the right arm elsewhere
    nice blender -b --python-exit-code 1 -P render.py -- geometry
    nice blender -b --python-exit-code 1 -P render.py -- shade --samples "$(at 16)"
    for n in 0 1; do
      nice blender -b --python-exit-code 1 -P render.py -- plate --samples "$(at 6)" --pass "$n"
    done
    nice blender -b --python-exit-code 1 -P render.py -- rects --samples "$(at 4)" --pass 0
    nice blender -b --python-exit-code 1 -P render.py -- rects --samples "$(at 4)" --pass 1 --sides left
    nice blender -b --python-exit-code 1 -P render.py -- rects --samples "$(at 4)" --pass 1 --sides right --frames 1
    $PY sheets.py
    $PY develop.py
    $PY check.py
  else
    if [ "$scene" = bench ]; then SHOTS="hive_020 hive_040" SHADE=16; else SHOTS=hive_030 SHADE=48; fi
    for job in geometry layers frames base; do
      nice blender -b --python-exit-code 1 -P pieces.py -- "$scene" "$job"
    done
    # the arm in hive_020 and hive_040 has two passes
    [ "$scene" = close ] || nice blender -b --python-exit-code 1 -P pieces.py -- "$scene" frames --pass 1
    nice blender -b --python-exit-code 1 -P pieces.py -- "$scene" shade --samples "$(at $SHADE)"
    $PY describe.py $SHOTS
    $PY assemble.py $SHOTS
    $PY look.py $SHOTS
  fi
  for shot in $SHOTS; do
    n=$(ls "${HOLDFAST_SAMPLE_OUT:-..}/$shot" | wc -l)
    [ "$n" = 26 ] || { echo "$shot has $n files, not 26"; exit 1; }
  done
done
echo "made: ${*:-hive_010 bench close}"
