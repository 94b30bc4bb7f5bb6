"""Where pieces and frames go, and how small everything is made."""
import os

PIECES = os.environ.get("HOLDFAST_SAMPLE_PIECES") or "/tmp/holdfast-sample"
TARGET = os.environ.get("HOLDFAST_SAMPLE_OUT") or os.path.dirname(os.path.dirname(os.path.abspath(__file__)))
# every picture this many times smaller each way: to see in minutes that all steps run (make.sh --small)
SMALLER = int(os.environ.get("HOLDFAST_SAMPLE_SMALLER") or 1)
